"""`python -m dibble plan`: the week's plan of a farm, of the demo farm without arguments."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeAlias

from dibble import _files, _sheet, units
from dibble._arguments import stated
from dibble.errors import InconsistentError
from dibble.farm import Farm, Plan, plan
from dibble.outlook import Outlook, Sensitivity, outlook, sensitivity
from dibble.record import Log
from dibble.schedule import ClosedHours, closed_hours
from dibble.weather import Weather

EPILOG = """examples:
  python -m dibble plan                                      the demo farm
  python -m dibble plan farm.toml --weather station.csv      your farm, your weather
  python -m dibble plan farm.toml --weather station.csv --log log.csv   with what was done since
  python -m dibble plan --rain 0.4in --watered 2h            what if it rains and is watered today
  python -m dibble plan --all                                everything that the plan says
  python -m dibble plan --part sets                          one part of it; --part "South slope" what it says of a block
  python -m dibble plan --explain "South slope"              how a block's numbers came about
  python -m dibble plan farm.toml --weather station.csv --hours hourly.csv --wind-above 10mph   no set in the wind
  python -m dibble plan --measure                            also what to measure next
  python -m dibble plan farm.toml --weather station.csv --years past.csv   also the coming weeks over past years

parts: headlines, week, block, sets, feeding, supply, cost, weather, log, assumptions, cautions, as far as the farm has them

files of --out: sheet.html, plan.txt, plan.csv, plan.json; sets.csv and, with the site's longitude, sets.geojson where the
sprinkler has a place; bucket.csv where trees are out of its reach; trees.csv where sets were logged; outlook.json and
outlook.csv with --outlook, measure.json with --measure

exit codes: 0 fine, 1 refused (the reason is on the error output), 2 wrong use of the command
"""

More: TypeAlias = list[Outlook | Sensitivity]
"""What a plan's page tells besides the plan."""

NOT_OF_EVERY_PLAN = (
    *("sets.csv", "sets.geojson", "bucket.csv", "trees.csv"),
    *("outlook.json", "outlook.csv", "measure.json"),
)
"""Files of --out that a plan writes only where it has something to say in them."""

