"""The dual coefficient: transpiration apart from evaporation of the soil surface (FAO-56 chapter 7).

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = [
    "canopy_cover_from_kcb",
    "evaporation_coefficient",
    "evaporation_reduction",
    "exposed_wetted_fraction",
    "exposed_wetted_fraction_under_drip",
    "kc_max",
    "total_evaporable_mm",
]


@overload
def kc_max(*, kcb: Number, wind_2m_m_s: Number, rh_min_pct: Number, height_m: Number, on_error: OnError = ...) -> float: ...
@overload
def kc_max(*, kcb: Numbers, wind_2m_m_s: Numbers, rh_min_pct: Numbers, height_m: Numbers, on_error: OnError = ...) -> Floats: ...
def kc_max(*, kcb: Numbers, wind_2m_m_s: Numbers, rh_min_pct: Numbers, height_m: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the upper limit of evaporation and transpiration together, as a coefficient.

    max(1.2 + (0.04 (u_2 - 2) - 0.004 (RHmin - 45)) (h / 3)^0.3, Kcb + 0.05).

    Parameters
    ----------
    kcb : float or array-like
        Basal coefficient of the day, 0 to 2.5.
    wind_2m_m_s : float or array-like
        Wind speed at 2 m, m/s, 0 to 60.
    rh_min_pct : float or array-like
        Lowest relative humidity of the day, %, 0 to 100.
    height_m : float or array-like
        Plant height, m, 0 to 120.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Coefficient, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 72; Example 32 prints 1.30.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.kc_max(kcb=0.9, wind_2m_m_s=3, rh_min_pct=20, height_m=1), 2)
    1.3
    """
    return _dibble.kc_max(kcb=kcb, wind_2m_m_s=wind_2m_m_s, rh_min_pct=rh_min_pct, height_m=height_m, on_error=on_error)


@overload
def canopy_cover_from_kcb(*, kcb: Number, kc_min: Number, kc_max: Number, height_m: Number, on_error: OnError = ...) -> float: ...
@overload
def canopy_cover_from_kcb(*, kcb: Numbers, kc_min: Numbers, kc_max: Numbers, height_m: Numbers, on_error: OnError = ...) -> Floats: ...
def canopy_cover_from_kcb(
    *, kcb: Numbers, kc_min: Numbers, kc_max: Numbers, height_m: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the fraction of the ground that the canopy covers, where nobody has looked.

    ((Kcb - Kc min) / (Kc max - Kc min))^(1 + 0.5 h), with Kcb - Kc min at least 0.01.

    Parameters
    ----------
    kcb : float or array-like
        Basal coefficient of the day, 0 to 2.5.
    kc_min : float or array-like
        Coefficient of dry bare soil, 0.15 to 0.20 in the paper; 0 to 2.5.
    kc_max : float or array-like
        Upper limit, from `kc_max`, 0 to 2.5.
    height_m : float or array-like
        Plant height, m, 0 to 120.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Fraction, 0 to 0.99, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or `kc_min` not below `kc_max`.

    References
    ----------
    FAO-56 Eq. 76; Example 32 prints 0.53.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.canopy_cover_from_kcb(kcb=0.9, kc_min=0.15, kc_max=1.3, height_m=1), 2)
    0.53
    """
    return _dibble.canopy_cover_from_kcb(kcb=kcb, kc_min=kc_min, kc_max=kc_max, height_m=height_m, on_error=on_error)


@overload
def exposed_wetted_fraction(*, canopy_cover: Number, wetted: Number, on_error: OnError = ...) -> float: ...
@overload
def exposed_wetted_fraction(*, canopy_cover: Numbers, wetted: Numbers, on_error: OnError = ...) -> Floats: ...
def exposed_wetted_fraction(*, canopy_cover: Numbers, wetted: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the fraction of the ground that is both wetted and bare to sun and wind: min(1 - f_c, f_w).

    Parameters
    ----------
    canopy_cover : float or array-like
        Fraction of the ground covered, seen from above, 0 to 1.
    wetted : float or array-like
        Fraction of the ground that is wetted, 0 to 1; rain and sprinklers wet all.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Fraction, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 75; Example 32 prints 0.47.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.exposed_wetted_fraction(canopy_cover=0.53, wetted=1), 2)
    0.47
    """
    return _dibble.exposed_wetted_fraction(canopy_cover=canopy_cover, wetted=wetted, on_error=on_error)


