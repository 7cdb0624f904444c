"""The sun: where it stands, and how much radiation comes in above the air and at the ground.

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
    "daylight_hours",
    "declination",
    "extraterrestrial_radiation",
    "extraterrestrial_radiation_hourly",
    "inverse_distance",
    "net_longwave_daily",
    "net_longwave_hourly",
    "net_shortwave",
    "soil_heat_from_month_before",
    "soil_heat_from_neighbor_months",
    "soil_heat_hourly",
    "solar_by_ratio",
    "solar_from_range",
    "solar_from_sunshine",
    "solar_on_island",
    "solar_time_angle",
    "sunset_angle",
]


@overload
def inverse_distance(day_of_year: Number, *, on_error: OnError = ...) -> float: ...
@overload
def inverse_distance(day_of_year: Numbers, *, on_error: OnError = ...) -> Floats: ...
def inverse_distance(day_of_year: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the inverse relative distance from earth to sun: 1 + 0.033 cos(2 pi J / 365).

    Parameters
    ----------
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Without unit, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 (Allen et al. 1998) Eq. 23; Example 8 prints 0.985.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.inverse_distance(246), 3)
    0.985
    """
    return _dibble.inverse_distance(day_of_year=day_of_year, on_error=on_error)


@overload
def declination(day_of_year: Number, *, on_error: OnError = ...) -> float: ...
@overload
def declination(day_of_year: Numbers, *, on_error: OnError = ...) -> Floats: ...
def declination(day_of_year: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the solar declination: 0.409 sin(2 pi J / 365 - 1.39). About a degree off in autumn, as published.

    Parameters
    ----------
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Radians, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 24; Example 8 prints 0.120.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.declination(246), 3)
    0.12
    """
    return _dibble.declination(day_of_year=day_of_year, on_error=on_error)


@overload
def sunset_angle(latitude_deg: Number, day_of_year: Number, *, on_error: OnError = ...) -> float: ...
@overload
def sunset_angle(latitude_deg: Numbers, day_of_year: Numbers, *, on_error: OnError = ...) -> Floats: ...
def sunset_angle(latitude_deg: Numbers, day_of_year: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the sunset hour angle: 0 in polar night, pi in polar day.

    Parameters
    ----------
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Radians, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 25; Example 8 prints 1.527.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.sunset_angle(-20, 246), 3)
    1.527
    """
    return _dibble.sunset_angle(latitude_deg=latitude_deg, day_of_year=day_of_year, on_error=on_error)


@overload
def extraterrestrial_radiation(latitude_deg: Number, day_of_year: Number, *, on_error: OnError = ...) -> float: ...
@overload
def extraterrestrial_radiation(latitude_deg: Numbers, day_of_year: Numbers, *, on_error: OnError = ...) -> Floats: ...
def extraterrestrial_radiation(latitude_deg: Numbers, day_of_year: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the radiation that a day brings above the atmosphere; zero in polar night.

    Parameters
    ----------
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
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
    FAO-56 Eq. 21; Example 8 prints 32.2.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.extraterrestrial_radiation(-20, 246), 1)
    32.2
    """
    return _dibble.extraterrestrial_radiation(latitude_deg=latitude_deg, day_of_year=day_of_year, on_error=on_error)


@overload
def daylight_hours(latitude_deg: Number, day_of_year: Number, *, on_error: OnError = ...) -> float: ...
@overload
def daylight_hours(latitude_deg: Numbers, day_of_year: Numbers, *, on_error: OnError = ...) -> Floats: ...
def daylight_hours(latitude_deg: Numbers, day_of_year: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the hours from sunrise to sunset. Almanacs count 0.1 to 0.4 h more.

    Parameters
    ----------
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        h, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 34; Example 9 prints 11.7.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.daylight_hours(-20, 246), 1)
    11.7
    """
    return _dibble.daylight_hours(latitude_deg=latitude_deg, day_of_year=day_of_year, on_error=on_error)


