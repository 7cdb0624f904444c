"""When the first set must start so that the last block is not too late, in what order, and what if it cannot be done."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Literal, NamedTuple, TypeAlias, TypedDict

from dibble import _dibble, _gate, _long
from dibble._dibble import ClosedHours, Schedule
from dibble._types import Number, Numbers, UnitSystem
from dibble.errors import DibbleTypeError

__all__ = [
    "Closed",
    "ClosedHours",
    "Job",
    "Remedy",
    "RemedyAnswer",
    "Schedule",
    "SetWork",
    "Window",
    "clock_words",
    "closed_hours",
    "compare",
    "start_by",
]

Time: TypeAlias = str | dt.datetime | dt.date
"""A minute of a day in local standard time: "2026-07-14 05:40" or a datetime without a zone; a day alone is its first minute."""

Clock: TypeAlias = str | dt.time
"""A time of the day: "5:40", "17:00", "5 pm" or a time."""


class SetWork(NamedTuple):
    """One set: the sprinkler is moved to a position and runs there."""

    name: str
    move_min: Number
    run_min: Numbers
    """Minutes with the water on; a list gives them by the day that the set is served, and its last goes on."""
    pulses: Sequence[tuple[Number, Number]] = ()
    """Minutes on and soaking of each pulse on the first day; none for one run. They stretch with the run of the day."""
    one_run_min: Number | None = None
    """Minutes of a single run in place of the pulses."""
    may_split: bool = False
    """May it be broken off when a window closes and go on in the next?"""


class Job(NamedTuple):
    """A block with its sets."""

    name: str
    sets: Sequence[SetWork]
    due: Time | tuple[Time, Time, Time] | None = None
    """By when all sets have to be finished: a time, or the low end (which the schedule keeps), likely and high end."""
    release: Time | None = None
    """Not before."""
    worth: Number | None = None
    """What is lost if it is left out, in the same measure for all jobs."""
    age_years: Number | None = None


class Window(NamedTuple):
    """A working window; `closes` at or before `opens` is on the next day."""

    opens: Clock
    closes: Clock
    days: str = "every day"
    """Such as "Mon-Fri" or "Mon, Wed, Sat"."""
    when: Literal["always", "if_needed"] = "always"


class Closed(NamedTuple):
    """Hours in which no set runs, because of wind or heat."""

    begin: Time
    end: Time
    why: str = "closed"


class Remedy(NamedTuple):
    """A change to try: other jobs, windows or sprinklers in place of the question's."""

    what: str
    price: str = ""
    jobs: Sequence[Job] | None = None
    windows: Sequence[Window] | None = None
    sprinklers: int | None = None


class RemedyAnswer(TypedDict):
    """What a change does."""

    what: str
    price: str
    in_time: bool
    short_h: float
    start_by: str | None
    finish: str | None
    late_h: float


class _Asked(NamedTuple):
    jobs: list[Job]
    windows: list[Window]
    now: str
    closed: list[Closed]
    sprinklers: int
    between_min: list[Numbers]
    begin: str | None
    most_states: int | None


