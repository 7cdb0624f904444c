"""Where the sun stands in an hour or less, and the radiation above the air in it.

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

import numpy as np
import numpy.typing as npt

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["extraterrestrial_radiation_hourly", "shows_cloud_of_the_night", "solar_time_angle"]


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
def shows_cloud_of_the_night(
    *,
    latitude_deg: Number,
    longitude_deg: Number,
    utc_offset_h: Number,
    day_of_year: Number,
    midpoint_h: Number,
    length_h: Number,
    on_error: OnError = ...,
) -> bool: ...
@overload
def shows_cloud_of_the_night(
    *,
    latitude_deg: Numbers,
    longitude_deg: Numbers,
    utc_offset_h: Numbers,
    day_of_year: Numbers,
    midpoint_h: Numbers,
    length_h: Numbers,
    on_error: OnError = ...,
) -> npt.NDArray[np.bool_]: ...
def shows_cloud_of_the_night(
    *,
    latitude_deg: Numbers,
    longitude_deg: Numbers,
    utc_offset_h: Numbers,
    day_of_year: Numbers,
    midpoint_h: Numbers,
    length_h: Numbers,
    on_error: OnError = "raise",
) -> bool | npt.NDArray[np.bool_]:
    """Tell whether the cloudiness of a period may stand for that of the night to come.

    It may two to three hours before sunset, when the angle to sunset is 0.52 to 0.79 rad.

    Parameters
    ----------
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    longitude_deg : float or array-like
        Longitude, deg, -180 to 180, east positive.
    utc_offset_h : float or array-like
        Local standard time minus UTC, h, without daylight saving.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    midpoint_h : float or array-like
        Middle of the period in local standard time, h.
    length_h : float or array-like
        Length of the period, h.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range: raise, or answer no.

    Returns
    -------
    bool or ndarray of bool
        In the broadcast shape; where an element is missing, no.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or a longitude that does not fit the offset from UTC.

    References
    ----------
    FAO-56 p. 75.

    Examples
    --------
    The hour around 15:36 at the equator in March, and the one around noon:

    >>> from dibble import sun
    >>> place = dict(latitude_deg=0, longitude_deg=0, utc_offset_h=0, day_of_year=81, length_h=1)
    >>> sun.shows_cloud_of_the_night(**place, midpoint_h=[15.6, 12]).tolist()
    [True, False]
    """
    answer = _dibble.shows_cloud_of_the_night(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        utc_offset_h=utc_offset_h,
        day_of_year=day_of_year,
        midpoint_h=midpoint_h,
        length_h=length_h,
        on_error=on_error,
    )
    return answer == 1.0