@overload
def solar_time_angle(
    *,
    latitude_deg: Number,
    longitude_deg: Number,
    utc_offset_h: Number,
    day_of_year: Number,
    midpoint_h: Number,
    length_h: Number,
    on_error: OnError = ...,
) -> float: ...
@overload
def solar_time_angle(
    *,
    latitude_deg: Numbers,
    longitude_deg: Numbers,
    utc_offset_h: Numbers,
    day_of_year: Numbers,
    midpoint_h: Numbers,
    length_h: Numbers,
    on_error: OnError = ...,
) -> Floats: ...
def solar_time_angle(
    *,
    latitude_deg: Numbers,
    longitude_deg: Numbers,
    utc_offset_h: Numbers,
    day_of_year: Numbers,
    midpoint_h: Numbers,
    length_h: Numbers,
    on_error: OnError = "raise",
) -> float | Floats:
    """Return the solar time angle at the middle of a period.

    Parameters
    ----------
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    longitude_deg : float or array-like
        Longitude, deg, -180 to 180, east positive.
    utc_offset_h : float or array-like
        Offset of local standard time from UTC, h, -12 to 14.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    midpoint_h : float or array-like
        Middle of the period in local standard time, h, 0 to 24.
    length_h : float or array-like
        Length of the period, h.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Radians, 0 at solar noon, negative before, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 Eq. 31-33; Example 19 has 0.682 rad.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.solar_time_angle(
    ...     latitude_deg=16 + 13 / 60, longitude_deg=-16.25, utc_offset_h=-1, day_of_year=274, midpoint_h=14.5, length_h=1
    ... ), 3)
    0.682
    """
    return _dibble.solar_time_angle(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        utc_offset_h=utc_offset_h,
        day_of_year=day_of_year,
        midpoint_h=midpoint_h,
        length_h=length_h,
        on_error=on_error,
    )


@overload
def extraterrestrial_radiation_hourly(
    *,
    latitude_deg: Number,
    longitude_deg: Number,
    utc_offset_h: Number,
    day_of_year: Number,
    midpoint_h: Number,
    length_h: Number,
    on_error: OnError = ...,
) -> float: ...
@overload
def extraterrestrial_radiation_hourly(
    *,
    latitude_deg: Numbers,
    longitude_deg: Numbers,
    utc_offset_h: Numbers,
    day_of_year: Numbers,
    midpoint_h: Numbers,
    length_h: Numbers,
    on_error: OnError = ...,
) -> Floats: ...
def extraterrestrial_radiation_hourly(
    *,
    latitude_deg: Numbers,
    longitude_deg: Numbers,
    utc_offset_h: Numbers,
    day_of_year: Numbers,
    midpoint_h: Numbers,
    length_h: Numbers,
    on_error: OnError = "raise",
) -> float | Floats:
    """Return the radiation that an hour or a shorter period brings above the atmosphere.

    Parameters
    ----------
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    longitude_deg : float or array-like
        Longitude, deg, -180 to 180, east positive.
    utc_offset_h : float or array-like
        Offset of local standard time from UTC, h, -12 to 14.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    midpoint_h : float or array-like
        Middle of the period in local standard time, h, 0 to 24.
    length_h : float or array-like
        Length of the period, h.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        MJ/m2 in the period, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 Eq. 28; Example 19 prints 3.543.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.extraterrestrial_radiation_hourly(
    ...     latitude_deg=16 + 13 / 60, longitude_deg=-16.25, utc_offset_h=-1, day_of_year=274, midpoint_h=14.5, length_h=1
    ... ), 3)
    3.543
    """
    return _dibble.extraterrestrial_radiation_hourly(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        utc_offset_h=utc_offset_h,
        day_of_year=day_of_year,
        midpoint_h=midpoint_h,
        length_h=length_h,
        on_error=on_error,
    )