REST = """\
More: --all prints everything, --part NAME a part of it (week, block, sets, feeding, supply, cost, log,
assumptions, cautions, or a block's name), --explain BLOCK the reckoning, --out DIR the field sheet."""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the subcommand to the command."""
    one = commands.add_parser(
        "plan",
        help="the week's plan of a farm",
        description="Print how dry each block is, how many days are left, how much water to give and how it enters the ground.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    one.add_argument("farm", nargs="?", type=stated, metavar="FARM.toml", help="farm file; the demo farm if left out")
    one.add_argument("--weather", type=stated, metavar="W.csv", help="daily weather with a heading line; needed with a farm file")
    one.add_argument("--log", type=stated, metavar="LOG.csv", help="season log: what is done counts, faulty lines are told")
    one.add_argument("--weather-units", choices=("us", "si"), help="units of columns whose heading names none")
    one.add_argument("--day-first", action=argparse.BooleanOptionalAction, help="does the day stand before the month in 3/4/2026?")
    one.add_argument("--forecast-from", type=stated, metavar="DATE", help="weather from this day on is a forecast")
    one.add_argument(
        "--on", type=stated, metavar="DATE", help="the morning to plan for; the first forecast day, or the day after the weather"
    )
    one.add_argument("--from", type=stated, metavar="DATE", dest="first", help="first day of the reckoning; the first of the weather")
    one.add_argument(
        "--sets",
        action=argparse.BooleanOptionalAction,
        default=True,
        help="where to set the sprinkler and who gets a bucket, in blocks with an outline; --no-sets saves some seconds",
    )
    one.add_argument("--rain", type=stated, metavar="DEPTH", help="what if so much rain falls today: 0.4in, 10mm")
    one.add_argument("--watered", type=stated, metavar="TIME", help="what if every block is watered today for so long: 2h, 40min")
    one.add_argument(
        "--hours", type=stated, metavar="HOURLY.csv", help="hourly forecast; hours above a limit, the farm's or one of these, take no set"
    )
    one.add_argument("--wind-above", type=stated, metavar="SPEED", help="close hours of --hours with more wind: 10mph, 4.5m/s")
    one.add_argument("--heat-above", type=stated, metavar="TEMPERATURE", help="close hours of --hours that are hotter: 90F, 32C")
    one.add_argument(
        "--outlook", action="store_true", help="also how the coming weeks would go with the weather of past years, those of --weather"
    )
    one.add_argument(
        "--years", type=stated, metavar="PAST.csv", help="the outlook over the past years of this file, in place of those of --weather"
    )
    one.add_argument("--ahead", type=int, metavar="DAYS", help="days that the outlook looks ahead, 7 to 200 (default: 56)")
    one.add_argument("--measure", action="store_true", help="also what to measure next: which doubt moves start and minutes most")
    one.add_argument("--units", choices=("us", "si"), help="units to print in; the farm's own")
    one.add_argument("--gaps", choices=("refuse", "zero", "mean"), default="refuse", help="missing rain and missing days (default: refuse)")
    one.add_argument(
        "--winter", choices=("refuse", "skip", "ignore"), default="refuse", help="a winter inside the weather (default: refuse)"
    )
    much = one.add_mutually_exclusive_group()
    much.add_argument("--all", action="store_true", help="print everything; without it what one reads at once")
    much.add_argument("--part", type=stated, metavar="NAME", help="print only this part, or what is said of this block")
    much.add_argument("--explain", type=stated, metavar="BLOCK", help="print how the numbers of this block came about instead of the plan")
    one.add_argument("--json", type=stated, metavar="FILE", help="also write the whole plan as JSON")
    one.add_argument("--csv", type=stated, metavar="FILE", help="also write the blocks as CSV")
    one.add_argument("--out", type=stated, metavar="DIR", help="also write sheet, plan, sets, buckets and trees into this folder")
    one.set_defaults(check=check, run=run)


def check(top: argparse.ArgumentParser, given: argparse.Namespace) -> None:
    """Refuse arguments that do not go together."""
    if given.weather is None:
        if given.farm is not None:
            top.error("a farm file needs --weather W.csv, the daily weather at the farm")
        if given.outlook and given.years is None:
            top.error("--outlook needs past years: --weather W.csv that holds them, or --years PAST.csv")
        for option in ("weather_units", "day_first", "forecast_from"):
            if getattr(given, option) is not None:
                top.error(f"--{option.replace('_', '-')} says how to read --weather W.csv, which is not given")
    limits = [given.wind_above, given.heat_above]
    if given.hours is None and limits != [None, None]:
        top.error("--wind-above and --heat-above close hours of --hours HOURLY.csv, which is not given")
    if given.ahead is not None and not given.outlook and given.years is None:
        top.error("--ahead says how far the outlook looks; ask for one with --outlook or --years PAST.csv")


def run(given: argparse.Namespace) -> str:
    """Write the files that are asked for; return the page to print."""
    if given.out is not None:
        _sheet.require()
    farm = Farm.demo() if given.farm is None else Farm.read(given.farm)
    weather = _weather(given)
    log = None if given.log is None else Log.read(given.log)
    closed = _closed(given, farm)
    done = made(given, farm, weather, log, closed)
    more = _more(given, farm, weather, log, closed)
    page = _page(given, done, more)
    texts = _texts(given, farm, done, more)
    _files.write(texts, None if given.out is None else Path(given.out))
    return page + _older(given, [path for path, _ in texts])


def _older(given: argparse.Namespace, written: list[Path]) -> str:
    """Return a line about files that an earlier plan left in the folder, so that nobody takes them for this one's."""
    places = {path.resolve() for path in written}
    if given.out is None:
        return ""
    there = [path for path in (Path(given.out, name) for name in NOT_OF_EVERY_PLAN) if path.is_file()]
    kept = [path.name for path in there if path.resolve() not in places]
    return f"Older files in {given.out} that this plan did not write: {', '.join(kept)}\n" if kept else ""


def _page(given: argparse.Namespace, done: Plan, more: More) -> str:
    """Return as much of the plan as the arguments ask for."""
    if given.explain is not None:
        return f"{done.explain(given.explain)}\n"
    if given.part is not None:
        return done.part(given.part, *more)
    return done.text(*more) if given.all else f"{done.answer(*more)}\n{REST}\n"


def counted(unit: str) -> Callable[[int, int], None] | None:
    """Return what tells a person who waits how far it is, in a line that is cleared at the end; nothing where nobody looks."""

    def count(done: int, total: int) -> None:
        sys.stderr.write(f"\r{done} of {total} {unit} \r" if done < total else "\r\033[K")
        sys.stderr.flush()

    return count if sys.stderr.isatty() else None


