"""Water held for roots, and how shortage and salt cut transpiration (FAO-56 chapter 8).

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = [
    "readily_available_mm",
    "salt_stress",
    "stress_from_yield",
    "stress_onset",
    "total_available_mm",
    "water_stress",
    "yield_under_salt",
]


@overload
def total_available_mm(*, field_capacity: Number, wilting_point: Number, root_depth_m: Number, on_error: OnError = ...) -> float: ...
@overload
def total_available_mm(*, field_capacity: Numbers, wilting_point: Numbers, root_depth_m: Numbers, on_error: OnError = ...) -> Floats: ...
def total_available_mm(
    *, field_capacity: Numbers, wilting_point: Numbers, root_depth_m: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the water that roots can take from field capacity to wilting: 1000 (FC - WP) Z_r.

    Parameters
    ----------
    field_capacity, wilting_point : float or array-like
        Water content, m3/m3, 0 to 1.
    root_depth_m : float or array-like
        Depth of the roots, m, 0.02 to 10.
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
    FAO-56 Eq. 82; Example 36 prints 72 mm for tomato on loamy sand.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.total_available_mm(field_capacity=0.15, wilting_point=0.06, root_depth_m=0.8))
    72
    """
    return _dibble.total_available_mm(
        field_capacity=field_capacity, wilting_point=wilting_point, root_depth_m=root_depth_m, on_error=on_error
    )


@overload
def readily_available_mm(*, total_mm: Number, p: Number, on_error: OnError = ...) -> float: ...
@overload
def readily_available_mm(*, total_mm: Numbers, p: Numbers, on_error: OnError = ...) -> Floats: ...
def readily_available_mm(*, total_mm: Numbers, p: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the water that roots can take without stress: p TAW.

    Parameters
    ----------
    total_mm : float or array-like
        Total available water (TAW), mm, 0 to 2000.
    p : float or array-like
        Depletion fraction at the onset of stress, 0.1 to 0.8.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        mm, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 83; Example 36 prints 29 mm of 72 with p 0.4.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.readily_available_mm(total_mm=72, p=0.4))
    29
    """
    return _dibble.readily_available_mm(total_mm=total_mm, p=p, on_error=on_error)


@overload
def stress_onset(*, p_table: Number, etc_mm: Number, on_error: OnError = ...) -> float: ...
@overload
def stress_onset(*, p_table: Numbers, etc_mm: Numbers, on_error: OnError = ...) -> Floats: ...
def stress_onset(*, p_table: Numbers, etc_mm: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the depletion fraction at which stress begins under a day's demand: p + 0.04 (5 - ETc), held in 0.1 to 0.8.

    The paper takes it 5 to 10 % lower on clay and 5 to 10 % higher on sand (p. 167).

    Parameters
    ----------
    p_table : float or array-like
        Depletion fraction of FAO-56 Table 22, 0.1 to 0.8.
    etc_mm : float or array-like
        Crop evapotranspiration of the day, mm, 0 to 60.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Fraction, 0.1 to 0.8, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 p. 162 and footnote to Table 22.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.stress_onset(p_table=0.50, etc_mm=3), 2)
    0.58
    """
    return _dibble.stress_onset(p_table=p_table, etc_mm=etc_mm, on_error=on_error)


