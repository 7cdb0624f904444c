"""The daily ledger: how much water each column holds, uses, loses and needs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from dibble import _dibble, _long
from dibble._dibble import Column, Reading, Refill, Season, TreeStress, Watering
from dibble._gate import by_day, thread_count
from dibble._types import Day, GapRule, LedgerForm, Number, Numbers, Record, WinterRule
from dibble.soil import Profile, Soil
from dibble.stand import Stand
from dibble.water import supply
from dibble.weather import Daily, Site, Weather

__all__ = ["Column", "Reading", "Refill", "Season", "TreeStress", "Watering", "Weighed", "run", "run_season", "supply", "trees", "weigh"]


def run_season(
    weather: Weather | Daily,
    site: Site | None,
    soil: Soil | Profile,
    stand: Stand,
    refill: Refill | None = None,
    readings: Sequence[Reading] = (),
    waterings: Sequence[Watering] = (),
    *,
    form: LedgerForm = "layered",
    beside: bool = False,
    first: Day | None = None,
    winter: WinterRule = "refuse",
    start: Number | None = None,
    subsoil_start: Number | None = None,
    curve_number: Number | None = None,
    slope_pct: Number | None = None,
    intake_mm_h: Number | None = None,
    gaps: GapRule = "refuse",
    record: Record = "all",
    progress: _long.Progress = None,
) -> Season:
    """Carry the trees of a stand through their weather, day by day.

    Parameters
    ----------
    weather : Weather or Daily
        Records, which are completed with `site` and `gaps`; or days that are complete already.
    site : Site or None
        Where the weather was measured; None with a `Daily`.
    soil : Soil or Profile
        From the surface down.
    stand : Stand
        The trees.
    refill : Refill, optional
        Waters by itself when the trees are due. `Refill.for_stand` has the stand's allowed depletion.
    readings : sequence of Reading
        What was seen in the root discs; each re-sets the ledger by its own uncertainty.
    waterings : sequence of Watering
        What was given.
    form : {"layered", "fao56", "fao56 drain first"}
        Water by layer; or the two accounts of FAO-56 Eq. 71-88, draining after the day's ET or, as in Example 38, before it.
    beside : bool
        Also the strip beside the discs and the alley, as columns "strip" and "alley". What is given to the trees falls on
        them too, as from a sprinkler.
    first : datetime.date or str, optional
        First day of the season; the first of the weather if not given.
    winter : {"refuse", "skip", "ignore"}
        A winter inside the weather: refuse it, begin after it, or go through it as if the ground were open.
    start, subsoil_start : float, optional
        Share of the available water at the start, in the root zone and below it, 0 to 1; field capacity is assumed.
    curve_number : float, optional
        For rain, 1 to 100; that of woods-grass in fair condition on this soil if not given.
    slope_pct : float, optional
        Slope, %; 0 if not given.
    intake_mm_h : float, optional
        Measured intake of the surface, mm/h; estimated from the soil if not given.
    gaps : {"refuse", "zero", "mean"}
        Missing rain and missing days.
    record : {"all", "totals"} or sequence of str
        Daily numbers to keep: all, none, or these.
    progress : bool or callable, optional
        True draws a bar with tqdm; a function is called with (days done, all days).

    Returns
    -------
    Season
        With the column "tree", and on request "strip" and "alley".

    Raises
    ------
    MissingError, OutOfRangeError, InconsistentError, UnknownNameError, DibbleTypeError
        Gaps or a winter that were not spoken of, a value out of range, a watering or reading outside the season, a stand
        that was planted after it.

    References
    ----------
    FAO-56 (Allen et al. 1998) ch. 7-8 for surface, stress and the printed form; the layered form is ours.

    Examples
    --------
    >>> from dibble.soil import Soil
    >>> from dibble.stand import Stand
    >>> from dibble.water import Refill, run_season
    >>> from dibble.weather import Site, Weather
    >>> days = {"date": [f"2026-07-{day:02}" for day in range(1, 21)], "tmin_c": [14.0] * 20, "tmax_c": [28.0] * 20, "rain_mm": [0.0] * 20}
    >>> place, ground = Site(45.2, 290), Soil.from_texture("silt loam")
    >>> trees = Stand(species="Fraser fir", planted="2025-05-01", row_spacing_m=1.8, tree_spacing_m=1.8)
    >>> dry = run_season(Weather.from_table(days), place, ground, trees)
    >>> watered = run_season(Weather.from_table(days), place, ground, trees, Refill.for_stand(trees, "2026-07-01"))
    >>> int(dry.total("stress_days")), int(watered.total("stress_days")), int(watered.total("refills"))
    (14, 0, 4)
    """
    with _long.reporting(progress) as report:
        return _dibble.run_stand(
            weather,
            site,
            soil,
            stand,
            refill,
            readings,
            waterings,
            form=form,
            beside=beside,
            first=first,
            winter=winter,
            start=start,
            subsoil_start=subsoil_start,
            curve_number=curve_number,
            slope_pct=slope_pct,
            intake_mm_h=intake_mm_h,
            gaps=gaps,
            record=record,
            progress=report,
        )


def run(
    columns: Sequence[Column],
    *,
    form: LedgerForm = "layered",
    record: Record = "all",
    n_threads: int | None = None,
    progress: _long.Progress = None,
) -> Season:
    """Carry many columns through the same days.

    Columns are independent: neither their order, nor how many there are, nor the number of threads changes a bit of them.

    Parameters
    ----------
    columns : sequence of Column
        Trees, blocks or ensemble members, all with the same days.
    form : {"layered", "fao56", "fao56 drain first"}
        As for `run_season`.
    record : {"all", "totals"} or sequence of str
        Daily numbers to keep: all, none, or these.
    n_threads : int, optional
        1 to 1024; else the environment variable DIBBLE_NUM_THREADS, else one for each core.
    progress : bool or callable, optional
        As for `run_season`; days are counted over blocks of 16 columns.

    Returns
    -------
    Season
        The columns in the order given.

    Raises
    ------
    MissingError, OutOfRangeError, InconsistentError, UnknownNameError
        No column, a column that fails its check (named in the message), more values than can be kept.

    Examples
    --------
    Four ways to start, one soil.

    >>> from dibble.soil import Soil
    >>> from dibble.stand import CropDays
    >>> from dibble.water import Column, run
    >>> from dibble.weather import Site, Weather
    >>> days = {"date": ["2026-07-01", "2026-07-02"], "tmin_c": [12.0, 14.5], "tmax_c": [26.0, 29.0], "rain_mm": [0.0, 0.0]}
    >>> daily = Weather.from_table(days).complete(Site(45.2, 290))
    >>> crop = CropDays(kcb=[0.6, 0.6], kc_max=1.2, exposed=0.5, root_depth_m=0.2, p=0.5)
    >>> loam = Soil.from_texture("silt loam")
    >>> season = run([Column(f"{start:.0%}", daily, crop, loam, start=start) for start in (0.25, 0.5, 0.75, 1.0)], record="totals")
    >>> season.totals["stress_days"].tolist()
    [2, 2, 0, 0]
    """
    with _long.reporting(progress) as report:
        return _dibble.run_columns(columns, form=form, record=record, n_threads=thread_count(n_threads), progress=report)


def trees(column: Column, depths_mm: Mapping[Day, Numbers], *, to: Day | None = None, progress: _long.Progress = None) -> TreeStress:
    """Carry a ledger for each tree, where the same sets of the sprinkler gave trees different depths.

    Every tree is the column with its own depths beside the waterings, readings and refills that the column has for all of
    them. Trees with the same depths share a ledger, so that a block costs no more than its sorts of trees.

    Parameters
    ----------
    column : Column
        Weather, crop, soil and start of the trees, as for `run`.
    depths_mm : mapping of datetime.date or str to array
        For each day, watered in the morning, the depth that reaches the ground at each tree, mm, `[tree]`, 0 to 2000; 0 for
        a tree that got none. `sprinkler.apply` gives such an array.
    to : datetime.date or str, optional
        Last day that counts; the last of the weather if not given.
    progress : bool or callable, optional
        As for `run_season`; sorts of trees are counted.

    Returns
    -------
    TreeStress
        `days` has the stressed trees of each day, `days_of_tree`, `given_mm` and `depletion_mm` a number for each tree.

    Raises
    ------
    MissingError, InconsistentError, OutOfRangeError, DibbleTypeError
        No watering or no tree, arrays of unlike lengths, a day outside the weather, a depth out of range.

    References
    ----------
    The ledger of `run`; a tree is stressed on a day with Ks < 1 (FAO-56 Eq. 84).

    Examples
    --------
    Two firs in one week: 15 mm reached the first, nothing the second.

    >>> from dibble.soil import Soil
    >>> from dibble.stand import CropDays
    >>> from dibble.water import Column, trees
    >>> from dibble.weather import Site, Weather
    >>> dates = [f"2026-07-{day:02}" for day in range(1, 13)]
    >>> days = {"date": dates, "tmin_c": [14.0] * 12, "tmax_c": [28.0] * 12, "rain_mm": [0.0] * 12}
    >>> daily = Weather.from_table(days).complete(Site(45.2, 290))
    >>> crop = CropDays(kcb=[0.6] * 12, kc_max=1.2, exposed=0.5, root_depth_m=0.2, p=0.5)
    >>> firs = trees(Column("firs", daily, crop, Soil.from_texture("silt loam")), {"2026-07-06": [15.0, 0.0]})
    >>> firs.days_of_tree.tolist()
    [8, 9]
    >>> {day.isoformat(): who.tolist() for day, who in list(firs.days.items())[:4]}
    {'2026-07-04': [0, 1], '2026-07-05': [0, 1], '2026-07-06': [1], '2026-07-07': [0, 1]}
    """
    with _long.reporting(progress) as report:
        return _dibble.tree_ledgers(column, by_day("depths_mm", depths_mm), to=to, progress=report)


class Weighed(NamedTuple):
    """A ledger and a reading weighed, as shares of the available water."""

    available: float
    """To go on with."""
    sd: float
    """Its standard deviation."""
    gain: float
    """How far the reading moved it: 0 not at all, 1 all the way."""
    errors_apart: float
    """Distance between the two in standard errors."""
    verdict: str
    """"merged"; "disagrees" (too far apart: the drier one is used); "no_news" ("drier than" said nothing new)."""


def weigh(*, ledger: Number, ledger_sd: Number, reading: Number, reading_sd: Number, only_drier: bool = False) -> Weighed:
    """Return a ledger and a reading weighed by their variances, or the drier of two that disagree.

    Parameters
    ----------
    ledger, reading : float
        Shares of the available water, 0 to 1.
    ledger_sd, reading_sd : float
        Their standard deviations, 0 or more; a reading with 0 wins, one with infinity changes nothing.
    only_drier : bool
        Does the reading say only "this or drier", as a tensiometer beyond 80 kPa?

    Returns
    -------
    Weighed
        available, sd, gain, errors_apart and verdict.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A share outside 0 to 1, a standard deviation below 0.

    References
    ----------
    Two independent estimates combined by their variances (any text on estimation); not merged beyond 3 standard errors: our
    judgment.

    Examples
    --------
    0.8 with 0.10 against 0.5 with 0.05: 0.8 - 0.3 x 0.01 / (0.01 + 0.0025) = 0.56.

    >>> from dibble import water
    >>> weighed = water.weigh(ledger=0.8, ledger_sd=0.10, reading=0.5, reading_sd=0.05)
    >>> round(weighed.available, 2), round(weighed.sd, 3), weighed.verdict
    (0.56, 0.045, 'merged')
    """
    return Weighed(*_dibble.weigh(ledger=ledger, ledger_sd=ledger_sd, reading=reading, reading_sd=reading_sd, only_drier=only_drier))
