"""Reference evapotranspiration of the short and the tall surface (FAO-56 chapters 2 to 4).

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import Literal, TypeAlias, overload

from dibble import _dibble
from dibble._gate import thread_count
from dibble._types import Floats, Number, Numbers, OnError

HourlyForm: TypeAlias = Literal["fao56", "short", "tall"]
Surface: TypeAlias = Literal["short", "tall"]

__all__ = [
    "aerodynamic_resistance_s_m",
    "evaporation_equivalent_mm",
    "reference_daily",
    "reference_from_temperature",
    "reference_hourly",
    "reference_with_soil_heat",
]


@overload
def reference_daily(
    *,
    tmin_c: Number,
    tmax_c: Number,
    vapor_pressure_kpa: Number,
    wind_2m_m_s: Number,
    solar_mj_m2: Number,
    latitude_deg: Number,
    elevation_m: Number,
    day_of_year: Number,
    surface: Surface = ...,
    on_error: OnError = ...,
    n_threads: int | None = ...,
) -> float: ...
@overload
def reference_daily(
    *,
    tmin_c: Numbers,
    tmax_c: Numbers,
    vapor_pressure_kpa: Numbers,
    wind_2m_m_s: Numbers,
    solar_mj_m2: Numbers,
    latitude_deg: Numbers,
    elevation_m: Numbers,
    day_of_year: Numbers,
    surface: Surface = ...,
    on_error: OnError = ...,
    n_threads: int | None = ...,
) -> Floats: ...
def reference_daily(
    *,
    tmin_c: Numbers,
    tmax_c: Numbers,
    vapor_pressure_kpa: Numbers,
    wind_2m_m_s: Numbers,
    solar_mj_m2: Numbers,
    latitude_deg: Numbers,
    elevation_m: Numbers,
    day_of_year: Numbers,
    surface: Surface = "short",
    on_error: OnError = "raise",
    n_threads: int | None = None,
) -> float | Floats:
    """Return the reference evapotranspiration of a day, without heat into the soil.

    Parameters
    ----------
    tmin_c : float or array-like
        The day's lowest temperature, deg C, -90 to 60.
    tmax_c : float or array-like
        The day's highest temperature, deg C, -90 to 60.
    vapor_pressure_kpa : float or array-like
        Actual vapor pressure, kPa, 0 to 8.
    wind_2m_m_s : float or array-like
        Wind speed at 2 m, m/s, 0 to 60.
    solar_mj_m2 : float or array-like
        Solar radiation, MJ/m2, 0 to 50.
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    elevation_m : float or array-like
        Elevation above sea level, m, -450 to 6000.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    surface : {"short", "tall"}
        Clipped grass of 0.12 m, or full-cover alfalfa of 0.5 m (ASCE-EWRI 2005, from memory).
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.
    n_threads : int, optional
        Threads for large arrays; without it `DIBBLE_NUM_THREADS`, else one for each core. The answer is the same.

    Returns
    -------
    float or ndarray
        mm a day, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 (Allen et al. 1998) Eq. 6; Example 18 prints 3.9 mm, unrounded 3.88.

    Examples
    --------
    >>> from dibble import et
    >>> day = dict(tmin_c=12.3, tmax_c=21.5, vapor_pressure_kpa=1.409, wind_2m_m_s=2.078, solar_mj_m2=22.07)
    >>> round(et.reference_daily(**day, latitude_deg=50.8, elevation_m=100, day_of_year=187), 2)
    3.88
    """
    return _dibble.reference_daily(
        tmin_c=tmin_c,
        tmax_c=tmax_c,
        vapor_pressure_kpa=vapor_pressure_kpa,
        wind_2m_m_s=wind_2m_m_s,
        solar_mj_m2=solar_mj_m2,
        latitude_deg=latitude_deg,
        elevation_m=elevation_m,
        day_of_year=day_of_year,
        surface=surface,
        on_error=on_error,
        n_threads=thread_count(n_threads),
    )


@overload
def reference_with_soil_heat(
    *,
    tmin_c: Number,
    tmax_c: Number,
    vapor_pressure_kpa: Number,
    wind_2m_m_s: Number,
    solar_mj_m2: Number,
    latitude_deg: Number,
    elevation_m: Number,
    day_of_year: Number,
    soil_heat_mj_m2: Number,
    surface: Surface = ...,
    on_error: OnError = ...,
) -> float: ...
@overload
def reference_with_soil_heat(
    *,
    tmin_c: Numbers,
    tmax_c: Numbers,
    vapor_pressure_kpa: Numbers,
    wind_2m_m_s: Numbers,
    solar_mj_m2: Numbers,
    latitude_deg: Numbers,
    elevation_m: Numbers,
    day_of_year: Numbers,
    soil_heat_mj_m2: Numbers,
    surface: Surface = ...,
    on_error: OnError = ...,
) -> Floats: ...
def reference_with_soil_heat(
    *,
    tmin_c: Numbers,
    tmax_c: Numbers,
    vapor_pressure_kpa: Numbers,
    wind_2m_m_s: Numbers,
    solar_mj_m2: Numbers,
    latitude_deg: Numbers,
    elevation_m: Numbers,
    day_of_year: Numbers,
    soil_heat_mj_m2: Numbers,
    surface: Surface = "short",
    on_error: OnError = "raise",
) -> float | Floats:
    """Return the reference evapotranspiration of a day with heat into the soil, for monthly means.

    Parameters
    ----------
    tmin_c : float or array-like
        The day's lowest temperature, deg C, -90 to 60.
    tmax_c : float or array-like
        The day's highest temperature, deg C, -90 to 60.
    vapor_pressure_kpa : float or array-like
        Actual vapor pressure, kPa, 0 to 8.
    wind_2m_m_s : float or array-like
        Wind speed at 2 m, m/s, 0 to 60.
    solar_mj_m2 : float or array-like
        Solar radiation, MJ/m2, 0 to 50.
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    elevation_m : float or array-like
        Elevation above sea level, m, -450 to 6000.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    soil_heat_mj_m2 : float or array-like
        Heat into the soil, MJ/m2 a day, -15 to 15.
    surface : {"short", "tall"}
        Clipped grass of 0.12 m, or full-cover alfalfa of 0.5 m (ASCE-EWRI 2005, from memory).
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        mm a day, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 Eq. 6; Example 17 prints 5.72 mm.

    Examples
    --------
    >>> from dibble import et
    >>> april = dict(tmin_c=25.6, tmax_c=34.8, vapor_pressure_kpa=2.85, wind_2m_m_s=2, solar_mj_m2=22.65, soil_heat_mj_m2=0.14)
    >>> round(et.reference_with_soil_heat(**april, latitude_deg=13.733, elevation_m=2, day_of_year=105), 2)
    5.72
    """
    return _dibble.reference_with_soil_heat(
        tmin_c=tmin_c,
        tmax_c=tmax_c,
        vapor_pressure_kpa=vapor_pressure_kpa,
        wind_2m_m_s=wind_2m_m_s,
        solar_mj_m2=solar_mj_m2,
        latitude_deg=latitude_deg,
        elevation_m=elevation_m,
        day_of_year=day_of_year,
        soil_heat_mj_m2=soil_heat_mj_m2,
        surface=surface,
        on_error=on_error,
    )


@overload
def reference_hourly(
    *,
    t_c: Number,
    vapor_pressure_kpa: Number,
    wind_2m_m_s: Number,
    solar_mj_m2: Number,
    latitude_deg: Number,
    longitude_deg: Number,
    utc_offset_h: Number,
    elevation_m: Number,
    day_of_year: Number,
    midpoint_h: Number,
    night_ratio: Number,
    form: HourlyForm = ...,
    on_error: OnError = ...,
) -> float: ...
@overload
def reference_hourly(
    *,
    t_c: Numbers,
    vapor_pressure_kpa: Numbers,
    wind_2m_m_s: Numbers,
    solar_mj_m2: Numbers,
    latitude_deg: Numbers,
    longitude_deg: Numbers,
    utc_offset_h: Numbers,
    elevation_m: Numbers,
    day_of_year: Numbers,
    midpoint_h: Numbers,
    night_ratio: Numbers,
    form: HourlyForm = ...,
    on_error: OnError = ...,
) -> Floats: ...
def reference_hourly(
    *,
    t_c: Numbers,
    vapor_pressure_kpa: Numbers,
    wind_2m_m_s: Numbers,
    solar_mj_m2: Numbers,
    latitude_deg: Numbers,
    longitude_deg: Numbers,
    utc_offset_h: Numbers,
    elevation_m: Numbers,
    day_of_year: Numbers,
    midpoint_h: Numbers,
    night_ratio: Numbers,
    form: HourlyForm = "fao56",
    on_error: OnError = "raise",
) -> float | Floats:
    """Return the reference evapotranspiration of an hour.

    Parameters
    ----------
    t_c : float or array-like
        Air temperature, deg C, -90 to 60.
    vapor_pressure_kpa : float or array-like
        Actual vapor pressure, kPa, 0 to 8.
    wind_2m_m_s : float or array-like
        Wind speed at 2 m, m/s, 0 to 60.
    solar_mj_m2 : float or array-like
        Solar radiation, MJ/m2, 0 to 50.
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    longitude_deg : float or array-like
        Longitude, deg, -180 to 180, east positive.
    utc_offset_h : float or array-like
        Offset of local standard time from UTC, h, -12 to 14.
    elevation_m : float or array-like
        Elevation above sea level, m, -450 to 6000.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    midpoint_h : float or array-like
        Middle of the period in local standard time, h, 0 to 24.
    night_ratio : float or array-like
        Rs/Rso to take while the sun is down, 0 to 1: 0.4-0.6 in humid, 0.7-0.8 in dry climates.
    form : {"fao56", "short", "tall"}
        FAO-56 as printed, or the standardized short and tall forms (ASCE-EWRI 2005, from memory).
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        mm an hour, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 Eq. 53; Example 19 prints 0.63 mm.

    Examples
    --------
    >>> from dibble import et
    >>> place = dict(latitude_deg=16.217, longitude_deg=-16.25, utc_offset_h=-1, elevation_m=8)
    >>> hour = dict(t_c=38, vapor_pressure_kpa=3.445, wind_2m_m_s=3.3, solar_mj_m2=2.45, day_of_year=274, midpoint_h=14.5)
    >>> round(et.reference_hourly(**place, **hour, night_ratio=0.8), 2)
    0.63
    """
    return _dibble.reference_hourly(
        t_c=t_c,
        vapor_pressure_kpa=vapor_pressure_kpa,
        wind_2m_m_s=wind_2m_m_s,
        solar_mj_m2=solar_mj_m2,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        utc_offset_h=utc_offset_h,
        elevation_m=elevation_m,
        day_of_year=day_of_year,
        midpoint_h=midpoint_h,
        night_ratio=night_ratio,
        form=form,
        on_error=on_error,
    )


@overload
def reference_from_temperature(
    *, tmin_c: Number, tmax_c: Number, latitude_deg: Number, day_of_year: Number, on_error: OnError = ...
) -> float: ...
@overload
def reference_from_temperature(
    *, tmin_c: Numbers, tmax_c: Numbers, latitude_deg: Numbers, day_of_year: Numbers, on_error: OnError = ...
) -> Floats: ...
def reference_from_temperature(
    *, tmin_c: Numbers, tmax_c: Numbers, latitude_deg: Numbers, day_of_year: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the reference evapotranspiration of a day from its temperatures alone (Hargreaves and Samani).

    Parameters
    ----------
    tmin_c : float or array-like
        The day's lowest temperature, deg C, -90 to 60.
    tmax_c : float or array-like
        The day's highest temperature, deg C, -90 to 60.
    latitude_deg : float or array-like
        Latitude, deg, -90 to 90, north positive.
    day_of_year : float or array-like
        Day of the year, 1 to 366.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        mm a day, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or values that cannot be true together.

    References
    ----------
    FAO-56 Eq. 52; Example 20 works it to 5.0 mm.

    Examples
    --------
    >>> from dibble import et
    >>> round(et.reference_from_temperature(tmin_c=14.8, tmax_c=26.6, latitude_deg=45.717, day_of_year=196), 1)
    5.0
    """
    return _dibble.reference_from_temperature(
        tmin_c=tmin_c, tmax_c=tmax_c, latitude_deg=latitude_deg, day_of_year=day_of_year, on_error=on_error
    )


