"""Sets of a sprinkler, and the depth that they leave at any points."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from dibble import _dibble
from dibble._dibble import Explanation, Sprinkler
from dibble._gate import thread_count
from dibble._types import Floats, Numbers, Positions

__all__ = ["Footprint", "apply", "explain_depth", "footprints"]


class Each(NamedTuple):
    """What is said of each set besides its place."""

    minutes: Numbers | None = None
    arc_deg: Numbers | None = None
    facing_deg: Numbers | None = None
    flow_l_min: Numbers | None = None
    radius_m: Numbers | None = None


class Footprint(NamedTuple):
    """The points that one set wets, by their place in the list, and its rate there."""

    points: npt.NDArray[np.int64]
    mm_per_min: Floats


def apply(
    sprinkler: Sprinkler,
    sets_xy_m: Positions,
    points_xy_m: Positions,
    minutes: Numbers,
    *,
    arc_deg: Numbers | None = None,
    facing_deg: Numbers | None = None,
    flow_l_min: Numbers | None = None,
    radius_m: Numbers | None = None,
    n_threads: int | None = None,
) -> Floats:
    """Return the depth at each point from all sets together: what reaches the ground.

    Memory does not grow with the number of sets, and the result is the same to the bit for any number of threads.

    Parameters
    ----------
    sprinkler : Sprinkler
        The sprinkler.
    sets_xy_m : array-like or points
        Its positions, `[n, 2]`: meters east and north; or a MultiPoint.
    points_xy_m : array-like or points
        Where to look, x and y in the last axis.
    minutes : float or array-like
        Running time, one for all sets or one for each.
    arc_deg, facing_deg : float or array-like, optional
        Arc of each set, where it is not the sprinkler's.
    flow_l_min, radius_m : float or array-like, optional
        Flow and wetted radius of each set, where they are not the sprinkler's: more hose or a climb leaves less.
    n_threads : int, optional
        `DIBBLE_NUM_THREADS` if not given, else one for each core.

    Returns
    -------
    ndarray
        mm, in the shape of the points.

    Raises
    ------
    OutOfRangeError, InconsistentError, DibbleTypeError
        A set or a point out of range or NaN, named by its place; lists of different lengths.

    References
    ----------
    The volume of the profile: flow times minutes, less spray loss, is what all ground gets together.

    Examples
    --------
    >>> import numpy as np
    >>> from dibble.sprinkler import Sprinkler, apply
    >>> spray = Sprinkler(flow_l_min=25 * np.pi, radius_m=5, profile="disc")  # 1 mm a minute
    >>> apply(spray, [(0, 0), (6, 0)], [(0, 0), (3, 0), (20, 0)], [10, 20]).round(9).tolist()
    [10.0, 30.0, 0.0]
    """
    each = Each(minutes, arc_deg, facing_deg, flow_l_min, radius_m)
    return _dibble.apply(sprinkler, sets_xy_m, points_xy_m, each, thread_count(n_threads))


def footprints(
    sprinkler: Sprinkler,
    sets_xy_m: Positions,
    points_xy_m: Positions,
    *,
    arc_deg: Numbers | None = None,
    facing_deg: Numbers | None = None,
    flow_l_min: Numbers | None = None,
    radius_m: Numbers | None = None,
    n_threads: int | None = None,
) -> list[Footprint]:
    """Return, for each set, the points that it wets and its rate there.

    Parameters
    ----------
    sprinkler : Sprinkler
        The sprinkler.
    sets_xy_m : array-like or points
        Its positions, `[n, 2]`: meters east and north; or a MultiPoint.
    points_xy_m : array-like or points
        Where to look, `[m, 2]`.
    arc_deg, facing_deg : float or array-like, optional
        Arc of each set, where it is not the sprinkler's.
    flow_l_min, radius_m : float or array-like, optional
        Flow and wetted radius of each set, where they are not the sprinkler's: more hose or a climb leaves less.
    n_threads : int, optional
        `DIBBLE_NUM_THREADS` if not given, else one for each core.

    Returns
    -------
    list of Footprint
        points, mm_per_min.

    Raises
    ------
    OutOfRangeError, InconsistentError, DibbleTypeError
        As `apply`.

    References
    ----------
    As `apply`.

    Examples
    --------
    >>> import numpy as np
    >>> from dibble.sprinkler import Sprinkler, footprints
    >>> spray = Sprinkler(flow_l_min=25 * np.pi, radius_m=5, profile="disc")
    >>> [wetted] = footprints(spray, [(0, 0)], [(9, 0), (1, 1)])
    >>> wetted.points.tolist(), wetted.mm_per_min.round(9).tolist()
    ([1], [1.0])
    """
    each = Each(None, arc_deg, facing_deg, flow_l_min, radius_m)
    return [Footprint(*found) for found in _dibble.footprints(sprinkler, sets_xy_m, points_xy_m, each, thread_count(n_threads))]


def explain_depth(
    sprinkler: Sprinkler,
    sets_xy_m: Positions,
    at_xy_m: Positions,
    minutes: Numbers,
    *,
    arc_deg: Numbers | None = None,
    facing_deg: Numbers | None = None,
    flow_l_min: Numbers | None = None,
    radius_m: Numbers | None = None,
) -> Explanation:
    """Return how the depth at one place comes about: rate and depth of each set that wets it, and their sum.

    Parameters
    ----------
    sprinkler : Sprinkler
        The sprinkler.
    sets_xy_m : array-like or points
        Its positions, `[n, 2]`: meters east and north; or a MultiPoint.
    at_xy_m : (float, float)
        The place.
    minutes : float or array-like
        Running time, one for all sets or one for each.
    arc_deg, facing_deg : float or array-like, optional
        Arc of each set, where it is not the sprinkler's.
    flow_l_min, radius_m : float or array-like, optional
        Flow and wetted radius of each set, where they are not the sprinkler's: more hose or a climb leaves less.

    Returns
    -------
    Explanation
        `print` it.

    Raises
    ------
    OutOfRangeError, InconsistentError, DibbleTypeError
        As `apply`.

    References
    ----------
    As `apply`.

    Examples
    --------
    >>> from dibble.sprinkler import Sprinkler, explain_depth
    >>> gun = Sprinkler(flow_l_min=300, radius_m=30, spray_loss=0.05)
    >>> print(explain_depth(gun, [(0, 0), (500, 0), (30, 0)], (10, 0), [60, 60, 45])[-1])
    depth: the sets that wet the place, added up, with set 1 12.1 mm, set 3 4.54 mm = 16.6 mm
    """
    return _dibble.explain_depth(sprinkler, sets_xy_m, at_xy_m, Each(minutes, arc_deg, facing_deg, flow_l_min, radius_m))
