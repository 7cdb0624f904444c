"""Where the sun stands, and the radiation of a whole day above the air.

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["daylight_hours", "declination", "extraterrestrial_radiation", "inverse_distance", "sunset_angle"]


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
