"""Young or sparse stands: from the cover and height of the plants to their coefficient (FAO-56 chapter 9).

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = [
    "density_coefficient",
    "density_coefficient_2009",
    "effective_cover_of_rows",
    "effective_cover_of_trees",
    "kcb_from_cover",
    "kcb_from_leaf_area",
    "kcb_full",
    "kcb_over_ground_cover",
    "noon_sun_elevation",
]


@overload
def kcb_full(*, height_m: Number, wind_2m_m_s: Number, rh_min_pct: Number, on_error: OnError = ...) -> float: ...
@overload
def kcb_full(*, height_m: Numbers, wind_2m_m_s: Numbers, rh_min_pct: Numbers, on_error: OnError = ...) -> Floats: ...
def kcb_full(*, height_m: Numbers, wind_2m_m_s: Numbers, rh_min_pct: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the basal coefficient of a stand that covers the ground fully.

    min(1.0 + 0.1 h, 1.20) + (0.04 (u_2 - 2) - 0.004 (RHmin - 45)) (h / 3)^0.3.

    Parameters
    ----------
    height_m : float or array-like
        Plant height, m, 0 to 120.
    wind_2m_m_s : float or array-like
        Wind speed at 2 m, m/s, 0 to 60.
    rh_min_pct : float or array-like
        Lowest relative humidity of the day, %, 0 to 100.
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
    FAO-56 Eq. 100-101; Example 41 prints 1.15 for 2 m, 1.5 m/s and 55 %.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.kcb_full(height_m=2, wind_2m_m_s=1.5, rh_min_pct=55), 2)
    1.15
    """
    return _dibble.kcb_full(height_m=height_m, wind_2m_m_s=wind_2m_m_s, rh_min_pct=rh_min_pct, on_error=on_error)


@overload
def noon_sun_elevation(*, latitude_deg: Number, day_of_year: Number, on_error: OnError = ...) -> float: ...
@overload
def noon_sun_elevation(*, latitude_deg: Numbers, day_of_year: Numbers, on_error: OnError = ...) -> Floats: ...
def noon_sun_elevation(*, latitude_deg: Numbers, day_of_year: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the height of the sun above the horizon at noon; 0 if it does not rise.

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
        rad, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 p. 188; Example 41 prints 1.24 rad at 40 deg N on day 200 (unrounded 1.235).

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.noon_sun_elevation(latitude_deg=40, day_of_year=200), 3)
    1.235
    """
    return _dibble.noon_sun_elevation(latitude_deg=latitude_deg, day_of_year=day_of_year, on_error=on_error)


@overload
def effective_cover_of_rows(
    *, canopy_cover: Number, height_to_width: Number, sun_elevation_rad: Number, on_error: OnError = ...
) -> float: ...
@overload
def effective_cover_of_rows(
    *, canopy_cover: Numbers, height_to_width: Numbers, sun_elevation_rad: Numbers, on_error: OnError = ...
) -> Floats: ...
def effective_cover_of_rows(
    *, canopy_cover: Numbers, height_to_width: Numbers, sun_elevation_rad: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the fraction of the ground that rows shade near noon: f_c (1 + HWR / tan(elevation)), at most 1.

    Parameters
    ----------
    canopy_cover : float or array-like
        Fraction of the ground covered, seen from above, 0 to 1.
    height_to_width : float or array-like
        h cos G / width, with G the angle of the rows from east-west (0 for rows running north-south), 0 to 50.
    sun_elevation_rad : float or array-like
        Height of the sun above the horizon, rad, 0 to pi/2, from `noon_sun_elevation`.
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
    FAO-56 p. 187; Example 41 prints 0.40.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.effective_cover_of_rows(canopy_cover=0.3, height_to_width=1, sun_elevation_rad=1.235), 1)
    0.4
    """
    return _dibble.effective_cover_of_rows(
        canopy_cover=canopy_cover, height_to_width=height_to_width, sun_elevation_rad=sun_elevation_rad, on_error=on_error
    )


