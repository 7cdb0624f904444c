"""Moist air and wind: pressure, saturation, the ways to an actual vapor pressure, wind at 2 m.

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import Literal, TypeAlias, overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

Ventilation: TypeAlias = Literal["aspirated", "natural", "indoor"]

__all__ = [
    "atmospheric_pressure",
    "dew_point",
    "mean_saturation_vapor_pressure",
    "psychrometric_constant",
    "saturation_vapor_pressure",
    "vapor_pressure_from_dew_point",
    "vapor_pressure_from_psychrometer",
    "vapor_pressure_from_rh",
    "vapor_pressure_from_rh_max",
    "vapor_pressure_from_rh_mean",
    "vapor_pressure_from_rh_range",
    "vapor_pressure_slope",
    "wind_at_2m",
]


@overload
def saturation_vapor_pressure(t_c: Number, *, on_error: OnError = ...) -> float: ...
@overload
def saturation_vapor_pressure(t_c: Numbers, *, on_error: OnError = ...) -> Floats: ...
def saturation_vapor_pressure(t_c: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the saturation vapor pressure at an air temperature: e = 0.6108 exp(17.27 T / (T + 237.3)).

    Parameters
    ----------
    t_c : float or array-like
        Air temperature, deg C, -90 to 60.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 (Allen et al. 1998) Eq. 11; Table 2.3 prints 2.338 kPa at 20 deg C.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.saturation_vapor_pressure(20), 3)
    2.338
    """
    return _dibble.saturation_vapor_pressure(t_c=t_c, on_error=on_error)


@overload
def mean_saturation_vapor_pressure(*, tmin_c: Number, tmax_c: Number, on_error: OnError = ...) -> float: ...
@overload
def mean_saturation_vapor_pressure(*, tmin_c: Numbers, tmax_c: Numbers, on_error: OnError = ...) -> Floats: ...
def mean_saturation_vapor_pressure(*, tmin_c: Numbers, tmax_c: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the day's mean saturation vapor pressure: that at the highest and that at the lowest temperature, averaged.

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
        kPa, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 Eq. 12; Example 3 prints 2.39 kPa.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.mean_saturation_vapor_pressure(tmin_c=15.0, tmax_c=24.5), 2)
    2.39
    """
    return _dibble.mean_saturation_vapor_pressure(tmin_c=tmin_c, tmax_c=tmax_c, on_error=on_error)


@overload
def vapor_pressure_slope(t_c: Number, *, on_error: OnError = ...) -> float: ...
@overload
def vapor_pressure_slope(t_c: Numbers, *, on_error: OnError = ...) -> Floats: ...
def vapor_pressure_slope(t_c: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the slope of the saturation vapor pressure curve: 4098 e / (T + 237.3)^2.

    Parameters
    ----------
    t_c : float or array-like
        Air temperature, deg C, -90 to 60.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa per deg C, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 13; Table 2.4 prints 0.145 at 20 deg C.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.vapor_pressure_slope(20), 3)
    0.145
    """
    return _dibble.vapor_pressure_slope(t_c=t_c, on_error=on_error)


@overload
def atmospheric_pressure(elevation_m: Number, *, on_error: OnError = ...) -> float: ...
@overload
def atmospheric_pressure(elevation_m: Numbers, *, on_error: OnError = ...) -> Floats: ...
def atmospheric_pressure(elevation_m: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the mean air pressure at an elevation: 101.3 ((293 - 0.0065 z) / 293)^5.26.

    Parameters
    ----------
    elevation_m : float or array-like
        Elevation above sea level, m, -450 to 6000.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 7; Example 2 prints 81.8 kPa at 1800 m.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.atmospheric_pressure(1800), 1)
    81.8
    """
    return _dibble.atmospheric_pressure(elevation_m=elevation_m, on_error=on_error)


@overload
def psychrometric_constant(elevation_m: Number, *, on_error: OnError = ...) -> float: ...
@overload
def psychrometric_constant(elevation_m: Numbers, *, on_error: OnError = ...) -> Floats: ...
def psychrometric_constant(elevation_m: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the psychrometric constant at an elevation: 0.665e-3 P.

    Parameters
    ----------
    elevation_m : float or array-like
        Elevation above sea level, m, -450 to 6000.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa per deg C, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 8; Example 2 prints 0.054 at 1800 m.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.psychrometric_constant(1800), 3)
    0.054
    """
    return _dibble.psychrometric_constant(elevation_m=elevation_m, on_error=on_error)


