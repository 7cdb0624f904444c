"""Looking further than the week: what to measure next, and the coming weeks as past years would make them."""

from __future__ import annotations

from collections.abc import Sequence

from dibble import _dibble, _long
from dibble._dibble import ClosedHours, Log, Outlook, Sensitivity
from dibble._gate import count, items, thread_count, whole
from dibble._types import Day, GapRule, UnitSystem, WinterRule
from dibble.errors import OutOfRangeError
from dibble.farm import Farm
from dibble.weather import Weather

__all__ = ["Outlook", "Sensitivity", "outlook", "sensitivity"]


def sensitivity(
    farm: Farm,
    weather: Weather,
    today: Day | None = None,
    *,
    gaps: GapRule = "refuse",
    winter: WinterRule = "refuse",
    first: Day | None = None,
    log: Log | None = None,
    closed: ClosedHours | None = None,
    n_threads: int | None = None,
    progress: _long.Progress = None,
) -> Sensitivity:
    """Make the plan anew at both ends of each input that is not known for sure, and tell which of them moves it most.

    Inputs are the soil's holding, root depth, rain, wind, the sprinkler's rate, nozzle pressure, efficiency and the forecast. They
    move one at a time. Compared are the start of the week's work, and each block's days left and minutes.

    Parameters
    ----------
    farm, weather, today, gaps, winter, first, log, closed
        As for `dibble.plan`.
    n_threads : int, optional
        `DIBBLE_NUM_THREADS` if not given, else one for each core.
    progress : bool or callable, optional
        True draws a bar (needs tqdm), a function is called with (done, total); Ctrl-C stops the call either way.

    Returns
    -------
    Sensitivity
        `print` it; `swings` has the numbers.

    Raises
    ------
    DibbleError
        As for `dibble.plan`.

    Examples
    --------
    >>> from dibble.farm import Farm
    >>> from dibble.outlook import sensitivity
    >>> found = sensitivity(Farm.demo(), Farm.demo_weather())
    >>> print(str(found).splitlines()[0])
    What to measure next (what moves the start most comes first)
    >>> starts = [swing["start_h"] for swing in found.swings]
    >>> starts == sorted(starts, reverse=True)
    True
    """
    with _long.reporting(progress, unit="plan") as report:
        return _dibble.sensitivity(
            farm,
            weather,
            today,
            gaps=gaps,
            winter=winter,
            first=first,
            log=log,
            closed=closed,
            n_threads=thread_count(n_threads),
            progress=report,
        )


def outlook(
    farm: Farm,
    weather: Weather,
    today: Day | None = None,
    history: Weather | None = None,
    *,
    days: int = 56,
    years: Sequence[int] | None = None,
    forecast_days: int | None = None,
    gaps: GapRule = "refuse",
    winter: WinterRule = "refuse",
    first: Day | None = None,
    log: Log | None = None,
    units: UnitSystem | None = None,
    n_threads: int | None = None,
    progress: _long.Progress = None,
) -> Outlook:
    """Look at the coming weeks with the weather of past years behind the records of this one and its forecast.

    Each past year is one equally likely course from this morning's state of each block on.

    Parameters
    ----------
    farm, weather, today, gaps, winter, first, log, units
        As for `dibble.plan`.
    history : Weather, optional
        The past years; `weather` itself if not given.
    days : int
        Days to look ahead, 7 to 200.
    years : sequence of int, optional
        Years to take, at least three; all whole ones if not given.
    forecast_days : int, optional
        Days of the forecast that are believed before the past years begin; all that are given if left out.
    n_threads : int, optional
        `DIBBLE_NUM_THREADS` if not given, else one for each core.
    progress : bool or callable, optional
        True draws a bar (needs tqdm), a function is called with (done, total); Ctrl-C stops the call either way.

    Returns
    -------
    Outlook
        `print` it; `blocks` and `to_table` have the numbers.

    Raises
    ------
    MissingError, UnknownNameError, OutOfRangeError and others
        Fewer than three whole years, a year that the history does not hold; as for `dibble.plan`.

    Notes
    -----
    Percentiles: type 7 of Hyndman and Fan (1996), The American Statistician 50:361-365.

    Examples
    --------
    >>> import numpy as np
    >>> from dibble.farm import Farm
    >>> from dibble.outlook import outlook
    >>> from dibble.weather import Weather
    >>> dates = np.arange("2023-05-01", "2025-11-01", dtype="datetime64[D]")
    >>> rain = np.where(np.arange(dates.size) % 9 == 0, 15.0, 0.0)
    >>> past = {"date": dates, "tmin_c": np.full(dates.size, 13.0), "tmax_c": np.full(dates.size, 27.0), "rain_mm": rain}
    >>> ahead = outlook(Farm.demo(), Farm.demo_weather(), history=Weather.from_table(past), days=28)
    >>> ahead.years, ahead.days
    ([2023, 2024, 2025], 28)
    >>> [block["name"] for block in ahead.blocks if block["chance_due"][-1] == 1.0][:1]
    ['South slope']
    """
    with _long.reporting(progress, unit="block") as report:
        return _dibble.outlook(
            farm,
            weather,
            today,
            history,
            days=days,
            years=None if years is None else [_year(f"years[{i}]", year) for i, year in enumerate(items("years", years, "years"))],
            forecast_days=count("forecast_days", forecast_days),
            gaps=gaps,
            winter=winter,
            first=first,
            log=log,
            units=units,
            n_threads=thread_count(n_threads),
            progress=report,
        )


def _year(name: str, value: int) -> int:
    year = whole(name, value)
    if not 1800 <= year <= 2299:
        raise OutOfRangeError(f"{name} is {year}: a year must be from 1800 to 2299.", name=name)
    return year
