"""Flat geometry in meters: polygons, round patches with exact areas, and the plane that makes meters of degrees.

Positions are meters east (x) and north (y) of the farm's own origin.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import overload

from dibble import _dibble
from dibble._dibble import Plane, Polygon, Round
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["Plane", "Polygon", "Round", "covered_area_m2", "lens_area_m2"]


def covered_area_m2(rounds: Sequence[Round], times: int = 1, within: Polygon | None = None) -> float:
    """Return the area that at least `times` of the discs cover, exact but for rounding.

    Once is the wetted area, twice the area on which sets overlap.

    Parameters
    ----------
    rounds : sequence of Round
        Whole discs.
    times : int
        1 or more.
    within : Polygon, optional
        Count within it only.

    Returns
    -------
    float
        m2.

    Raises
    ------
    InconsistentError
        `times` is 0, or a patch is not a whole disc.

    References
    ----------
    Green's theorem over the arcs and edges that bound the area.

    Examples
    --------
    >>> from dibble.geom import Round, covered_area_m2, lens_area_m2
    >>> pair = [Round((0, 0), 5), Round((6, 0), 5)]
    >>> round(covered_area_m2(pair, 2), 6) == round(lens_area_m2(5, 5, 6), 6)
    True
    """
    return _dibble.covered_area_m2(rounds, times, within)


@overload
def lens_area_m2(radius_m: Number, other_radius_m: Number, distance_m: Number, *, on_error: OnError = ...) -> float: ...
@overload
def lens_area_m2(radius_m: Numbers, other_radius_m: Numbers, distance_m: Numbers, *, on_error: OnError = ...) -> Floats: ...
def lens_area_m2(radius_m: Numbers, other_radius_m: Numbers, distance_m: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the area that two discs share.

    Parameters
    ----------
    radius_m : float or array-like
        Radius of one disc, 0.01 to 200 m.
    other_radius_m : float or array-like
        Radius of the other.
    distance_m : float or array-like
        Distance of their centers, m.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        m2, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Weisstein, "Circle-Circle Intersection", MathWorld, Eq. 14 (from memory).

    Examples
    --------
    >>> from dibble import geom
    >>> round(geom.lens_area_m2(1, 1, 1), 4)  # two unit discs, each through the other's center: 2π/3 - √3/2
    1.2284
    """
    return _dibble.lens_area_m2(radius_m=radius_m, other_radius_m=other_radius_m, distance_m=distance_m, on_error=on_error)