@overload
def dew_point(vapor_pressure_kpa: Number, *, on_error: OnError = ...) -> float: ...
@overload
def dew_point(vapor_pressure_kpa: Numbers, *, on_error: OnError = ...) -> Floats: ...
def dew_point(vapor_pressure_kpa: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the dew point of air with a vapor pressure: FAO-56 Eq. 11 solved for the temperature.

    Parameters
    ----------
    vapor_pressure_kpa : float or array-like
        Actual vapor pressure, kPa, 0 to 8.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        deg C, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Table 2.3, read backwards: 1.228 kPa saturates at 10 deg C.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.dew_point(1.228), 2)
    10.0
    """
    return _dibble.dew_point(vapor_pressure_kpa=vapor_pressure_kpa, on_error=on_error)


@overload
def vapor_pressure_from_dew_point(dew_c: Number, *, on_error: OnError = ...) -> float: ...
@overload
def vapor_pressure_from_dew_point(dew_c: Numbers, *, on_error: OnError = ...) -> Floats: ...
def vapor_pressure_from_dew_point(dew_c: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the actual vapor pressure from the dew point, the best source after a psychrometer.

    Parameters
    ----------
    dew_c : float or array-like
        Dew point, deg C, -90 to 40.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 14; Table 2.3 prints 1.705 kPa at 15 deg C.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.vapor_pressure_from_dew_point(15), 3)
    1.705
    """
    return _dibble.vapor_pressure_from_dew_point(dew_c=dew_c, on_error=on_error)


@overload
def vapor_pressure_from_psychrometer(
    *, dry_c: Number, wet_c: Number, pressure_kpa: Number, ventilation: Ventilation = ..., on_error: OnError = ...
) -> float: ...
@overload
def vapor_pressure_from_psychrometer(
    *, dry_c: Numbers, wet_c: Numbers, pressure_kpa: Numbers, ventilation: Ventilation = ..., on_error: OnError = ...
) -> Floats: ...
def vapor_pressure_from_psychrometer(
    *, dry_c: Numbers, wet_c: Numbers, pressure_kpa: Numbers, ventilation: Ventilation = "aspirated", on_error: OnError = "raise"
) -> float | Floats:
    """Return the actual vapor pressure from a psychrometer: e(T_wet) - a P (T_dry - T_wet).

    Parameters
    ----------
    dry_c : float or array-like
        Dry bulb, deg C, -90 to 60.
    wet_c : float or array-like
        Wet bulb, deg C, -90 to 60.
    pressure_kpa : float or array-like
        Air pressure, kPa, 45 to 110.
    ventilation : {"aspirated", "natural", "indoor"}
        How air passes the wet bulb: blown by a fan, left to the wind, still.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 Eq. 15-16; Example 4 prints 1.91 kPa.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.vapor_pressure_from_psychrometer(dry_c=25.6, wet_c=19.5, pressure_kpa=87.9), 2)
    1.91
    """
    return _dibble.vapor_pressure_from_psychrometer(
        dry_c=dry_c, wet_c=wet_c, pressure_kpa=pressure_kpa, ventilation=ventilation, on_error=on_error
    )


