"""Rate, time and capacity: from flow and ground to minutes, and from the season's need to a flow.

Every formula takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import Any, Literal, NamedTuple, TypeAlias, overload

from dibble import _dibble
from dibble._dibble import Sprinkler
from dibble._gate import items
from dibble._types import Floats, Number, Numbers, OnError
from dibble.errors import DibbleTypeError

Layout: TypeAlias = Literal["square", "triangular"]

__all__ = [
    "DayOfSets",
    "EvenSpacing",
    "Overlapped",
    "capacity_l_min",
    "day_h",
    "day_of_sets",
    "even_spacing_m",
    "gross_depth_mm",
    "minutes_for",
    "overlapped",
    "spacing_fraction",
]


class EvenSpacing(NamedTuple):
    """Equal spaces along a length."""

    spaces: int
    spacing_m: float


class DayOfSets(NamedTuple):
    """How long a day of sets is at the least and at the most, and why, in words."""

    low_h: float
    high_h: float
    why: str


class Overlapped(NamedTuple):
    """The rate of one circle beside that of overlapped sets, and why they differ."""

    own_circle_mm_h: float
    overlapped_mm_h: float
    circles: float
    why: str


@overload
def minutes_for(depth_mm: Number, rate_mm_h: Number, *, on_error: OnError = ...) -> float: ...
@overload
def minutes_for(depth_mm: Numbers, rate_mm_h: Numbers, *, on_error: OnError = ...) -> Floats: ...
def minutes_for(depth_mm: Numbers, rate_mm_h: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the minutes that a depth takes at a rate.

    Parameters
    ----------
    depth_mm : float or array-like
        Depth, mm.
    rate_mm_h : float or array-like
        Rate, 0.01 to 1000 mm/h.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        min, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> sprinkler.minutes_for(60, 8)  # 7.5 h
    450.0
    """
    return _dibble.minutes_for(depth_mm=depth_mm, rate_mm_h=rate_mm_h, on_error=on_error)


