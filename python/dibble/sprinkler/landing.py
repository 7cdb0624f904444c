"""Where the water of sets ends up: on the block, beside it, on ground that must stay dry, on another set's ground."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from dibble import _dibble
from dibble._dibble import Polygon, Sprinkler
from dibble._types import Floats, Numbers, Positions
from dibble.sprinkler.sets import Each

__all__ = ["Destination", "destination", "overlap_share", "water_within_l"]


class Destination(NamedTuple):
    """Where the water of all sets went, L. What was not lost as spray landed on the block or beside it."""

    pumped_l: float
    lost_l: float
    on_block_l: float
    off_block_l: float
    on_keep_out_l: float


def water_within_l(
    sprinkler: Sprinkler,
    sets_xy_m: Positions,
    minutes: Numbers,
    polygon: Polygon,
    *,
    arc_deg: Numbers | None = None,
    facing_deg: Numbers | None = None,
    flow_l_min: Numbers | None = None,
    radius_m: Numbers | None = None,
) -> Floats:
    """Return the liters of each set that land within a polygon: exact but for rounding, for every profile, arc and wind.

    Parameters
    ----------
    sprinkler : Sprinkler
        The sprinkler.
    sets_xy_m : array-like or points
        Its positions, `[n, 2]`: meters east and north; or a MultiPoint.
    minutes : float or array-like
        Running time, one for all sets or one for each.
    polygon : Polygon
        The ground.
    arc_deg, facing_deg : float or array-like, optional
        Arc of each set, where it is not the sprinkler's.
    flow_l_min, radius_m : float or array-like, optional
        Flow and wetted radius of each set, where they are not the sprinkler's: more hose or a climb leaves less.

    Returns
    -------
    ndarray
        L for each set.

    Raises
    ------
    OutOfRangeError, InconsistentError, DibbleTypeError
        A set out of range, named by its place; lists of different lengths.

    References
    ----------
    The profile integrated over the polygon's edges in closed form.

    Examples
    --------
    >>> from dibble.geom import Polygon
    >>> from dibble.sprinkler import Sprinkler, water_within_l
    >>> gun = Sprinkler(flow_l_min=300, radius_m=34)
    >>> field = Polygon([(0, -500), (500, -500), (500, 500), (0, 500)])  # the set stands on its edge: half falls in it
    >>> water_within_l(gun, [(0, 0)], 60, field).round(6).tolist()
    [9000.0]
    """
    return np.array(_dibble.water_within_l(sprinkler, sets_xy_m, polygon, Each(minutes, arc_deg, facing_deg, flow_l_min, radius_m)))


def destination(
    sprinkler: Sprinkler,
    sets_xy_m: Positions,
    minutes: Numbers,
    block: Polygon,
    keep_out: Sequence[Polygon] = (),
    *,
    arc_deg: Numbers | None = None,
    facing_deg: Numbers | None = None,
    flow_l_min: Numbers | None = None,
    radius_m: Numbers | None = None,
) -> Destination:
    """Return where the water of all sets went; exact but for rounding.

    Parameters
    ----------
    sprinkler : Sprinkler
        The sprinkler.
    sets_xy_m : array-like or points
        Its positions, `[n, 2]`: meters east and north; or a MultiPoint.
    minutes : float or array-like
        Running time, one for all sets or one for each.
    block : Polygon
        The ground that is meant to be watered.
    keep_out : sequence of Polygon
        Areas that must stay dry, apart from each other.
    arc_deg, facing_deg : float or array-like, optional
        Arc of each set, where it is not the sprinkler's.
    flow_l_min, radius_m : float or array-like, optional
        Flow and wetted radius of each set, where they are not the sprinkler's: more hose or a climb leaves less.

    Returns
    -------
    Destination
        pumped_l, lost_l (spray), on_block_l, off_block_l, on_keep_out_l.

    Raises
    ------
    OutOfRangeError, InconsistentError, DibbleTypeError
        As `water_within_l`.

    References
    ----------
    As `water_within_l`.

    Examples
    --------
    >>> from dibble.geom import Polygon
    >>> from dibble.sprinkler import Sprinkler, destination
    >>> gun = Sprinkler(flow_l_min=300, radius_m=34, spray_loss=0.05)
    >>> block = Polygon([(0, 0), (100, 0), (100, 80), (0, 80)])
    >>> went = destination(gun, [(30, 20), (60, 40)], [60, 45], block)
    >>> went.pumped_l, round(went.lost_l + went.on_block_l + went.off_block_l, 6)
    (31500.0, 31500.0)
    """
    each = Each(minutes, arc_deg, facing_deg, flow_l_min, radius_m)
    return Destination(**_dibble.destination(sprinkler, sets_xy_m, block, keep_out, each))


def overlap_share(
    sprinkler: Sprinkler,
    sets_xy_m: Positions,
    minutes: Numbers,
    *,
    arc_deg: Numbers | None = None,
    facing_deg: Numbers | None = None,
    flow_l_min: Numbers | None = None,
    radius_m: Numbers | None = None,
) -> float:
    """Return the share of the water that lands where at least one other set waters too, right within about 0.005.

    Each set's water is followed along 48 rings of equal water in 192 directions. The exact area on which discs overlap is
    `geom.covered_area_m2`.

    Parameters
    ----------
    sprinkler : Sprinkler
        The sprinkler.
    sets_xy_m : array-like or points
        Its positions, `[n, 2]`: meters east and north; or a MultiPoint.
    minutes : float or array-like
        Running time, one for all sets or one for each.
    arc_deg, facing_deg : float or array-like, optional
        Arc of each set, where it is not the sprinkler's.
    flow_l_min, radius_m : float or array-like, optional
        Flow and wetted radius of each set, where they are not the sprinkler's: more hose or a climb leaves less.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    OutOfRangeError, InconsistentError, DibbleTypeError
        As `water_within_l`.

    References
    ----------
    None: counted, see above.

    Examples
    --------
    >>> from dibble.sprinkler import Sprinkler, overlap_share
    >>> spray = Sprinkler(flow_l_min=80, radius_m=5, profile="disc")
    >>> round(overlap_share(spray, [(0, 0), (5, 0)], 60), 2)  # each through the other's center: 0.391
    0.39
    """
    return _dibble.overlap_share(sprinkler, sets_xy_m, Each(minutes, arc_deg, facing_deg, flow_l_min, radius_m))
