"""Crop coefficients over the season: climate, stages, mulch (FAO-56 chapters 6, 7 and 10).

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["climate_adjusted", "kc_under_plastic", "mulch_factor", "rh_min_from_dew", "rh_min_from_tmin", "stage_interpolated"]


@overload
def climate_adjusted(*, kc: Number, wind_2m_m_s: Number, rh_min_pct: Number, height_m: Number, on_error: OnError = ...) -> float: ...
@overload
def climate_adjusted(*, kc: Numbers, wind_2m_m_s: Numbers, rh_min_pct: Numbers, height_m: Numbers, on_error: OnError = ...) -> Floats: ...
def climate_adjusted(
    *, kc: Numbers, wind_2m_m_s: Numbers, rh_min_pct: Numbers, height_m: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return a tabulated coefficient (Kc or Kcb, mid season or end) in another climate than the table's.

    K + (0.04 (u_2 - 2) - 0.004 (RHmin - 45)) (h / 3)^0.3, with u_2 held in 1 to 6 m/s, RHmin in 20 to 80 % and h in 0.1 to
    10 m. Values below 0.45 are returned unchanged.

    Parameters
    ----------
    kc : float or array-like
        Coefficient, 0 to 2.5.
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
    FAO-56 Eq. 62, 65 and 70; Example 27 prints 1.07 for maize of 2 m in Taipei.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.climate_adjusted(kc=1.2, wind_2m_m_s=1.3, rh_min_pct=75, height_m=2), 2)
    1.07
    """
    return _dibble.climate_adjusted(kc=kc, wind_2m_m_s=wind_2m_m_s, rh_min_pct=rh_min_pct, height_m=height_m, on_error=on_error)


@overload
def rh_min_from_dew(*, dew_c: Number, tmax_c: Number, on_error: OnError = ...) -> float: ...
@overload
def rh_min_from_dew(*, dew_c: Numbers, tmax_c: Numbers, on_error: OnError = ...) -> Floats: ...
def rh_min_from_dew(*, dew_c: Numbers, tmax_c: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the lowest relative humidity of a day from its dew point: 100 e(Tdew) / e(Tmax), at most 100.

    Parameters
    ----------
    dew_c : float or array-like
        Dew point, deg C, -90 to 40.
    tmax_c : float or array-like
        The day's highest temperature, deg C, -90 to 60.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        %, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 63, p. 124.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.rh_min_from_dew(dew_c=10, tmax_c=25))
    39
    """
    return _dibble.rh_min_from_dew(dew_c=dew_c, tmax_c=tmax_c, on_error=on_error)


@overload
def rh_min_from_tmin(*, tmin_c: Number, tmax_c: Number, on_error: OnError = ...) -> float: ...
@overload
def rh_min_from_tmin(*, tmin_c: Numbers, tmax_c: Numbers, on_error: OnError = ...) -> Floats: ...
def rh_min_from_tmin(*, tmin_c: Numbers, tmax_c: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the lowest relative humidity of a day from its temperatures: 100 e(Tmin) / e(Tmax).

    In dry places give Tmin less 2 deg C.

    Parameters
    ----------
    tmin_c : float or array-like
        The day's lowest temperature, deg C, -90 to 60.
    tmax_c : float or array-like
        The day's highest temperature, deg C, -90 to 60.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        %, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or the lowest temperature above the highest.

    References
    ----------
    FAO-56 Eq. 64, p. 124.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.rh_min_from_tmin(tmin_c=10, tmax_c=25))
    39
    """
    return _dibble.rh_min_from_tmin(tmin_c=tmin_c, tmax_c=tmax_c, on_error=on_error)


@overload
def stage_interpolated(*, kc_before: Number, kc_next: Number, elapsed: Number, on_error: OnError = ...) -> float: ...
@overload
def stage_interpolated(*, kc_before: Numbers, kc_next: Numbers, elapsed: Numbers, on_error: OnError = ...) -> Floats: ...
def stage_interpolated(*, kc_before: Numbers, kc_next: Numbers, elapsed: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the coefficient within a stage that leads from one value to the next.

    Parameters
    ----------
    kc_before, kc_next : float or array-like
        Coefficients between which the stage leads, 0 to 2.5.
    elapsed : float or array-like
        Share of the stage that has passed, 0 to 1: (day - days of the stages before) / length.
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
    FAO-56 Eq. 66; Example 28 prints 0.56 on day 95, 15 days into a late stage of 20 days from 1.19 to 0.35.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.stage_interpolated(kc_before=1.19, kc_next=0.35, elapsed=(95 - 80) / 20), 2)
    0.56
    """
    return _dibble.stage_interpolated(kc_before=kc_before, kc_next=kc_next, elapsed=elapsed, on_error=on_error)


@overload
def mulch_factor(cover: Number, *, on_error: OnError = ...) -> float: ...
@overload
def mulch_factor(cover: Numbers, *, on_error: OnError = ...) -> Floats: ...
def mulch_factor(cover: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return what an organic mulch leaves of the evaporation from soil: 5 % less for each 10 % of ground covered.

    Parameters
    ----------
    cover : float or array-like
        Fraction of the ground under mulch, 0 to 1.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Factor, 0.5 to 1, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 p. 197.

    Examples
    --------
    >>> from dibble.et import crop
    >>> crop.mulch_factor(0.5)
    0.75
    """
    return _dibble.mulch_factor(cover=cover, on_error=on_error)


@overload
def kc_under_plastic(*, kc: Number, reduction: Number, on_error: OnError = ...) -> float: ...
@overload
def kc_under_plastic(*, kc: Numbers, reduction: Numbers, on_error: OnError = ...) -> Floats: ...
def kc_under_plastic(*, kc: Numbers, reduction: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return a coefficient under plastic mulch: K (1 - reduction).

    Parameters
    ----------
    kc : float or array-like
        Coefficient, 0 to 2.5.
    reduction : float or array-like
        Share taken off, 0 to 1: 0.10 to 0.30 for Kc and 0.05 to 0.15 for Kcb in the paper.
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
    FAO-56 Example 45 prints 0.85 for Kc 1.00 less 15 %.

    Examples
    --------
    >>> from dibble.et import crop
    >>> crop.kc_under_plastic(kc=1, reduction=0.15)
    0.85
    """
    return _dibble.kc_under_plastic(kc=kc, reduction=reduction, on_error=on_error)