def start_by(
    jobs: Iterable[Job | Mapping[str, Any]],
    windows: Iterable[Window | Mapping[str, Any]],
    now: Time,
    *,
    closed: Iterable[Closed | Mapping[str, Any]] = (),
    sprinklers: int = 1,
    between_min: Sequence[Numbers] = (),
    begin: Time | None = None,
    most_states: int | None = None,
    progress: _long.Progress = None,
) -> Schedule:
    """Return the latest begin, the order and the timetable of jobs within working windows.

    Sets that may not be broken off are put into the windows by a search over every order, as long as that can be counted; beyond,
    a good order comes with what is left unproven. Pulses interleave where the moves pay, and give way to one run where that
    takes less work and at most a quarter of its water runs off. Minutes are whole; parts round up.

    Parameters
    ----------
    jobs : sequence of Job or mapping
        The blocks with their sets and limits.
    windows : sequence of Window or mapping
        When work may be done.
    now : str or datetime
        The moment from which on work may begin, local standard time.
    closed : sequence of Closed or mapping
        Hours that wind or heat close.
    sprinklers : int
        Sprinklers that run at the same time, 1 to 100.
    between_min : array-like
        Minutes more for a move from the row's job to the column's.
    begin : str or datetime, optional
        Begin then instead of at the latest begin.
    most_states : int, optional
        Beyond so many states the exact search gives way to the heuristic.
    progress : bool or callable, optional
        True draws a bar (needs tqdm); a function is called with steps done and all.

    Returns
    -------
    Schedule
        `.start_by`, `.order`, `.timetable`, `.in_time`, `.short_h`, `.leave_out` and more; `print` it.

    Raises
    ------
    OutOfRangeError, InconsistentError, MissingError, UnreadableError, InfeasibleError
        A value out of range; limits out of order; windows that never open; a time that cannot be read; a set that is longer
        than every window and may not be broken off.

    Examples
    --------
    >>> from dibble.schedule import Job, SetWork, Window, start_by
    >>> sets = lambda n: [SetWork(str(i + 1), move_min=30, run_min=60) for i in range(n)]
    >>> jobs = [Job("old", sets(2), due="2026-07-17 18:00"), Job("young", sets(3), due="2026-07-15 12:00")]
    >>> week = start_by(jobs, [Window("6:00", "12:00")], "2026-07-14 06:00")
    >>> week.start_by, week.order, week.exact
    ('2026-07-15 07:30', ['young', 'old'], True)
    """
    asked = _asked(jobs, windows, now, closed, sprinklers, between_min, begin, most_states)
    with _long.reporting(progress, unit="state") as report:
        return _dibble.start_by(asked, report)


def compare(
    jobs: Iterable[Job | Mapping[str, Any]],
    windows: Iterable[Window | Mapping[str, Any]],
    now: Time,
    remedies: Iterable[Remedy | Mapping[str, Any]],
    *,
    closed: Iterable[Closed | Mapping[str, Any]] = (),
    sprinklers: int = 1,
    progress: _long.Progress = None,
) -> list[RemedyAnswer]:
    """Return what each change would do by itself.

    Parameters
    ----------
    jobs, windows, now, closed, sprinklers, progress
        As `start_by`.
    remedies : sequence of Remedy or mapping
        The changes.

    Returns
    -------
    list of dict
        In the order given: `in_time`, `short_h`, `start_by`, `finish`, `late_h`.

    Raises
    ------
    OutOfRangeError, InconsistentError, MissingError, UnreadableError, InfeasibleError
        As `start_by`.

    Examples
    --------
    >>> from dibble.schedule import Job, Remedy, SetWork, Window, compare
    >>> jobs = [Job("A", [SetWork("1", 30, 150), SetWork("2", 30, 150)], due="2026-07-14 12:00")]
    >>> night = Remedy("the night before", windows=[Window("0:00", "12:00")])
    >>> [(r["in_time"], r["short_h"]) for r in compare(jobs, [Window("6:00", "11:00")], "2026-07-14", [night])]
    [(True, 0.0)]
    """
    asked = _asked(jobs, windows, now, closed, sprinklers, (), None, None)
    changes = []
    for i, given in enumerate(_gate.items("remedies", remedies, "remedies")):
        remedy: Remedy = _made(Remedy, given)
        at = f"remedies[{i}]."
        changes.append(
            remedy._replace(
                what=_gate.text(f"{at}what", remedy.what),
                price=_gate.text(f"{at}price", remedy.price),
                jobs=None if remedy.jobs is None else _jobs(f"{at}jobs", remedy.jobs),
                windows=None if remedy.windows is None else _windows(f"{at}windows", remedy.windows),
            )
        )
    with _long.reporting(progress, unit="state") as report:
        return _dibble.compare_remedies(asked, changes, report)