@overload
def water_stress(*, depletion_mm: Number, total_available_mm: Number, p: Number, on_error: OnError = ...) -> float: ...
@overload
def water_stress(*, depletion_mm: Numbers, total_available_mm: Numbers, p: Numbers, on_error: OnError = ...) -> Floats: ...
def water_stress(*, depletion_mm: Numbers, total_available_mm: Numbers, p: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the factor on transpiration under shortage of water, 1 to 0.

    (TAW - D_r) / ((1 - p) TAW) once D_r exceeds p TAW.

    Parameters
    ----------
    depletion_mm : float or array-like
        Water that the root zone lacks, mm, 0 to 2000.
    total_available_mm : float or array-like
        Total available water (TAW), mm, 0 to 2000.
    p : float or array-like
        Depletion fraction at the onset of stress, 0.1 to 0.8.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Factor, 0 to 1, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 84.

    Examples
    --------
    >>> from dibble.et import crop
    >>> crop.water_stress(depletion_mm=[40, 75, 100], total_available_mm=100, p=0.5).tolist()
    [1.0, 0.5, 0.0]
    """
    return _dibble.water_stress(depletion_mm=depletion_mm, total_available_mm=total_available_mm, p=p, on_error=on_error)


@overload
def yield_under_salt(*, ec_ds_m: Number, threshold_ds_m: Number, slope_pct: Number, on_error: OnError = ...) -> float: ...
@overload
def yield_under_salt(*, ec_ds_m: Numbers, threshold_ds_m: Numbers, slope_pct: Numbers, on_error: OnError = ...) -> Floats: ...
def yield_under_salt(*, ec_ds_m: Numbers, threshold_ds_m: Numbers, slope_pct: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the yield under salt as a fraction of the full one: 1 - (EC_e - threshold) b / 100, 0 to 1.

    Parameters
    ----------
    ec_ds_m : float or array-like
        Conductivity of the saturation extract, dS/m, 0 to 60.
    threshold_ds_m : float or array-like
        Conductivity of the saturation extract at which yield begins to fall, dS/m, 0 to 60 (FAO-56 Table 23).
    slope_pct : float or array-like
        Fall of yield beyond it, % per dS/m (the b of Table 23).
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
    FAO-56 Eq. 89; Table 23 has threshold 1.0 dS/m and b 19 for bean.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.yield_under_salt(ec_ds_m=2, threshold_ds_m=1, slope_pct=19), 2)
    0.81
    """
    return _dibble.yield_under_salt(ec_ds_m=ec_ds_m, threshold_ds_m=threshold_ds_m, slope_pct=slope_pct, on_error=on_error)


@overload
def salt_stress(
    *, ec_ds_m: Number, threshold_ds_m: Number, slope_pct: Number, yield_response: Number, on_error: OnError = ...
) -> float: ...
@overload
def salt_stress(
    *, ec_ds_m: Numbers, threshold_ds_m: Numbers, slope_pct: Numbers, yield_response: Numbers, on_error: OnError = ...
) -> Floats: ...
def salt_stress(
    *, ec_ds_m: Numbers, threshold_ds_m: Numbers, slope_pct: Numbers, yield_response: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the factor on transpiration under salt, 1 to 0: 1 - b (EC_e - threshold) / (100 K_y).

    Where water is short too, multiply by `water_stress` (Eq. 92).

    Parameters
    ----------
    ec_ds_m : float or array-like
        Conductivity of the saturation extract, dS/m, 0 to 60.
    threshold_ds_m : float or array-like
        Conductivity of the saturation extract at which yield begins to fall, dS/m, 0 to 60 (FAO-56 Table 23).
    slope_pct : float or array-like
        Fall of yield beyond it, % per dS/m (the b of Table 23).
    yield_response : float or array-like
        K_y, 0.1 to 2.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Factor, 0 to 1, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 91.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.salt_stress(ec_ds_m=2, threshold_ds_m=1, slope_pct=19, yield_response=1.15), 3)
    0.835
    """
    return _dibble.salt_stress(
        ec_ds_m=ec_ds_m, threshold_ds_m=threshold_ds_m, slope_pct=slope_pct, yield_response=yield_response, on_error=on_error
    )


@overload
def stress_from_yield(*, relative_yield: Number, yield_response: Number, on_error: OnError = ...) -> float: ...
@overload
def stress_from_yield(*, relative_yield: Numbers, yield_response: Numbers, on_error: OnError = ...) -> Floats: ...
def stress_from_yield(*, relative_yield: Numbers, yield_response: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the stress factor that a fall of yield tells of: 1 - (1 - Y_a / Y_m) / K_y, not below 0.

    Parameters
    ----------
    relative_yield : float or array-like
        Actual yield over full yield, 0 to 1.
    yield_response : float or array-like
        K_y, 0.1 to 2.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Factor, 0 to 1, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 103; Example 44 prints 0.66 from 1100 of 1800 kg/ha with K_y 1.15.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.stress_from_yield(relative_yield=1100 / 1800, yield_response=1.15), 2)
    0.66
    """
    return _dibble.stress_from_yield(relative_yield=relative_yield, yield_response=yield_response, on_error=on_error)