@overload
def vapor_pressure_from_rh_range(
    *, tmin_c: Number, tmax_c: Number, rh_min_pct: Number, rh_max_pct: Number, on_error: OnError = ...
) -> float: ...
@overload
def vapor_pressure_from_rh_range(
    *, tmin_c: Numbers, tmax_c: Numbers, rh_min_pct: Numbers, rh_max_pct: Numbers, on_error: OnError = ...
) -> Floats: ...
def vapor_pressure_from_rh_range(
    *, tmin_c: Numbers, tmax_c: Numbers, rh_min_pct: Numbers, rh_max_pct: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the actual vapor pressure from the day's lowest and highest relative humidity.

    Parameters
    ----------
    tmin_c : float or array-like
        The day's lowest temperature, deg C, -90 to 60.
    tmax_c : float or array-like
        The day's highest temperature, deg C, -90 to 60.
    rh_min_pct : float or array-like
        The day's lowest relative humidity, %, 0 to 100.
    rh_max_pct : float or array-like
        The day's highest relative humidity, %, 0 to 100.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 Eq. 17; Example 5 prints 1.70 kPa.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.vapor_pressure_from_rh_range(tmin_c=18, tmax_c=25, rh_min_pct=54, rh_max_pct=82), 2)
    1.7
    """
    return _dibble.vapor_pressure_from_rh_range(
        tmin_c=tmin_c, tmax_c=tmax_c, rh_min_pct=rh_min_pct, rh_max_pct=rh_max_pct, on_error=on_error
    )


@overload
def vapor_pressure_from_rh_max(*, tmin_c: Number, rh_max_pct: Number, on_error: OnError = ...) -> float: ...
@overload
def vapor_pressure_from_rh_max(*, tmin_c: Numbers, rh_max_pct: Numbers, on_error: OnError = ...) -> Floats: ...
def vapor_pressure_from_rh_max(*, tmin_c: Numbers, rh_max_pct: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the actual vapor pressure from the day's highest relative humidity alone, for stations whose lowest is doubtful.

    Parameters
    ----------
    tmin_c : float or array-like
        The day's lowest temperature, deg C, -90 to 60.
    rh_max_pct : float or array-like
        The day's highest relative humidity, %, 0 to 100.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 18, with the numbers of Example 5.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.vapor_pressure_from_rh_max(tmin_c=18, rh_max_pct=82), 2)
    1.69
    """
    return _dibble.vapor_pressure_from_rh_max(tmin_c=tmin_c, rh_max_pct=rh_max_pct, on_error=on_error)


@overload
def vapor_pressure_from_rh_mean(*, tmin_c: Number, tmax_c: Number, rh_mean_pct: Number, on_error: OnError = ...) -> float: ...
@overload
def vapor_pressure_from_rh_mean(*, tmin_c: Numbers, tmax_c: Numbers, rh_mean_pct: Numbers, on_error: OnError = ...) -> Floats: ...
def vapor_pressure_from_rh_mean(*, tmin_c: Numbers, tmax_c: Numbers, rh_mean_pct: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the actual vapor pressure from the day's mean relative humidity, the source liked least.

    Parameters
    ----------
    tmin_c : float or array-like
        The day's lowest temperature, deg C, -90 to 60.
    tmax_c : float or array-like
        The day's highest temperature, deg C, -90 to 60.
    rh_mean_pct : float or array-like
        The day's mean relative humidity, %, 0 to 100.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 Eq. 19; Example 6 prints 1.78 kPa.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.vapor_pressure_from_rh_mean(tmin_c=18, tmax_c=25, rh_mean_pct=68), 2)
    1.78
    """
    return _dibble.vapor_pressure_from_rh_mean(tmin_c=tmin_c, tmax_c=tmax_c, rh_mean_pct=rh_mean_pct, on_error=on_error)


@overload
def vapor_pressure_from_rh(*, t_c: Number, rh_pct: Number, on_error: OnError = ...) -> float: ...
@overload
def vapor_pressure_from_rh(*, t_c: Numbers, rh_pct: Numbers, on_error: OnError = ...) -> Floats: ...
def vapor_pressure_from_rh(*, t_c: Numbers, rh_pct: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the actual vapor pressure of an hour or an instant.

    Parameters
    ----------
    t_c : float or array-like
        Air temperature, deg C, -90 to 60.
    rh_pct : float or array-like
        Relative humidity, %, 0 to 100.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 54; Example 19 prints 3.445 kPa.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.vapor_pressure_from_rh(t_c=38, rh_pct=52), 3)
    3.445
    """
    return _dibble.vapor_pressure_from_rh(t_c=t_c, rh_pct=rh_pct, on_error=on_error)


@overload
def wind_at_2m(*, wind_m_s: Number, height_m: Number, on_error: OnError = ...) -> float: ...
@overload
def wind_at_2m(*, wind_m_s: Numbers, height_m: Numbers, on_error: OnError = ...) -> Floats: ...
def wind_at_2m(*, wind_m_s: Numbers, height_m: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the wind speed at 2 m above short grass from that at another height: 4.87 u / ln(67.8 z - 5.42).

    Parameters
    ----------
    wind_m_s : float or array-like
        Wind speed at the sensor, m/s, 0 to 60.
    height_m : float or array-like
        Height of the sensor above ground, m, 0.5 to 100.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        m/s, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 47; Example 14 prints 2.4 m/s.

    Examples
    --------
    >>> from dibble import air
    >>> round(air.wind_at_2m(wind_m_s=3.2, height_m=10), 1)
    2.4
    """
    return _dibble.wind_at_2m(wind_m_s=wind_m_s, height_m=height_m, on_error=on_error)