@overload
def solar_from_sunshine(*, sunshine_h: Number, latitude_deg: Number, day_of_year: Number, on_error: OnError = ...) -> float: ...
@overload
def solar_from_sunshine(*, sunshine_h: Numbers, latitude_deg: Numbers, day_of_year: Numbers, on_error: OnError = ...) -> Floats: ...
def solar_from_sunshine(*, sunshine_h: Numbers, latitude_deg: Numbers, day_of_year: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the solar radiation from hours of bright sunshine: (0.25 + 0.50 n/N) Ra.

    Parameters
    ----------
    sunshine_h : float or array-like
        Hours of bright sunshine, h, 0 to 24.
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
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
    FAO-56 Eq. 35; Example 10 prints 14.5.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.solar_from_sunshine(sunshine_h=7.1, latitude_deg=-22.9, day_of_year=135), 1)
    14.5
    """
    return _dibble.solar_from_sunshine(sunshine_h=sunshine_h, latitude_deg=latitude_deg, day_of_year=day_of_year, on_error=on_error)


@overload
def solar_from_range(
    *, tmin_c: Number, tmax_c: Number, latitude_deg: Number, elevation_m: Number, day_of_year: Number, k_rs: Number, on_error: OnError = ...
) -> float: ...
@overload
def solar_from_range(
    *,
    tmin_c: Numbers,
    tmax_c: Numbers,
    latitude_deg: Numbers,
    elevation_m: Numbers,
    day_of_year: Numbers,
    k_rs: Numbers,
    on_error: OnError = ...,
) -> Floats: ...
def solar_from_range(
    *,
    tmin_c: Numbers,
    tmax_c: Numbers,
    latitude_deg: Numbers,
    elevation_m: Numbers,
    day_of_year: Numbers,
    k_rs: Numbers,
    on_error: OnError = "raise",
) -> float | Floats:
    """Return the solar radiation from the day's temperature range, at most the clear sky's. For sums of several days.

    Parameters
    ----------
    tmin_c : float or array-like
        The day's lowest temperature, deg C, -90 to 60.
    tmax_c : float or array-like
        The day's highest temperature, deg C, -90 to 60.
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    elevation_m : float or array-like
        Elevation above sea level, m, -450 to 6000.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    k_rs : float or array-like
        0.16 inland, 0.19 on a coast.
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
    FAO-56 Eq. 50; Example 15 prints 22.3.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.solar_from_range(tmin_c=14.8, tmax_c=26.6, latitude_deg=45.717, elevation_m=200, day_of_year=196, k_rs=0.16), 1)
    22.3
    """
    return _dibble.solar_from_range(
        tmin_c=tmin_c,
        tmax_c=tmax_c,
        latitude_deg=latitude_deg,
        elevation_m=elevation_m,
        day_of_year=day_of_year,
        k_rs=k_rs,
        on_error=on_error,
    )


@overload
def solar_on_island(extraterrestrial_mj_m2: Number, *, on_error: OnError = ...) -> float: ...
@overload
def solar_on_island(extraterrestrial_mj_m2: Numbers, *, on_error: OnError = ...) -> Floats: ...
def solar_on_island(extraterrestrial_mj_m2: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the solar radiation on a small island, for monthly means only: 0.7 Ra - 4.

    Parameters
    ----------
    extraterrestrial_mj_m2 : float or array-like
        Radiation above the atmosphere, MJ/m2, 0 to 50.
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
    FAO-56 Eq. 51.

    Examples
    --------
    >>> from dibble import sun
    >>> round(sun.solar_on_island(40), 9)
    24.0
    """
    return _dibble.solar_on_island(extraterrestrial_mj_m2=extraterrestrial_mj_m2, on_error=on_error)


@overload
def solar_by_ratio(
    *, station_solar_mj_m2: Number, station_extraterrestrial_mj_m2: Number, extraterrestrial_mj_m2: Number, on_error: OnError = ...
) -> float: ...
@overload
def solar_by_ratio(
    *, station_solar_mj_m2: Numbers, station_extraterrestrial_mj_m2: Numbers, extraterrestrial_mj_m2: Numbers, on_error: OnError = ...
) -> Floats: ...
def solar_by_ratio(
    *, station_solar_mj_m2: Numbers, station_extraterrestrial_mj_m2: Numbers, extraterrestrial_mj_m2: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the solar radiation carried over from a nearby station of the same weather.

    Parameters
    ----------
    station_solar_mj_m2 : float or array-like
        Solar radiation at the station, MJ/m2, 0 to 50.
    station_extraterrestrial_mj_m2 : float or array-like
        Radiation above the atmosphere at the station, MJ/m2, 0 to 50.
    extraterrestrial_mj_m2 : float or array-like
        Radiation above the atmosphere, MJ/m2, 0 to 50.
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
    FAO-56 Eq. 49.

    Examples
    --------
    >>> from dibble import sun
    >>> sun.solar_by_ratio(station_solar_mj_m2=20, station_extraterrestrial_mj_m2=40, extraterrestrial_mj_m2=36)
    18.0
    """
    return _dibble.solar_by_ratio(
        station_solar_mj_m2=station_solar_mj_m2,
        station_extraterrestrial_mj_m2=station_extraterrestrial_mj_m2,
        extraterrestrial_mj_m2=extraterrestrial_mj_m2,
        on_error=on_error,
    )


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
