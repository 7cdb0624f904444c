"""`python -m dibble log`: one more line in the season log."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any, cast

from dibble._arguments import stated
from dibble.farm import Farm
from dibble.record import Log, append

EPILOG = """examples:
  python -m dibble log log.csv water --farm farm.toml --on 2026-07-14 --block "South slope" --time 70min
  python -m dibble log log.csv reading --on 2026-07-16 --block "South slope" --soil-depth 4in --feel moist --holes 3
  python -m dibble log log.csv rain --on 2026-07-17 --depth 0.4in
  python -m dibble log log.csv strike --on 2026-07-17 --of 2026-07-14-1 --note "wrong block"

exit codes: 0 fine, 1 refused (the reason is on the error output), 2 wrong use of the command
"""
KINDS = ("water", "rain", "reading", "feeding", "count", "note", "strike")
WORDS = {
    "of": "id of an earlier entry whose place this one takes",
    "depth": "water put out before losses, or rain caught: 0.5in, 12mm",
    "time": "running time of each set: 70min, 1.5h",
    "sets": 'positions that ran: "1-3 of 4"',
    "soil-depth": "depth that the soil came from: 4in",
    "feel": "band of the feel test: moist",
    "tension": "soil water tension: 45cbar",
    "water-content": "m3 of water in m3 of soil: 0.21",
    "holes": "holes dug",
    "product": "what was fed",
    "amount": "how much over the whole block: 50lb",
    "place": "row or plot of a count; the whole block if left out",
    "living": "living trees",
    "planted": "trees planted there",
    "row": "one row tree by tree, x living and . missing: xx.x; --place says which row",
    "note": "words",
}
HEADINGS = {"depth": "depth_mm", "time": "time_min", "soil-depth": "soil_depth_m", "tension": "tension_kpa", "amount": "amount_kg"}


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the subcommand to the command."""
    one = commands.add_parser(
        "log",
        help="write one more line into the season log",
        description="Add an entry to the season log, which `plan --log` reads. The file is begun if there is none.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    one.add_argument("log", type=stated, metavar="LOG.csv", help="the log's file")
    one.add_argument("what", choices=KINDS, help="what was planned or done")
    one.add_argument("--farm", type=stated, metavar="FARM.toml", help="farm file; needed to begin a log")
    one.add_argument("--on", type=stated, metavar="DATE", required=True, help="the day")
    one.add_argument("--block", type=stated, metavar="NAME", help="the block; the whole farm if left out")
    one.add_argument("--plan", action="store_true", help="it is planned, not done")
    for name, words in WORDS.items():
        one.add_argument(f"--{name}", type=stated, metavar=name.upper(), help=words)
    one.set_defaults(check=check, run=run)


def check(top: argparse.ArgumentParser, given: argparse.Namespace) -> None:
    """Refuse arguments that do not go together."""
    if given.farm is None and not Path(given.log).exists():
        top.error(f"{given.log} does not exist; a new log needs --farm FARM.toml")
    if given.what == "count" and given.row is not None and given.place is None:
        top.error('--row shows the trees of one row; say which with --place "row 3" (a count without a place is of the whole block)')


def run(given: argparse.Namespace) -> str:
    """Write the line; return what to print."""
    farm = Log.read(given.log).farm if given.farm is None else Farm.read(given.farm).name
    texts = {name: getattr(given, name.replace("-", "_")) for name in WORDS}
    details = {HEADINGS.get(name, name.replace("-", "_")): text for name, text in texts.items() if text is not None}
    state = "planned" if given.plan else "done"
    id_ = append(given.log, farm, given.what, given.on, given.block or "", **cast("Any", {"state": state, **details}))
    return f"{id_} is in {given.log}\n"