@overload
def effective_cover_of_trees(*, canopy_cover: Number, sun_elevation_rad: Number, on_error: OnError = ...) -> float: ...
@overload
def effective_cover_of_trees(*, canopy_cover: Numbers, sun_elevation_rad: Numbers, on_error: OnError = ...) -> Floats: ...
def effective_cover_of_trees(*, canopy_cover: Numbers, sun_elevation_rad: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the fraction of the ground that round crowns shade near noon: f_c / sin(elevation), at most 1.

    Parameters
    ----------
    canopy_cover : float or array-like
        Fraction of the ground covered, seen from above, 0 to 1.
    sun_elevation_rad : float or array-like
        Height of the sun above the horizon, rad, 0 to pi/2, from `noon_sun_elevation`.
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
    FAO-56 Box 18; Example 43 prints 0.40 from 0.393 at 30 deg N on day 180.

    Examples
    --------
    >>> from dibble.et import crop
    >>> noon = crop.noon_sun_elevation(latitude_deg=30, day_of_year=180)
    >>> round(crop.effective_cover_of_trees(canopy_cover=0.3927, sun_elevation_rad=noon), 2)
    0.4
    """
    return _dibble.effective_cover_of_trees(canopy_cover=canopy_cover, sun_elevation_rad=sun_elevation_rad, on_error=on_error)


@overload
def density_coefficient(*, canopy_cover: Number, effective_cover: Number, height_m: Number, on_error: OnError = ...) -> float: ...
@overload
def density_coefficient(*, canopy_cover: Numbers, effective_cover: Numbers, height_m: Numbers, on_error: OnError = ...) -> Floats: ...
def density_coefficient(
    *, canopy_cover: Numbers, effective_cover: Numbers, height_m: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the share of the full-cover coefficient that sparse plants reach: min(1, 2 f_c, f_eff^(1 / (1 + h))).

    "Applies well to trees and shrubs" (p. 188).

    Parameters
    ----------
    canopy_cover : float or array-like
        Fraction of the ground covered, seen from above, 0 to 1.
    effective_cover : float or array-like
        Fraction of the ground shaded near noon, 0 to 1; the canopy cover if nothing better is known.
    height_m : float or array-like
        Plant height, m, 0 to 120.
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
    FAO-56 Eq. 98; Example 41 prints 0.6, the limit 2 f_c.

    Examples
    --------
    >>> from dibble.et import crop
    >>> crop.density_coefficient(canopy_cover=0.3, effective_cover=0.405, height_m=2)
    0.6
    """
    return _dibble.density_coefficient(canopy_cover=canopy_cover, effective_cover=effective_cover, height_m=height_m, on_error=on_error)


@overload
def density_coefficient_2009(*, effective_cover: Number, height_m: Number, m_l: Number, on_error: OnError = ...) -> float: ...
@overload
def density_coefficient_2009(*, effective_cover: Numbers, height_m: Numbers, m_l: Numbers, on_error: OnError = ...) -> Floats: ...
def density_coefficient_2009(*, effective_cover: Numbers, height_m: Numbers, m_l: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the later form of `density_coefficient`: min(1, M_L f_eff, f_eff^(1 / (1 + h))).

    Parameters
    ----------
    effective_cover : float or array-like
        Fraction of the ground shaded near noon, 0 to 1; the canopy cover if nothing better is known.
    height_m : float or array-like
        Plant height, m, 0 to 120.
    m_l : float or array-like
        The most that a unit of shaded ground can use, 1.5 to 2.0.
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
    Allen and Pereira (2009), Irrigation Science 28(1):17-34; equation and range from memory.

    Examples
    --------
    >>> from dibble.et import crop
    >>> crop.density_coefficient_2009(effective_cover=0.25, height_m=1, m_l=1.5)
    0.375
    """
    return _dibble.density_coefficient_2009(effective_cover=effective_cover, height_m=height_m, m_l=m_l, on_error=on_error)


@overload
def kcb_from_cover(*, kcb_full: Number, kc_min: Number, density: Number, on_error: OnError = ...) -> float: ...
@overload
def kcb_from_cover(*, kcb_full: Numbers, kc_min: Numbers, density: Numbers, on_error: OnError = ...) -> Floats: ...
def kcb_from_cover(*, kcb_full: Numbers, kc_min: Numbers, density: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the basal coefficient of sparse plants: Kc min + K_d (Kcb full - Kc min).

    Parameters
    ----------
    kcb_full : float or array-like
        Basal coefficient at full cover, 0 to 2.5, from `kcb_full` or a table.
    kc_min : float or array-like
        Coefficient of bare soil (0.15 to 0.20), or of the cover between the plants, 0 to 2.5.
    density : float or array-like
        Density coefficient, 0 to 1.
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
    FAO-56 Eq. 98; Example 41 prints 0.75.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.kcb_from_cover(kcb_full=1.147, kc_min=0.15, density=0.6), 2)
    0.75
    """
    return _dibble.kcb_from_cover(kcb_full=kcb_full, kc_min=kc_min, density=density, on_error=on_error)


@overload
def kcb_over_ground_cover(*, kcb_full: Number, kcb_cover: Number, density: Number, on_error: OnError = ...) -> float: ...
@overload
def kcb_over_ground_cover(*, kcb_full: Numbers, kcb_cover: Numbers, density: Numbers, on_error: OnError = ...) -> Floats: ...
def kcb_over_ground_cover(*, kcb_full: Numbers, kcb_cover: Numbers, density: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the basal coefficient of trees over an active ground cover.

    Kcb cover + K_d max(Kcb full - Kcb cover, half of that): where the cover uses more than the trees would, they take away
    half the difference by their shade.

    Parameters
    ----------
    kcb_full : float or array-like
        Basal coefficient at full cover, 0 to 2.5, from `kcb_full` or a table.
    kcb_cover : float or array-like
        Basal coefficient of the cover between the trees, 0 to 2.5.
    density : float or array-like
        Density coefficient, 0 to 1.
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
    Allen and Pereira (2009), Irrigation Science 28(1):17-34; equation from memory.

    Examples
    --------
    >>> from dibble.et import crop
    >>> crop.kcb_over_ground_cover(kcb_full=1, kcb_cover=0.75, density=0.5)
    0.875
    """
    return _dibble.kcb_over_ground_cover(kcb_full=kcb_full, kcb_cover=kcb_cover, density=density, on_error=on_error)


@overload
def kcb_from_leaf_area(*, kcb_full: Number, kc_min: Number, leaf_area_index: Number, on_error: OnError = ...) -> float: ...
@overload
def kcb_from_leaf_area(*, kcb_full: Numbers, kc_min: Numbers, leaf_area_index: Numbers, on_error: OnError = ...) -> Floats: ...
def kcb_from_leaf_area(*, kcb_full: Numbers, kc_min: Numbers, leaf_area_index: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the basal coefficient from leaf area: Kc min + (Kcb full - Kc min) (1 - exp(-0.7 LAI)).

    Parameters
    ----------
    kcb_full : float or array-like
        Basal coefficient at full cover, 0 to 2.5, from `kcb_full` or a table.
    kc_min : float or array-like
        Coefficient of dry bare soil, 0.15 to 0.20 in the paper; 0 to 2.5.
    leaf_area_index : float or array-like
        Leaf area on a unit of ground, m2/m2, 0 to 15.
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
    FAO-56 Eq. 97, p. 186.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.kcb_from_leaf_area(kcb_full=1.15, kc_min=0.15, leaf_area_index=1), 2)
    0.65
    """
    return _dibble.kcb_from_leaf_area(kcb_full=kcb_full, kc_min=kc_min, leaf_area_index=leaf_area_index, on_error=on_error)