def closed_hours(
    hours: Any,
    *,
    wind_m_s: Number | None = None,
    t_c: Number | None = None,
    units: UnitSystem | None = None,
    day_first: bool | None = None,
    stamp: Literal["start", "end"] = "start",
) -> ClosedHours:
    """Return the hours of a forecast in which no set runs, for the `closed` of `dibble.plan`.

    Parameters
    ----------
    hours : str, os.PathLike, dataframe or mapping
        A text file with a heading line, read as `Weather.read_hours_csv` reads it, of which only what a limit is about has to be
        there; or a table as for `Weather.from_hours_table`.
    wind_m_s, t_c : float, optional
        Wind at the sensor's height, m/s, and air temperature, degrees Celsius, above which an hour is closed; at least one.
    units : {"us", "si"}, optional
        Units of columns whose heading names none.
    day_first : bool, optional
        In a file: does the day stand before the month in dates like 3/4/2026?
    stamp : {"start", "end"}
        Which end of the hour its time names; a heading like "hour ending" goes before it.

    Returns
    -------
    ClosedHours
        `.closed` with begin, end and reason of each span; nothing is known, and nothing closed, beyond `.last`.

    Raises
    ------
    MissingError, OutOfRangeError, InconsistentError, UnreadableError, FileError
        No limit, no column for it, a value out of range, an hour given twice, a file that cannot be read.

    Examples
    --------
    >>> from dibble.schedule import closed_hours
    >>> hours = {"date": ["2026-07-14"] * 4, "time": [9, 10, 11, 12], "t_c": [18.0] * 4, "wind_m_s": [2.0, 5.0, 6.0, 3.0]}
    >>> [(span["from"], span["to"], span["why"]) for span in closed_hours(hours, wind_m_s=4.5).closed]
    [('2026-07-14 10:00', '2026-07-14 12:00', 'wind')]
    """
    if isinstance(hours, (str, os.PathLike)):
        return _dibble.closed_hours_csv(hours, wind_m_s=wind_m_s, t_c=t_c, units=units, day_first=day_first, stamp=stamp)
    return _dibble.closed_hours_table(hours, wind_m_s=wind_m_s, t_c=t_c, units=units, stamp=stamp)


def clock_words(moment: Time) -> str:
    """Return weekday and time as a hand would write them.

    Parameters
    ----------
    moment : str or datetime
        Such as the times of a `Schedule`.

    Returns
    -------
    str

    Raises
    ------
    UnreadableError
        Not a time.

    Examples
    --------
    >>> from dibble.schedule import clock_words
    >>> clock_words("2026-07-14 05:40")
    'Tue 5:40 am'
    """
    return _dibble.clock_words(_time("moment", moment))


def _asked(
    jobs: Iterable[Job | Mapping[str, Any]],
    windows: Iterable[Window | Mapping[str, Any]],
    now: Time,
    closed: Iterable[Closed | Mapping[str, Any]],
    sprinklers: int,
    between_min: Sequence[Numbers],
    begin: Time | None,
    most_states: int | None,
) -> _Asked:
    return _Asked(
        jobs=_jobs("jobs", jobs),
        windows=_windows("windows", windows),
        now=_time("now", now),
        closed=[_closed(f"closed[{i}].", item) for i, item in enumerate(_gate.items("closed", closed, "closed hours"))],
        sprinklers=sprinklers,
        between_min=_gate.items("between_min", between_min, "rows of minutes, one for each job,"),
        begin=None if begin is None else _time("begin", begin),
        most_states=most_states,
    )


def _jobs(name: str, given: Any) -> list[Job]:
    return [_job(f"{name}[{i}].", job) for i, job in enumerate(_gate.items(name, given, "jobs"))]


def _windows(name: str, given: Any) -> list[Window]:
    return [_window(f"{name}[{i}].", window) for i, window in enumerate(_gate.items(name, given, "windows"))]