@overload
def evaporation_equivalent_mm(energy_mj_m2: Number, *, on_error: OnError = ...) -> float: ...
@overload
def evaporation_equivalent_mm(energy_mj_m2: Numbers, *, on_error: OnError = ...) -> Floats: ...
def evaporation_equivalent_mm(energy_mj_m2: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the depth of water that an amount of energy evaporates: 0.408 mm for each MJ/m2.

    Parameters
    ----------
    energy_mj_m2 : float or array-like
        Energy, MJ/m2, 0 to 50.
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
    FAO-56 Eq. 20; Example 1 prints 4.9 mm.

    Examples
    --------
    >>> from dibble import et
    >>> round(et.evaporation_equivalent_mm(0.8 * 15), 1)
    4.9
    """
    return _dibble.evaporation_equivalent_mm(energy_mj_m2=energy_mj_m2, on_error=on_error)


@overload
def aerodynamic_resistance_s_m(*, height_m: Number, wind_2m_m_s: Number, on_error: OnError = ...) -> float: ...
@overload
def aerodynamic_resistance_s_m(*, height_m: Numbers, wind_2m_m_s: Numbers, on_error: OnError = ...) -> Floats: ...
def aerodynamic_resistance_s_m(*, height_m: Numbers, wind_2m_m_s: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the aerodynamic resistance of a cropped surface, with wind and humidity measured at 2 m.

    Parameters
    ----------
    height_m : float or array-like
        Height of the crop, m, above 0 to 2.
    wind_2m_m_s : float or array-like
        Wind speed at 2 m, m/s, 0 to 60.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        s/m, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 4; Box 4 prints 208 for grass of 0.12 m at 1 m/s.

    Examples
    --------
    >>> from dibble import et
    >>> round(et.aerodynamic_resistance_s_m(height_m=0.12, wind_2m_m_s=1))
    208
    """
    return _dibble.aerodynamic_resistance_s_m(height_m=height_m, wind_2m_m_s=wind_2m_m_s, on_error=on_error)
