"""Radiation at the ground: clear sky, short and long waves, and heat into the soil.

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = [
    "black_body_radiation",
    "clear_sky_radiation",
    "clear_sky_radiation_near_sea_level",
    "net_longwave_daily",
    "net_longwave_hourly",
    "net_shortwave",
    "soil_heat_from_month_before",
    "soil_heat_from_neighbor_months",
    "soil_heat_hourly",
]


@overload
def clear_sky_radiation(*, extraterrestrial_mj_m2: Number, elevation_m: Number, on_error: OnError = ...) -> float: ...
@overload
def clear_sky_radiation(*, extraterrestrial_mj_m2: Numbers, elevation_m: Numbers, on_error: OnError = ...) -> Floats: ...
def clear_sky_radiation(*, extraterrestrial_mj_m2: Numbers, elevation_m: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the radiation of a day without clouds: (0.75 + 2e-5 z) Ra.

    Parameters
    ----------
    extraterrestrial_mj_m2 : float or array-like
        Radiation above the atmosphere, MJ/m2, 0 to 50.
    elevation_m : float or array-like
        Elevation above sea level, m, -450 to 6000.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        MJ/m2, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 37; Example 18 prints 30.90.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.clear_sky_radiation(extraterrestrial_mj_m2=41.09, elevation_m=100), 2)
    30.9
    """
    return _dibble.clear_sky_radiation(extraterrestrial_mj_m2=extraterrestrial_mj_m2, elevation_m=elevation_m, on_error=on_error)


@overload
def clear_sky_radiation_near_sea_level(extraterrestrial_mj_m2: Number, *, on_error: OnError = ...) -> float: ...
@overload
def clear_sky_radiation_near_sea_level(extraterrestrial_mj_m2: Numbers, *, on_error: OnError = ...) -> Floats: ...
def clear_sky_radiation_near_sea_level(extraterrestrial_mj_m2: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the radiation of a day without clouds near sea level: 0.75 Ra.

    Parameters
    ----------
    extraterrestrial_mj_m2 : float or array-like
        Radiation above the atmosphere, MJ/m2, 0 to 50.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        MJ/m2, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 36; Example 11 prints 18.8.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.clear_sky_radiation_near_sea_level(25.1), 1)
    18.8
    """
    return _dibble.clear_sky_radiation_near_sea_level(extraterrestrial_mj_m2=extraterrestrial_mj_m2, on_error=on_error)


@overload
def black_body_radiation(t_c: Number, *, on_error: OnError = ...) -> float: ...
@overload
def black_body_radiation(t_c: Numbers, *, on_error: OnError = ...) -> Floats: ...
def black_body_radiation(t_c: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the radiation of a black body at an air temperature: 4.903e-9 (T + 273.16)^4.

    Parameters
    ----------
    t_c : float or array-like
        Air temperature, deg C, -90 to 60.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        MJ/m2 a day, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Table 2.8 prints 36.21 at 20 deg C.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.black_body_radiation(20), 2)
    36.21
    """
    return _dibble.black_body_radiation(t_c=t_c, on_error=on_error)