def _job(at: str, given: Job | Mapping[str, Any]) -> Job:
    job: Job = _made(Job, given)
    return job._replace(
        name=_gate.text(f"{at}name", job.name),
        sets=[_set(f"{at}sets[{i}].", item) for i, item in enumerate(_gate.items(f"{at}sets", job.sets, "sets"))],
        due=None if job.due is None else _due(f"{at}due", job.due),
        release=None if job.release is None else _time(f"{at}release", job.release),
        worth=None if job.worth is None else _gate.one_number(f"{at}worth", job.worth),
        age_years=None if job.age_years is None else _gate.one_number(f"{at}age_years", job.age_years),
    )


def _due(name: str, given: Any) -> tuple[str, str, str]:
    ends = given if isinstance(given, (tuple, list)) else (given, given, given)
    if len(ends) != 3:
        message = f"{name} holds {len(ends)} moments: one is needed, or three (low end, likely, high end)."
        raise DibbleTypeError(message, name=name)
    low, likely, high = (_time(name, end) for end in ends)
    return low, likely, high


def _set(at: str, given: SetWork | Mapping[str, Any]) -> SetWork:
    work: SetWork = _made(SetWork, given)
    pulses = _gate.items(f"{at}pulses", work.pulses, "pulses, each (minutes on, minutes soaking),")
    return work._replace(
        name=_gate.text(f"{at}name", work.name),
        move_min=_gate.one_number(f"{at}move_min", work.move_min),
        run_min=_gate.numbers(f"{at}run_min", work.run_min),
        pulses=[_pulse(f"{at}pulses[{i}]", pulse) for i, pulse in enumerate(pulses)],
        one_run_min=None if work.one_run_min is None else _gate.one_number(f"{at}one_run_min", work.one_run_min),
        may_split=_gate.flag(f"{at}may_split", work.may_split),
    )


def _pulse(name: str, given: Any) -> tuple[float, float]:
    parts = _gate.items(name, given, "two numbers, minutes on and minutes soaking,")
    if len(parts) != 2:
        raise DibbleTypeError(f"{name} holds {len(parts)} numbers: two are needed, minutes on and minutes soaking.", name=name)
    return _gate.one_number(f"{name}.on_min", parts[0]), _gate.one_number(f"{name}.soak_min", parts[1])


def _closed(at: str, given: Closed | Mapping[str, Any]) -> Closed:
    shut: Closed = _made(Closed, given)
    return Closed(_time(f"{at}begin", shut.begin), _time(f"{at}end", shut.end), _gate.text(f"{at}why", shut.why))


def _window(at: str, given: Window | Mapping[str, Any]) -> Window:
    window: Window = _made(Window, given)
    when: Any = _gate.text(f"{at}when", window.when)
    return window._replace(
        opens=_clock(f"{at}opens", window.opens),
        closes=_clock(f"{at}closes", window.closes),
        days=_gate.text(f"{at}days", window.days),
        when=when,
    )


def _made(kind: Any, given: Any) -> Any:
    """Return `given` as the named tuple that it stands for."""
    if isinstance(given, kind):
        return given
    hint = f"Give {kind.__name__}({', '.join(kind._fields)}), or a dict with these keys."
    try:
        if isinstance(given, Mapping):
            return kind(**given)
        if isinstance(given, tuple):
            return kind(*given)
    except TypeError as error:
        message = f"{_gate.brief(given)} is no {kind.__name__}: {error}. {hint}"
        raise DibbleTypeError(message) from error
    message = f"{_gate.brief(given)} is no {kind.__name__}. {hint}"
    raise DibbleTypeError(message)


def _time(name: str, value: Time) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, dt.datetime):
        if value.tzinfo is not None:
            message = f"{name} is {value}: it carries a time zone, and times here are local standard time. Take the zone off."
            raise DibbleTypeError(message, name=name)
        return f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, dt.date):
        return value.isoformat()
    message = f"{name} is {_gate.brief(value)}: a time is needed. Give a datetime, or text as 2026-07-14 05:40."
    raise DibbleTypeError(message, name=name)


def _clock(name: str, value: Clock) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, dt.time):
        return f"{value:%H:%M}"
    message = f"{name} is {_gate.brief(value)}: a time of the day is needed. Give a time, or text as 5:40 or 5 pm."
    raise DibbleTypeError(message, name=name)