@overload
def gross_depth_mm(net_mm: Number, efficiency: Number, *, on_error: OnError = ...) -> float: ...
@overload
def gross_depth_mm(net_mm: Numbers, efficiency: Numbers, *, on_error: OnError = ...) -> Floats: ...
def gross_depth_mm(net_mm: Numbers, efficiency: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the depth to pump for a depth that the roots should get: net over efficiency.

    Parameters
    ----------
    net_mm : float or array-like
        Depth that the roots should get, mm.
    efficiency : float or array-like
        0.05 to 1. Where the depth is known tree by tree, only the spray loss is taken off: 1 less that loss.
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
    Definition.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> sprinkler.gross_depth_mm(19, 0.95)
    20.0
    """
    return _dibble.gross_depth_mm(net_mm=net_mm, efficiency=efficiency, on_error=on_error)


@overload
def capacity_l_min(*, area_m2: Number, gross_mm: Number, days: Number, hours_per_day: Number, on_error: OnError = ...) -> float: ...
@overload
def capacity_l_min(*, area_m2: Numbers, gross_mm: Numbers, days: Numbers, hours_per_day: Numbers, on_error: OnError = ...) -> Floats: ...
def capacity_l_min(
    *, area_m2: Numbers, gross_mm: Numbers, days: Numbers, hours_per_day: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the flow that waters an area in time: Q = A d / (F T).

    Parameters
    ----------
    area_m2 : float or array-like
        Ground to water, m2.
    gross_mm : float or array-like
        Gross depth, mm.
    days : float or array-like
        Days that one round may take.
    hours_per_day : float or array-like
        Hours of pumping a day.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        L/min, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    USDA-NRCS NEH 623 ch. 11 (the trade's Q = 453 A d / (F T), from memory).

    Examples
    --------
    >>> from dibble import sprinkler
    >>> flow = sprinkler.capacity_l_min(area_m2=4046.856, gross_mm=25.4, days=1, hours_per_day=1)  # an acre-inch in an hour
    >>> round(flow / 3.785412, 1)
    452.6
    """
    return _dibble.capacity_l_min(area_m2=area_m2, gross_mm=gross_mm, days=days, hours_per_day=hours_per_day, on_error=on_error)


def spacing_fraction(layout: Layout, wind_m_s: Number) -> float | None:
    """Return the usual spacing over the wetted diameter, by layout and wind; None above 12 mph, where none was published.

    Parameters
    ----------
    layout : {"square", "triangular"}
        How sets stand to each other.
    wind_m_s : float
        Wind speed, m/s.

    Returns
    -------
    float or None
        0.45 to 0.60.

    Raises
    ------
    OutOfRangeError, UnknownNameError
        Wind out of range, or a layout that is not known.

    References
    ----------
    Teaching slides on rotary sprinklers, table 1.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> sprinkler.spacing_fraction("square", 2.0)  # 4.5 mph
    0.5
    """
    return _dibble.spacing_fraction(layout, wind_m_s)


def even_spacing_m(length_m: Number, most_m: Number) -> EvenSpacing:
    """Return the fewest equal spaces that part a length without exceeding a spacing.

    Parameters
    ----------
    length_m, most_m : float
        Length, and largest spacing, m.

    Returns
    -------
    EvenSpacing
        spaces, spacing_m.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    New Mexico State University, Soil 456 notes, ch. 5: 110 ft at most 30 ft apart are 4 spaces of 27.5 ft.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> spaces, spacing_m = sprinkler.even_spacing_m(110 * 0.3048, 30 * 0.3048)
    >>> spaces, round(spacing_m / 0.3048, 1)
    (4, 27.5)
    """
    return EvenSpacing(*_dibble.even_spacing_m(length_m, most_m))


def day_h(sets: int, set_minutes: Number, move_minutes: Number) -> float:
    """Return the hours that a day of sets takes, each with its move (laying the hose to the first one counts).

    Parameters
    ----------
    sets : int
        Number of sets.
    set_minutes, move_minutes : float
        Running time of a set, and time of a move.

    Returns
    -------
    float
        h.

    Raises
    ------
    OutOfRangeError
        A time out of range.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> round(sprinkler.day_h(8, 60, 20), 1), round(sprinkler.day_h(10, 60, 45), 1)
    (10.7, 17.5)
    """
    return _dibble.day_h(sets, set_minutes, move_minutes)


def day_of_sets(sets: tuple[int, int], set_minutes: Number, move_minutes: tuple[Number, Number]) -> DayOfSets:
    """Return how long a day of sets is, from few sets with short moves to many with long ones.

    Parameters
    ----------
    sets : (int, int)
        Fewest and most sets.
    set_minutes : float
        Running time of each.
    move_minutes : (float, float)
        Shortest and longest move.

    Returns
    -------
    DayOfSets
        low_h, high_h, and why, in words.

    Raises
    ------
    DibbleError
        A time out of range, a range whose ends are exchanged, no pair.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> day = sprinkler.day_of_sets((8, 10), 60, (20, 45))
    >>> print(day.why)
    8 to 10 sets of 60 min and a move of 20 to 45 min before each are a day of 10.7 to 17.5 h: 2.7 to 7.5 h of it are moves
    """
    few, many = _pair("sets", sets)
    short, long = _pair("move_minutes", move_minutes)
    return DayOfSets(*_dibble.day_of_sets((few, many), set_minutes, (short, long)))


def _pair(name: str, given: Any) -> list[Any]:
    """Return the two ends of a range."""
    pair = items(name, given, "two numbers")
    if len(pair) != 2:
        raise DibbleTypeError(f"{name} holds {len(pair)} numbers: two are needed, the lower end first.", name=name)
    return pair


def overlapped(sprinkler: Sprinkler, ground_m2: Number) -> Overlapped:
    """Return what reaches the ground per hour of each set, alone and overlapped.

    Parameters
    ----------
    sprinkler : Sprinkler
        The sprinkler.
    ground_m2 : float
        Ground that one set stands for: with sets 93 ft apart, 93 by 93 ft.

    Returns
    -------
    Overlapped
        own_circle_mm_h, overlapped_mm_h, circles (that a place lies in on the average), and why they differ, in words.

    Raises
    ------
    OutOfRangeError
        Ground out of range.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from dibble.sprinkler import Sprinkler, overlapped
    >>> gun = Sprinkler(flow_l_min=302.3, radius_m=112 * 0.3048, spray_loss=0.15)  # 80 gpm
    >>> rates = overlapped(gun, (93.34 * 0.3048) ** 2)
    >>> round(rates.own_circle_mm_h / 25.4, 2), round(rates.overlapped_mm_h / 25.4, 2)  # in/h
    (0.17, 0.75)
    >>> print(rates.why)
    19.0 mm/h over overlapped sets, 4.2 mm/h over the circle of one: each place lies in 4.5 circles and gets the sum of their sets
    """
    return Overlapped(*_dibble.overlapped(sprinkler, ground_m2))
