"""Is there enough water: a pond by its stage and shape, a well, a tank; how many passes are left, and what was drawn so far.

Evaporation, seepage and inflow are ranges, so the answer is one: a dry end, the likely run and a wet end.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from dibble import _dibble, _gate
from dibble._dibble import Pond, SupplyOutlook, Tank, WaterSupply, Well, Withdrawals
from dibble._types import Day, Ends, Number

__all__ = ["Pass", "Pond", "SupplyDay", "SupplyOutlook", "Tank", "WaterSupply", "Well", "Withdrawals", "withdrawals"]


class SupplyDay(NamedTuple):
    """A day's weather over the pond."""

    date: Day
    eto_mm: Number
    rain_mm: Number


class Pass(NamedTuple):
    """A pass: once over all blocks that are due together."""

    volume_l: Ends
    """Water that it takes."""
    over_days: int
    """Days that it is spread over, from 1."""
    every_days: int
    """Days from the begin of one to the begin of the next."""
    first_day: int = 0
    """Day of the first, counted from 0."""


def withdrawals(
    draws: Iterable[tuple[Day, Number]],
    *,
    day_l: Number | None = None,
    month_l: Number | None = None,
    mean_30_day_l: Number | None = None,
) -> Withdrawals:
    """Count what was drawn by day, month and 30 days, for the user's own permit or report: a count, never a verdict.

    Parameters
    ----------
    draws : iterable of (date, volume_l)
        Draws in the order of their days, L; several on one day are added.
    day_l, month_l, mean_30_day_l : float, optional
        The user's own limits: L in a day, L in a calendar month, mean of 30 days in L a day. They stand beside the counts.

    Returns
    -------
    Withdrawals
        `.days`, `.months`, `.largest_day`, `.largest_30_days`, `.total_l`; `print` it.

    Raises
    ------
    OutOfRangeError, InconsistentError, DibbleTypeError
        A volume out of range; days out of order.

    Examples
    --------
    >>> from dibble.water.supply import withdrawals
    >>> counts = withdrawals([("2026-06-29", 30e3), ("2026-07-01", 40e3), ("2026-07-01", 5e3)], month_l=100e3)
    >>> [month["volume_l"] for month in counts.months], counts.largest_30_days["volume_l"]
    ([30000.0, 45000.0], 2500.0)
    """
    return _dibble.withdrawals(_gate.rows("draws", draws, "(date, volume_l)", 2), day_l=day_l, month_l=month_l, mean_30_day_l=mean_30_day_l)
