"""`python -m dibble plan`: the week's plan of a farm, of the demo farm without arguments."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from dibble import _files, _sheet, units
from dibble._arguments import stated
from dibble.errors import InconsistentError
from dibble.farm import Farm, Plan, plan
from dibble.record import Log
from dibble.weather import Weather

EPILOG = """examples:
  python -m dibble plan                                      the demo farm
  python -m dibble plan farm.toml --weather station.csv      your farm, your weather
  python -m dibble plan farm.toml --weather station.csv --log log.csv   with what was done since
  python -m dibble plan --rain 0.4in --watered 2h            what if it rains and is watered today
  python -m dibble plan --explain "South slope"              how a block's numbers came about

files of --out: sheet.html, plan.txt, plan.csv, plan.json; sets.csv and, with the site's longitude, sets.geojson where the
sprinkler has a place; bucket.csv where trees are out of its reach; trees.csv where sets were logged

exit codes: 0 fine, 1 refused (the reason is on the error output), 2 wrong use of the command
"""


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
    one.add_argument("--units", choices=("us", "si"), help="units to print in; the farm's own")
    one.add_argument("--gaps", choices=("refuse", "zero", "mean"), default="refuse", help="missing rain and missing days (default: refuse)")
    one.add_argument(
        "--winter", choices=("refuse", "skip", "ignore"), default="refuse", help="a winter inside the weather (default: refuse)"
    )
    one.add_argument("--explain", type=stated, metavar="BLOCK", help="print how the numbers of this block came about instead of the plan")
    one.add_argument("--json", type=stated, metavar="FILE", help="also write the whole plan as JSON")
    one.add_argument("--csv", type=stated, metavar="FILE", help="also write the blocks as CSV")
    one.add_argument("--out", type=stated, metavar="DIR", help="also write sheet, plan, sets, buckets and trees into this folder")
    one.set_defaults(check=check, run=run)


def check(top: argparse.ArgumentParser, given: argparse.Namespace) -> None:
    """Refuse arguments that do not go together."""
    if given.weather is None:
        if given.farm is not None:
            top.error("a farm file needs --weather W.csv, the daily weather at the farm")
        for option in ("weather_units", "day_first", "forecast_from"):
            if getattr(given, option) is not None:
                top.error(f"--{option.replace('_', '-')} says how to read --weather W.csv, which is not given")


def run(given: argparse.Namespace) -> str:
    """Write the files that are asked for; return the page to print."""
    if given.out is not None:
        _sheet.require()
    farm = Farm.demo() if given.farm is None else Farm.read(given.farm)
    done = made(given, farm)
    page = str(done) if given.explain is None else f"{done.explain(given.explain)}\n"
    _files.write(_texts(given, farm, done))
    return page


def counted(done: int, total: int) -> None:
    """Tell a person who waits how far the plan is; the line is cleared when the plan is there."""
    sys.stderr.write(f"\r{done} of {total} blocks \r" if done < total else "\r\033[K")
    sys.stderr.flush()


def made(given: argparse.Namespace, farm: Farm) -> Plan:
    """Return the plan that the arguments ask for."""
    if given.weather is not None:
        weather = Weather.read_csv(given.weather, units=given.weather_units, day_first=given.day_first, forecast_from=given.forecast_from)
    else:
        weather = Farm.demo_weather()
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
        log=None if given.log is None else Log.read(given.log),
        progress=counted if sys.stderr.isatty() else None,
    )


def _texts(given: argparse.Namespace, farm: Farm, done: Plan) -> list[tuple[Path, str]]:
    """Return what is to be written, by its path."""
    wanted = [(Path(given.json), done.to_json() + "\n")] if given.json is not None else []
    if given.csv is not None:
        wanted.append((Path(given.csv), done.to_csv()))
    if given.out is not None:
        folder = _files.folder(given.out)
        texts = {"sheet.html": done.sheet(), "plan.txt": str(done), "plan.csv": done.to_csv(), "plan.json": done.to_json() + "\n"}
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