@overload
def exposed_wetted_fraction_under_drip(*, canopy_cover: Number, wetted: Number, on_error: OnError = ...) -> float: ...
@overload
def exposed_wetted_fraction_under_drip(*, canopy_cover: Numbers, wetted: Numbers, on_error: OnError = ...) -> Floats: ...
def exposed_wetted_fraction_under_drip(*, canopy_cover: Numbers, wetted: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the wetted and exposed fraction under drip, whose wet spots lie in the shade: min(1 - f_c, f_w (1 - 2/3 f_c)).

    Parameters
    ----------
    canopy_cover : float or array-like
        Fraction of the ground covered, seen from above, 0 to 1.
    wetted : float or array-like
        Fraction of the ground wetted by the emitters, 0 to 1.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Fraction, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 p. 149; Example 34 prints 0.19.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.exposed_wetted_fraction_under_drip(canopy_cover=0.53, wetted=0.3), 2)
    0.19
    """
    return _dibble.exposed_wetted_fraction_under_drip(canopy_cover=canopy_cover, wetted=wetted, on_error=on_error)


@overload
def total_evaporable_mm(*, field_capacity: Number, wilting_point: Number, depth_m: Number, on_error: OnError = ...) -> float: ...
@overload
def total_evaporable_mm(*, field_capacity: Numbers, wilting_point: Numbers, depth_m: Numbers, on_error: OnError = ...) -> Floats: ...
def total_evaporable_mm(
    *, field_capacity: Numbers, wilting_point: Numbers, depth_m: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the most water that evaporates from a surface layer once wetted: 1000 (FC - 0.5 WP) Z_e.

    Parameters
    ----------
    field_capacity, wilting_point : float or array-like
        Water content, m3/m3, 0 to 1.
    depth_m : float or array-like
        Depth of the surface layer, m, 0.10 to 0.15 in the paper; 0 to 10.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        mm, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or field capacity below wilting point.

    References
    ----------
    FAO-56 Eq. 73; Example 35 prints 18 mm.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.total_evaporable_mm(field_capacity=0.23, wilting_point=0.10, depth_m=0.10))
    18
    """
    return _dibble.total_evaporable_mm(field_capacity=field_capacity, wilting_point=wilting_point, depth_m=depth_m, on_error=on_error)


@overload
def evaporation_reduction(*, depletion_mm: Number, readily_mm: Number, total_mm: Number, on_error: OnError = ...) -> float: ...
@overload
def evaporation_reduction(*, depletion_mm: Numbers, readily_mm: Numbers, total_mm: Numbers, on_error: OnError = ...) -> Floats: ...
def evaporation_reduction(*, depletion_mm: Numbers, readily_mm: Numbers, total_mm: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return how far evaporation from the surface has fallen off, 1 while wet to 0 when dry.

    (TEW - D_e) / (TEW - REW) once D_e exceeds REW.

    Parameters
    ----------
    depletion_mm : float or array-like
        Water evaporated from the surface layer since it was wet, mm, 0 to 2000.
    readily_mm : float or array-like
        Readily evaporable water (REW), mm, 0 to 2000.
    total_mm : float or array-like
        Total evaporable water (TEW), mm, 0 to 2000.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Factor, 0 to 1, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or REW above TEW.

    References
    ----------
    FAO-56 Eq. 74; Example 35 has TEW 18 mm and REW 8 mm.

    Examples
    --------
    >>> from dibble.et import crop
    >>> crop.evaporation_reduction(depletion_mm=13, readily_mm=8, total_mm=18)
    0.5
    """
    return _dibble.evaporation_reduction(depletion_mm=depletion_mm, readily_mm=readily_mm, total_mm=total_mm, on_error=on_error)


@overload
def evaporation_coefficient(
    *, reduction: Number, kcb: Number, kc_max: Number, exposed_wetted: Number, on_error: OnError = ...
) -> float: ...
@overload
def evaporation_coefficient(
    *, reduction: Numbers, kcb: Numbers, kc_max: Numbers, exposed_wetted: Numbers, on_error: OnError = ...
) -> Floats: ...
def evaporation_coefficient(
    *, reduction: Numbers, kcb: Numbers, kc_max: Numbers, exposed_wetted: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the soil evaporation coefficient: min(K_r (Kc max - Kcb), f_ew Kc max), not below 0.

    Parameters
    ----------
    reduction : float or array-like
        From `evaporation_reduction`, 0 to 1.
    kcb : float or array-like
        Basal coefficient of the day, 0 to 2.5.
    kc_max : float or array-like
        Upper limit, from `kc_max`, 0 to 2.5.
    exposed_wetted : float or array-like
        From `exposed_wetted_fraction`, 0 to 1.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Coefficient, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 71; Example 32 prints 0.40.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.evaporation_coefficient(reduction=1, kcb=0.9, kc_max=1.3, exposed_wetted=0.47), 2)
    0.4
    """
    return _dibble.evaporation_coefficient(reduction=reduction, kcb=kcb, kc_max=kc_max, exposed_wetted=exposed_wetted, on_error=on_error)
