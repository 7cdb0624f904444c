"""Solar radiation of days on which nobody measured it.

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["solar_by_ratio", "solar_from_range", "solar_from_sunshine", "solar_on_island"]


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
