"""The season log, a table that is only ever added to; survival counts with their interval, clumps and gaps; replants to order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from os import PathLike
from typing import Literal, TypeAlias, TypedDict, Unpack

from dibble import _dibble, _gate
from dibble._dibble import PLOT_RADIUS_M, Log, Replant, Runs, Survey, Worth
from dibble._types import Day, Number, Quantity
from dibble.errors import DibbleTypeError
from dibble.farm import Farm

__all__ = [
    "PLOT_RADIUS_M",
    "Details",
    "Log",
    "Plot",
    "Replant",
    "Runs",
    "Survey",
    "What",
    "Worth",
    "add",
    "append",
    "fewest_plots",
    "replant",
    "replant_worth",
    "runs",
    "score_interval",
    "stand_density",
    "survival",
]

What: TypeAlias = Literal["water", "rain", "reading", "feeding", "count", "note", "strike"]
"""What an entry is about."""

Plot: TypeAlias = tuple[int, int] | str
"""Living and planted trees of a row or plot; or a row tree by tree, "xx.x", x living and . missing."""


class Details(TypedDict, total=False):
    """What an entry may say, by its kind; a quantity may be text with a unit of its own."""

    id: str
    """Name of the entry; the next one of its day if left out."""
    state: Literal["planned", "done"]
    """Done if left out; what is planned never counts as water."""
    of: str
    """The id of an earlier entry whose place this one takes."""
    note: str
    """Words."""
    depth_mm: Quantity
    """water, rain: depth put out before losses, or caught."""
    time_min: Quantity
    """water: running time of each set."""
    sets: str
    """water: positions that ran, "1-3 of 4"; the whole block if left out."""
    soil_depth_m: Quantity
    """reading: depth that the soil came from."""
    feel: str
    """reading: band of the feel test, "moist" or "50-75 %"."""
    tension_kpa: Quantity
    """reading: soil water tension."""
    water_content: Number
    """reading: m3 of water in m3 of soil."""
    holes: int
    """reading: holes dug, 1 if left out."""
    product: str
    """feeding: what was given."""
    amount_kg: Quantity
    """feeding: how much over the whole block."""
    place: str
    """count: row or plot; the whole block if left out."""
    living: int
    """count: living trees."""
    planted: int
    """count: trees planted there."""
    row: str
    """count: the row tree by tree, "xx.x"."""


def add(log: Log, what: What, date: Day, block: str = "", **details: Unpack[Details]) -> Log:
    """Return the log with one more entry; the log that is given stays as it is.

    Parameters
    ----------
    log : Log
        The log so far.
    what : {"water", "rain", "reading", "feeding", "count", "note", "strike"}
        What was planned or done.
    date : datetime.date or str
        The day.
    block : str
        The block; empty is the whole farm (rain and notes only).
    **details
        Numbers and words of the entry, see `Details`.

    Returns
    -------
    Log
        The longer log.

    Raises
    ------
    MissingError, OutOfRangeError, InconsistentError, UnknownNameError, UnreadableError
        An entry that is not sound, or whose id is taken.

    Examples
    --------
    >>> from dibble.record import Log, add
    >>> log = add(Log("Hill"), "water", "2026-07-14", "North", depth_mm="0.5 in", note="early")
    >>> log.entries[0]["id"], log.entries[0]["depth_mm"]
    ('2026-07-14-1', 12.7)
    """
    return log._with(_cells(what, date, block, details))


def append(path: str | PathLike[str], farm: Farm | str, what: What, date: Day, block: str = "", **details: Unpack[Details]) -> str:
    """Write one more line at the end of the log at a path, which is begun if there is none; return the entry's id.

    The line is written by one call and forced to the disk; what stands in the file is never changed.

    Parameters
    ----------
    path : str or path
        The file.
    farm : Farm or str
        The farm, or its name; a log of another one is refused.
    what, date, block, **details
        As for `add`.

    Returns
    -------
    str
        The id of the entry.

    Raises
    ------
    FileError
        The file cannot be read or written.
    InconsistentError and others
        A log of another farm, an entry that is not sound.

    Examples
    --------
    >>> import tempfile, pathlib
    >>> from dibble.record import Log, append
    >>> path = pathlib.Path(tempfile.mkdtemp()) / "log.csv"
    >>> append(path, "Hill", "rain", "2026-07-14", depth_mm=8.5)
    '2026-07-14-1'
    >>> Log.read(path).entries[0]["depth_mm"]
    8.5
    """
    return _dibble.log_append(path, farm if isinstance(farm, str) else farm.name, _cells(what, date, block, details))


def survival(plots: Sequence[Plot] | Mapping[str, Plot], *, of_trees: int | None = None, level: Number = 0.95) -> Survey:
    """Return the survival of a block from its counted rows or plots, with its interval.

    The interval is Wilson's at the number of trees over the design effect: where deaths stand together, trees of one plot tell
    less than as many trees here and there. Trees that were not counted are the only ones in doubt.

    Parameters
    ----------
    plots : sequence or mapping by name
        Each (living, planted), or a row tree by tree: "xx.x".
    of_trees : int, optional
        Trees planted in the whole block.
    level : float
        Share of such intervals that hold the truth, 0.5 to 0.999.

    Returns
    -------
    Survey
        Rate, interval, clumping, gaps.

    Raises
    ------
    MissingError, InconsistentError, OutOfRangeError, UnreadableError, DibbleTypeError
        No plot, counts that contradict each other, more trees counted than planted.

    Notes
    -----
    Cochran (1977), Sampling Techniques, 3rd ed.; Kish (1965), Survey Sampling; Wilson (1927), JASA 22:209-212.

    Examples
    --------
    >>> from dibble.record import survival
    >>> survey = survival([(48, 50), (47, 50), (20, 50), (49, 50)], of_trees=1240)
    >>> survey.rate, survey.clumping["clumped"]
    (0.82, True)
    """
    named = plots.items() if isinstance(plots, Mapping) else (("", plot) for plot in _gate.items("plots", plots, "plots"))
    return _dibble.survival([_plot(name, plot) for name, plot in named], of_trees, level)


def score_interval(living: int, planted: int, level: Number = 0.95) -> tuple[float, float]:
    """Return low and high end of a share by Wilson's score interval, for trees that died or lived independently.

    Parameters
    ----------
    living, planted : int
        Trees.
    level : float
        Share of such intervals that hold the truth, 0.5 to 0.999.

    Returns
    -------
    tuple of float
        Low and high end.

    Raises
    ------
    InconsistentError, OutOfRangeError
        More living than planted; a level out of range.

    Notes
    -----
    Wilson (1927), JASA 22:209-212.

    Examples
    --------
    >>> from dibble.record import score_interval
    >>> low, high = score_interval(81, 263)
    >>> round(low, 4), round(high, 4)
    (0.2553, 0.3662)
    """
    return _dibble.score_interval(living, planted, level)


def runs(row: str) -> Runs:
    """Return gaps of a row walked tree by tree, and whether its missing trees stand together.

    Parameters
    ----------
    row : str
        One mark for each tree: x living, . missing.

    Returns
    -------
    Runs
        Stretches, as many as chance would give, gaps.

    Raises
    ------
    MissingError, UnreadableError
        No mark, or one that is none of a tree's.

    Notes
    -----
    Wald and Wolfowitz (1940), Annals of Mathematical Statistics 11:147-162.

    Examples
    --------
    >>> from dibble.record import runs
    >>> row = runs("xxxx..xxxxx...xxxxx.")
    >>> row.runs, row.gaps, row.expected
    (6, [2, 3, 1], 9.4)
    """
    return _dibble.row_runs(row)


def stand_density(counts: Sequence[int], *, radius_m: Number = PLOT_RADIUS_M, level: Number = 0.95) -> tuple[float, float, float]:
    """Return trees per hectare from counts in round plots, with low and high end of the interval.

    Parameters
    ----------
    counts : sequence of int
        Trees in each plot, at least two plots.
    radius_m : float
        Radius of the plots; 11.8 ft, 1/100 acre, if not given.
    level : float
        Share of such intervals that hold the truth, 0.5 to 0.999.

    Returns
    -------
    tuple of float
        Mean, low and high end, trees per hectare.

    Raises
    ------
    MissingError, OutOfRangeError
        Fewer than two plots; a radius or level out of range.

    Examples
    --------
    >>> from dibble.record import stand_density
    >>> per_ha, low, high = stand_density([12, 11, 13, 12, 12])
    >>> round(per_ha * 0.404686)
    1195
    """
    return _dibble.stand_density(_gate.counts("counts", counts), radius_m, level)


def fewest_plots(area_m2: Number) -> int:
    """Return the fewest round plots for a block of this area, m2.

    Parameters
    ----------
    area_m2 : float
        Area of the block.

    Returns
    -------
    int
        5 up to 5 acres, one for each acre up to 10, then one more for every 5.

    Raises
    ------
    OutOfRangeError
        An area out of range.

    Notes
    -----
    USDA-NRCS Technical Note 190-FOR-01 (2018), Table 5, as quoted second hand.

    Examples
    --------
    >>> from dibble.record import fewest_plots
    >>> fewest_plots(4046.856), fewest_plots(21 * 4046.856)
    (5, 13)
    """
    return _dibble.fewest_plots(area_m2)


def replant(survey: Survey, *, of_trees: int, loss: Number, spares: Number = 0.05, bundle: int = 25) -> Replant:
    """Return trees to order for the gaps of a block, spares on top, rounded up to whole bundles.

    Parameters
    ----------
    survey : Survey
        What `survival` says.
    of_trees : int
        Trees planted in the whole block.
    loss : float
        Share of the replants that will die too, 0 to 0.9.
    spares : float
        Spares on top, as a share of the order.
    bundle : int
        Trees that the nursery puts in a bundle.

    Returns
    -------
    Replant
        Missing trees, and the order.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A share out of range, a bundle of none.

    Examples
    --------
    >>> from dibble.record import replant, survival
    >>> order = replant(survival([(88, 100)], of_trees=1240), of_trees=1240, loss=0.10)
    >>> order.bundles, order.order
    (7, 175)
    """
    return _dibble.replant(survey, of_trees=of_trees, loss=loss, spares=spares, bundle=bundle)


def replant_worth(
    *,
    age_years: Number,
    sale_years: Number,
    cleared_years: Number,
    price: Number,
    cost: Number,
    survival: Number,
    interest: Number,
) -> Worth:
    """Return whether a replant is worth its cost, and until which age of the block.

    Parameters
    ----------
    age_years : float
        Years since the block was planted.
    sale_years : float
        Years that a tree needs from planting to sale.
    cleared_years : float
        Years from the block's planting until its ground is cleared.
    price, cost : float
        What a tree brings at sale, and what one replant costs.
    survival : float
        Share of the replants that live to be sold.
    interest : float
        Interest a year, as a share.

    Returns
    -------
    Worth
        Present value after cost, break-even, last age.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range; a block that is cleared before its own trees are sold.

    Examples
    --------
    >>> from dibble.record import replant_worth
    >>> worth = replant_worth(age_years=2, sale_years=8, cleared_years=11, price=40, cost=2.5, survival=0.8, interest=0.06)
    >>> worth.pays, round(worth.net, 2), worth.until_age_years
    (True, 17.58, 3.0)
    """
    return _dibble.replant_worth(
        age_years=age_years,
        sale_years=sale_years,
        cleared_years=cleared_years,
        price=price,
        cost=cost,
        survival=survival,
        interest=interest,
    )


# headings that hold a quantity, and their names for text with a unit of its own
_BARE = {"depth_mm": "depth", "time_min": "time", "soil_depth_m": "soil_depth", "tension_kpa": "tension", "amount_kg": "amount"}
_COUNTS = ("holes", "living", "planted")


def _cells(what: str, date: Day, block: str, details: Details) -> list[tuple[str, str]]:
    """Return an entry as cells under the headings of the log."""
    cells = [("what", what), ("date", _gate.day("date", date)), ("block", block)]
    for name, value in details.items():
        if value is None:
            continue
        if isinstance(value, str):
            cells.append((_BARE.get(name, name), value))
        elif name in _COUNTS:
            cells.append((name, str(_gate.count(name, value))))
        else:
            cells.append((name, repr(float(_gate.one_number(name, value)))))
    return cells


def _plot(name: str, plot: Plot) -> tuple[str, int, int, str | None]:
    """Return place, planted and living trees, and the row."""
    if isinstance(plot, str):
        return _dibble.walked_plot(name, plot)
    try:
        living, planted = plot
    except (TypeError, ValueError) as error:
        message = f"a plot is {_gate.brief(plot)}: (living, planted) is needed, or a row of marks such as 'xx.x'."
        raise DibbleTypeError(message, name="plots") from error
    return name, _gate.count("planted", planted) or 0, _gate.count("living", living) or 0, None