def _weather(given: argparse.Namespace) -> Weather:
    """Return the weather at the farm."""
    if given.weather is None:
        return Farm.demo_weather()
    return Weather.read_csv(given.weather, units=given.weather_units, day_first=given.day_first, forecast_from=given.forecast_from)


def _closed(given: argparse.Namespace, farm: Farm) -> ClosedHours | None:
    """Return the hours that wind or heat close: above the limits of the command, else of the farm."""
    if given.hours is None:
        return None
    limits = farm.hour_limits
    if given.wind_above is not None:
        limits["wind_m_s"] = units.parse(given.wind_above, "m/s")
    if given.heat_above is not None:
        limits["t_c"] = units.parse(given.heat_above, "C")
    if limits == {"wind_m_s": None, "t_c": None}:
        reason = "--hours needs a limit above which no set runs"
        hint = 'Give --wind-above SPEED or --heat-above TEMPERATURE, or write wind_limit = "10 mph" into [sprinkler] of the farm file.'
        raise InconsistentError(f"{reason}. {hint}")
    return closed_hours(
        given.hours,
        wind_m_s=limits["wind_m_s"],
        t_c=limits["t_c"],
        units=given.weather_units,
        day_first=given.day_first,
    )


def made(given: argparse.Namespace, farm: Farm, weather: Weather, log: Log | None, closed: ClosedHours | None) -> Plan:
    """Return the plan that the arguments ask for."""
    return plan(
        farm,
        weather,
        given.on,
        gaps=given.gaps,
        winter=given.winter,
        first=given.first,
        rain_mm=None if given.rain is None else units.parse(given.rain, "mm"),
        watered_min=None if given.watered is None else units.parse(given.watered, "min"),
        units=given.units,
        sets=given.sets,
        log=log,
        closed=closed,
        progress=counted("blocks"),
    )


def _more(given: argparse.Namespace, farm: Farm, weather: Weather, log: Log | None, closed: ClosedHours | None) -> More:
    """Return what else the arguments ask for; a what-if of today has no part in it."""
    asked: dict[str, Any] = {"gaps": given.gaps, "winter": given.winter, "first": given.first, "log": log}
    more: More = []
    if given.measure:
        more.append(sensitivity(farm, weather, given.on, **asked, closed=closed, progress=counted("plans")))
    if given.outlook or given.years is not None:
        past = None if given.years is None else Weather.read_csv(given.years, units=given.weather_units, day_first=given.day_first)
        days = {} if given.ahead is None else {"days": given.ahead}
        more.append(outlook(farm, weather, given.on, past, **days, **asked, units=given.units, progress=counted("blocks")))
    return more


def _texts(given: argparse.Namespace, farm: Farm, done: Plan, more: More) -> list[tuple[Path, str]]:
    """Return what is to be written, by its path."""
    wanted = [(Path(given.json), done.to_json() + "\n")] if given.json is not None else []
    if given.csv is not None:
        wanted.append((Path(given.csv), done.to_csv()))
    if given.out is not None:
        folder = Path(given.out)
        texts = {"sheet.html": done.sheet(*more), "plan.txt": done.text(*more)}
        texts |= {"plan.csv": done.to_csv(), "plan.json": done.to_json() + "\n"}
        for part in more:
            if isinstance(part, Outlook):
                texts |= {"outlook.json": part.to_json() + "\n", "outlook.csv": part.to_csv()}
            else:
                texts["measure.json"] = part.to_json() + "\n"
        wanted += [(folder / name, text) for name, text in (texts | _where(farm, done)).items()]
    places = [path.resolve() for path, _ in wanted]
    for path, place in zip((path for path, _ in wanted), places, strict=True):
        if places.count(place) > 1:
            message = f"{path} is asked for twice by --json, --csv and --out. Give each its own file."
            raise InconsistentError(message, name=str(path))
    return wanted


def _where(farm: Farm, done: Plan) -> dict[str, str]:
    """Return the files about places that have something to say."""
    texts = {"sets.csv": done.sets_csv(), "trees.csv": done.trees_csv(), "bucket.csv": done.bucket_csv()}
    texts = {name: text for name, text in texts.items() if text.count("\n") > 1}
    if farm.site.longitude_deg is not None and texts.keys() & {"sets.csv", "bucket.csv"}:
        texts["sets.geojson"] = done.sets_geojson(farm) + "\n"
    return texts
