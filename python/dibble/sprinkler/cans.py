"""Catch-can tests: from cans on a grid or along one leg to rate, evenness, profile and corrected running time.

Every formula takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import NamedTuple, overload

import numpy as np

from dibble import _dibble
from dibble._dibble import Leg, Sprinkler
from dibble._gate import numbers
from dibble._types import Floats, Number, Numbers, OnError
from dibble.sprinkler.evenness import Uniformity

__all__ = ["GridReport", "Leg", "LegReport", "depth_from_volume_mm", "grid_test", "leg_test"]


class GridReport(NamedTuple):
    """What a grid of cans says. Minutes are None when no depth was wanted, or when the low quarter stays dry."""

    rate_mm_h: float
    uniformity: Uniformity
    minutes_for_mean: float | None
    minutes_for_low_quarter: float | None


class LegReport(NamedTuple):
    """What a leg of cans says."""

    sprinkler: Sprinkler
    peak_rate_mm_h: float
    caught_share: float | None


@overload
def depth_from_volume_mm(volume_ml: Number, opening_cm: Number, *, on_error: OnError = ...) -> float: ...
@overload
def depth_from_volume_mm(volume_ml: Numbers, opening_cm: Numbers, *, on_error: OnError = ...) -> Floats: ...
def depth_from_volume_mm(volume_ml: Numbers, opening_cm: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the depth in a can.

    Parameters
    ----------
    volume_ml : float or array-like
        Water in the can, mL.
    opening_cm : float or array-like
        Width of its round opening, cm.
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
    >>> round(sprinkler.depth_from_volume_mm(78.54, 10), 2)
    10.0
    """
    return _dibble.depth_from_volume_mm(volume_ml=volume_ml, opening_cm=opening_cm, on_error=on_error)


def grid_test(caught_mm: Numbers, minutes: Number, wanted_mm: Number | None = None) -> GridReport:
    """Return rate, evenness and corrected running time from cans on a grid.

    Parameters
    ----------
    caught_mm : array-like
        Depth in each can, mm.
    minutes : float
        How long the water ran: of one set, or the same for each of the sets whose water overlaps.
    wanted_mm : float, optional
        Depth wanted, mm.

    Returns
    -------
    GridReport
        rate_mm_h, uniformity, minutes_for_mean and minutes_for_low_quarter, which bring the mean or the mean of the lowest
        quarter to the depth wanted.

    Raises
    ------
    MissingError, OutOfRangeError, InconsistentError
        No cans, a value out of range, or all cans empty.

    References
    ----------
    As `uniformity`.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> report = sprinkler.grid_test([12, 15, 14, 18, 16, 14, 13, 17, 15, 16], 60, wanted_mm=20)
    >>> report.rate_mm_h, report.minutes_for_mean, round(report.minutes_for_low_quarter, 1)
    (15.0, 80.0, 93.8)
    """
    found = _dibble.grid_test(caught_mm, minutes, wanted_mm)
    return GridReport(**{**found, "uniformity": Uniformity(**found["uniformity"])})


def leg_test(
    distances_m: Numbers, caught_mm: Numbers, minutes: Number, radius_m: Number | None = None, *, flow_l_min: Number | None = None
) -> LegReport:
    """Return the sprinkler that caught so along a radius, a full circle in calm air.

    Put it on a lattice to see CU and DU of overlapped sets.

    Parameters
    ----------
    distances_m : array-like
        Distance of each can from the sprinkler, m, rising.
    caught_mm : array-like
        Depth in each can, mm; or a row for each of several legs, of which the mean is taken: four legs at right angles take
        most of the wind out.
    minutes : float
        How long the water ran.
    radius_m : float, optional
        Where the wet ground ended; may be left out when the outermost can stayed empty.
    flow_l_min : float, optional
        Flow of the nozzle, if it is known.

    Returns
    -------
    LegReport
        sprinkler (as measured, with the flow that reached the ground), peak_rate_mm_h, and caught_share: what reached the
        ground over the nozzle's flow. Far from 1: wind, a leg that is not typical, a wrong flow, or spray loss.

    Raises
    ------
    OutOfRangeError, InconsistentError, MissingError
        As `Leg`, or a time or flow out of range.

    References
    ----------
    The volume of the measured profile, in closed form.

    Examples
    --------
    >>> from dibble.sprinkler import leg_test
    >>> report = leg_test([3, 9, 15, 21, 27], [18, 14, 10, 6, 2], 60, radius_m=30, flow_l_min=330)
    >>> round(report.sprinkler.flow_l_min), round(report.caught_share, 2)  # a cone of 20 mm: 314 L/min
    (314, 0.95)
    """
    legs = np.atleast_2d(numbers("caught_mm", caught_mm))
    return LegReport(*_dibble.leg_test(distances_m, list(legs), minutes, radius_m, flow_l_min))
