"""A farm as its owner writes it down, and the week's plan: how dry each block is, what to give, how it enters the ground."""

from __future__ import annotations

from dibble import _dibble, _long
from dibble._dibble import BlockPlan, ClosedHours, Estimate, Farm, Log, Plan
from dibble._gate import thread_count
from dibble._types import Day, GapRule, Number, UnitSystem, WinterRule
from dibble.weather import Weather

__all__ = ["BlockPlan", "Estimate", "Farm", "Plan", "plan"]


def plan(
    farm: Farm,
    weather: Weather,
    today: Day | None = None,
    *,
    gaps: GapRule = "refuse",
    winter: WinterRule = "refuse",
    first: Day | None = None,
    rain_mm: Number | None = None,
    watered_min: Number | None = None,
    units: UnitSystem | None = None,
    log: Log | None = None,
    closed: ClosedHours | None = None,
    sets: bool = False,
    n_threads: int | None = None,
    progress: _long.Progress = None,
) -> Plan:
    """Make the week's plan for the morning of a day.

    Days from that morning on are the forecast; beyond them the mean of the last seven days goes on without rain.

    Parameters
    ----------
    farm : Farm
        The farm, with what its file says was done.
    weather : Weather
        Records that reach at least to the day before.
    today : datetime.date or str, optional
        The morning; the first day of the weather that is a forecast if not given, else the day after the last.
    gaps : {"refuse", "zero", "mean"}
        Missing rain and missing days.
    winter : {"refuse", "skip", "ignore"}
        A winter inside the weather: refuse it, begin after it, or go through it as if the ground were open.
    first : datetime.date or str, optional
        First day of the reckoning; the first of the weather if not given.
    rain_mm : float, optional
        What if so much rain falls today, mm?
    watered_min : float, optional
        What if every block is watered today for so long, min?
    units : {"us", "si"}, optional
        Units to print in; the farm's if not given. Numbers stay in SI.
    log : dibble.record.Log, optional
        The season log: what is done counts, beside what the farm file says; what stands in both is refused.
    closed : dibble.schedule.ClosedHours, optional
        Hours in which no set runs, as `dibble.schedule.closed_hours` finds them in an hourly forecast.
    sets : bool
        Also where to set the sprinkler in each block that needs water, for how long, and who gets a bucket; takes some seconds.
    n_threads : int, optional
        Over which the blocks are spread; `DIBBLE_NUM_THREADS` if not given, else one for each core. The plan does not depend on it.
    progress : bool or callable, optional
        True draws a bar (needs tqdm), a function is called with (done, total); Ctrl-C stops the call either way.

    Returns
    -------
    Plan
        `print` it; `blocks`, `to_table`, `to_csv` and `to_json` hold its numbers.

    Raises
    ------
    MissingError, OutOfRangeError, InconsistentError, UnknownNameError, DibbleTypeError
        Gaps or a winter that were not spoken of, weather that does not reach to `today`, a what-if out of range.

    Examples
    --------
    >>> import dibble
    >>> from dibble.farm import Farm
    >>> plan = dibble.plan(Farm.demo(), Farm.demo_weather())
    >>> str(plan.date), len(plan.blocks), plan.blocks[0].name
    ('2026-07-14', 4, 'South slope')
    >>> print(str(plan).splitlines()[0])
    Kettle Hill (demo): water for the week from Tue 2026-07-14
    """
    with _long.reporting(progress, unit="block") as report:
        return _dibble.make_plan(
            farm,
            weather,
            today,
            gaps=gaps,
            winter=winter,
            first=first,
            rain_mm=rain_mm,
            watered_min=watered_min,
            units=units,
            log=log,
            closed=closed,
            sets=sets,
            n_threads=thread_count(n_threads),
            progress=report,
        )