@overload
def net_shortwave(solar_mj_m2: Number, *, on_error: OnError = ...) -> float: ...
@overload
def net_shortwave(solar_mj_m2: Numbers, *, on_error: OnError = ...) -> Floats: ...
def net_shortwave(solar_mj_m2: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the solar radiation that the reference crop keeps: 0.77 Rs.

    Parameters
    ----------
    solar_mj_m2 : float or array-like
        Solar radiation, MJ/m2, 0 to 50.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        MJ/m2, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 38; Example 12 prints 11.1.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.net_shortwave(14.456), 1)
    11.1
    """
    return _dibble.net_shortwave(solar_mj_m2=solar_mj_m2, on_error=on_error)


@overload
def net_longwave_daily(
    *, tmin_c: Number, tmax_c: Number, vapor_pressure_kpa: Number, solar_mj_m2: Number, clear_sky_mj_m2: Number, on_error: OnError = ...
) -> float: ...
@overload
def net_longwave_daily(
    *,
    tmin_c: Numbers,
    tmax_c: Numbers,
    vapor_pressure_kpa: Numbers,
    solar_mj_m2: Numbers,
    clear_sky_mj_m2: Numbers,
    on_error: OnError = ...,
) -> Floats: ...
def net_longwave_daily(
    *,
    tmin_c: Numbers,
    tmax_c: Numbers,
    vapor_pressure_kpa: Numbers,
    solar_mj_m2: Numbers,
    clear_sky_mj_m2: Numbers,
    on_error: OnError = "raise",
) -> float | Floats:
    """Return the net outgoing longwave radiation of a day, with Rs/Rso at most 1.

    Parameters
    ----------
    tmin_c : float or array-like
        The day's lowest temperature, deg C, -90 to 60.
    tmax_c : float or array-like
        The day's highest temperature, deg C, -90 to 60.
    vapor_pressure_kpa : float or array-like
        Actual vapor pressure, kPa, 0 to 8.
    solar_mj_m2 : float or array-like
        Solar radiation, MJ/m2, 0 to 50.
    clear_sky_mj_m2 : float or array-like
        Radiation of a day without clouds, MJ/m2, 0 to 50.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        MJ/m2 a day, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 Eq. 39; Example 11 prints 3.5.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.net_longwave_daily(tmin_c=19.1, tmax_c=25.1, vapor_pressure_kpa=2.1, solar_mj_m2=14.5, clear_sky_mj_m2=18.8), 1)
    3.5
    """
    return _dibble.net_longwave_daily(
        tmin_c=tmin_c,
        tmax_c=tmax_c,
        vapor_pressure_kpa=vapor_pressure_kpa,
        solar_mj_m2=solar_mj_m2,
        clear_sky_mj_m2=clear_sky_mj_m2,
        on_error=on_error,
    )


@overload
def net_longwave_hourly(*, t_c: Number, vapor_pressure_kpa: Number, cloud_ratio: Number, on_error: OnError = ...) -> float: ...
@overload
def net_longwave_hourly(*, t_c: Numbers, vapor_pressure_kpa: Numbers, cloud_ratio: Numbers, on_error: OnError = ...) -> Floats: ...
def net_longwave_hourly(*, t_c: Numbers, vapor_pressure_kpa: Numbers, cloud_ratio: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the net outgoing longwave radiation of an hour.

    Parameters
    ----------
    t_c : float or array-like
        Air temperature, deg C, -90 to 60.
    vapor_pressure_kpa : float or array-like
        Actual vapor pressure, kPa, 0 to 8.
    cloud_ratio : float or array-like
        Solar over clear-sky radiation, 0 to 1.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        MJ/m2 an hour, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 39 with 2.043e-10; Example 19 prints 0.137.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.net_longwave_hourly(t_c=38, vapor_pressure_kpa=3.445, cloud_ratio=0.922), 3)
    0.137
    """
    return _dibble.net_longwave_hourly(t_c=t_c, vapor_pressure_kpa=vapor_pressure_kpa, cloud_ratio=cloud_ratio, on_error=on_error)


@overload
def soil_heat_from_neighbor_months(*, t_before_c: Number, t_next_c: Number, on_error: OnError = ...) -> float: ...
@overload
def soil_heat_from_neighbor_months(*, t_before_c: Numbers, t_next_c: Numbers, on_error: OnError = ...) -> Floats: ...
def soil_heat_from_neighbor_months(*, t_before_c: Numbers, t_next_c: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the heat that goes into the soil in a month, from the months before and after: 0.07 (Tnext - Tbefore).

    Parameters
    ----------
    t_before_c : float or array-like
        Mean temperature of the month before, deg C.
    t_next_c : float or array-like
        Mean temperature of the month after, deg C.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        MJ/m2 a day, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 43; Example 13 has 0.33 (from memory).

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.soil_heat_from_neighbor_months(t_before_c=14.1, t_next_c=18.8), 2)
    0.33
    """
    return _dibble.soil_heat_from_neighbor_months(t_before_c=t_before_c, t_next_c=t_next_c, on_error=on_error)


@overload
def soil_heat_from_month_before(*, t_before_c: Number, t_c: Number, on_error: OnError = ...) -> float: ...
@overload
def soil_heat_from_month_before(*, t_before_c: Numbers, t_c: Numbers, on_error: OnError = ...) -> Floats: ...
def soil_heat_from_month_before(*, t_before_c: Numbers, t_c: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the heat that goes into the soil in a month, from the month before: 0.14 (T - Tbefore).

    Parameters
    ----------
    t_before_c : float or array-like
        Mean temperature of the month before, deg C.
    t_c : float or array-like
        Air temperature, deg C, -90 to 60.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        MJ/m2 a day, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 44; Example 17 prints 0.14.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.soil_heat_from_month_before(t_before_c=29.2, t_c=30.2), 2)
    0.14
    """
    return _dibble.soil_heat_from_month_before(t_before_c=t_before_c, t_c=t_c, on_error=on_error)


@overload
def soil_heat_hourly(net_radiation_mj_m2: Number, *, on_error: OnError = ...) -> float: ...
@overload
def soil_heat_hourly(net_radiation_mj_m2: Numbers, *, on_error: OnError = ...) -> Floats: ...
def soil_heat_hourly(net_radiation_mj_m2: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the heat that goes into the soil in an hour: 0.1 Rn by day, 0.5 Rn by night.

    Parameters
    ----------
    net_radiation_mj_m2 : float or array-like
        Net radiation of the hour, MJ/m2, -5 to 10.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        MJ/m2 an hour, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 45-46; Example 19 prints 0.175 by day.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.soil_heat_hourly(1.749), 3)
    0.175
    """
    return _dibble.soil_heat_hourly(net_radiation_mj_m2=net_radiation_mj_m2, on_error=on_error)
