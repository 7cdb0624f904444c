"""Trees to water by hand: how much each gets, loads of the tank, time, and the order with the least walking.

Every formula takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple, overload

from dibble import _dibble
from dibble._dibble import BucketList
from dibble._gate import brief, count, items
from dibble._types import Floats, Number, Numbers, OnError, Positions
from dibble.errors import DibbleTypeError

__all__ = ["BucketList", "Crew", "bucket_list", "liters_for"]


class Crew(NamedTuple):
    """The tank and who pours from it.

    volume_l : what the tank holds, L. fill_l_min : flow that fills it, L/min. hand_l_min : what each person pours, L/min.
    people : how many pour. walk_m_s : their walking speed, m/s.
    """

    volume_l: Number
    fill_l_min: Number
    hand_l_min: Number
    people: int = 1
    walk_m_s: Number = 1.0


@overload
def liters_for(depth_mm: Number, ring_m: Number, *, on_error: OnError = ...) -> float: ...
@overload
def liters_for(depth_mm: Numbers, ring_m: Numbers, *, on_error: OnError = ...) -> Floats: ...
def liters_for(depth_mm: Numbers, ring_m: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the water for one tree: the depth over the ring (0.6 m across or more), 4 L or more.

    Parameters
    ----------
    depth_mm : float or array-like
        Depth that it lacks, mm.
    ring_m : float or array-like
        Width of the ring over its roots, 0.1 to 20 m.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        L, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Common practice; 1 mm on 1 m2 is 1 L.

    Examples
    --------
    >>> from dibble import placement
    >>> gallons = placement.liters_for(25.4, [0.6096, 0.9144, 1.2192]) / 3.785412  # an inch over a ring of 2, 3 and 4 ft
    >>> gallons.round(1).tolist()
    [2.0, 4.4, 7.8]
    """
    return _dibble.liters_for(depth_mm=depth_mm, ring_m=ring_m, on_error=on_error)


def bucket_list(
    trees_xy_m: Positions,
    depth_mm: Numbers,
    water_xy_m: Positions,
    crew: Crew,
    ring_m: Number = 0.6,
    *,
    numbers: Sequence[tuple[int, int]] | None = None,
    basin_mm: Number | None = None,
) -> BucketList:
    """Return who gets how much: liters each, loads of the tank in the order with the least walking, times.

    Parameters
    ----------
    trees_xy_m : array-like or points
        Where the dry trees stand, `[n, 2]`, up to 5,000.
    depth_mm : float or array-like
        Depth that they lack.
    water_xy_m : (float, float)
        Where the tank is filled.
    crew : Crew
        Tank and crew.
    ring_m : float
        Width of the ring over a tree's roots; 0.6 is taken where it is less.
    numbers : sequence of (int, int), optional
        Row and tree of each; the place in the list if not given.
    basin_mm : float, optional
        Depth that a ring holds at once; 50, a rim of earth a hand high, if not given.

    Returns
    -------
    BucketList
        `print` it; loads, stops, points_xy_m, liters, elapsed_h, `to_csv`.

    Raises
    ------
    DibbleError
        A value out of range (its place names the tree), no tree or too many, a tree that would need more than 20 pours.

    References
    ----------
    Common practice for rings and rims; the order is a round trip improved by exchanges.

    Examples
    --------
    >>> from dibble.placement import Crew, bucket_list
    >>> trees = [(2 * tree, 0) for tree in range(1, 31)]
    >>> bucket_list(trees, 25.4, (0, 0), Crew(volume_l=200, fill_l_min=40, hand_l_min=10, people=2))
    <BucketList: 30 trees, 215 L in 2 loads>
    """
    if not isinstance(crew, Crew):
        raise DibbleTypeError(f"crew is of class {type(crew).__name__}: a Crew is needed.", name="crew")
    pairs = None if numbers is None else [_pair(f"numbers[{i}]", pair) for i, pair in enumerate(items("numbers", numbers, "pairs"))]
    return _dibble.bucket_list(trees_xy_m, depth_mm, pairs, water_xy_m, crew, ring_m, basin_mm)


def _pair(name: str, given: Any) -> tuple[int, int]:
    """Return row and tree as whole numbers."""
    pair = [count(name, number) for number in items(name, given, "row and tree")]
    if len(pair) != 2 or any(number is None or number >= 2**32 for number in pair):
        raise DibbleTypeError(f"{name} is {brief(given)}: the numbers of row and tree are needed.", name=name)
    return pair[0] or 0, pair[1] or 0
