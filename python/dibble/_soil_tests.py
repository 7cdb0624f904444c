"""`python -m dibble soil-tests`: a file of soil tests to answers, a log of decisions and one letter for each grower."""

from __future__ import annotations

import argparse
import datetime as dt
import json
import unicodedata
from collections.abc import Iterable, Iterator
from pathlib import Path

from dibble import _dibble, _files, batch
from dibble._arguments import stated

EPILOG = """examples:
  python -m dibble soil-tests lab.csv --out letters                             columns guessed, tables asked for
  python -m dibble soil-tests lab.csv --out letters --options lab.toml          columns, labs and tables declared
  python -m dibble soil-tests lab.csv --out letters --soil-table rutgers-levels

An options file says what the lab's table does not; every key is optional:
  soil_tables = ["rutgers-levels"]
  ph_table = "msu-soil-ph"
  [columns]                     # headings that dibble does not know, in words that it does
  PHOS = "P (element) ppm Mehlich-3"
  [facts]                       # where no column says it
  species = "Fraser fir"
  age_years = 3
  spacing = "6 x 6 ft"          # or trees_per_ha
  day_first = false             # 3/4/2026 is March 4
  [lab."Lakeshore Lab"]         # habits of one lab
  extractant = "Mehlich-3"

The folder gets results.csv (every row in order), log.txt (how columns were read, what was decided) and letters/NAME.txt.

exit codes: 0 fine, 1 refused (the reason is on the error output), 2 wrong use of the command
"""


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the subcommand to the command."""
    one = commands.add_parser(
        "soil-tests",
        help="lime and nutrients from a file of soil tests",
        description="Read soil tests of one lab or several, and write answers, a log of decisions and one letter for each grower.",
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    one.add_argument("file", type=stated, metavar="FILE.csv", help="the lab's table; several pasted under each other are read in turn")
    one.add_argument("--out", type=stated, metavar="DIR", required=True, help="folder for the answers, the log and the letters")
    one.add_argument("--options", type=stated, metavar="FILE", help="columns, facts, labs and tables, as TOML or JSON")
    one.add_argument(
        "--on", type=stated, metavar="DATE", help="the day to which the age of samples is counted; that of the options, or today"
    )
    one.add_argument("--soil-table", type=stated, action="append", metavar="KEY", help="interpretation table; may be given several times")
    one.add_argument("--ph-table", type=stated, metavar="KEY", help="table of pH targets")
    one.add_argument("--nitrogen-table", type=stated, metavar="KEY", help="table of nitrogen")
    one.set_defaults(check=lambda *_: None, run=run)


def run(given: argparse.Namespace) -> str:
    """Write the folder; return what to print."""
    options = {} if given.options is None else batch.read_options(given.options)
    named = {"today": given.on, "soil_tables": given.soil_table, "ph_table": given.ph_table, "nitrogen_table": given.nitrogen_table}
    options.setdefault("today", dt.date.today())
    text = batch.options_text(options, {**named, "letters": True})
    tests = _dibble.SoilBatch.of_file(Path(given.file), text)
    _files.write(_texts(tests, Path(given.out)), Path(given.out))
    return _page(given, tests)


def _texts(tests: _dibble.SoilBatch, folder: Path) -> Iterator[tuple[Path, str | Iterable[str]]]:
    yield folder / "results.csv", batch.csv_pieces(tests)
    # only now every row is known
    yield folder / "log.txt", _log(json.loads(tests.log()))
    taken: set[str] = set()
    for grower, letter in tests.letters():
        name = _free(_slug(grower), taken)
        yield folder / "letters" / f"{name}.txt", letter


def _slug(grower: str) -> str:
    """Name a grower's file: plain small letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", grower).encode("ascii", "ignore").decode().lower()
    words = "".join(c if c.isalnum() else " " for c in plain).split()
    return "-".join(words)[:60] or "grower"


def _free(name: str, taken: set[str]) -> str:
    """Tell growers apart whose names come out alike."""
    number, free = 1, name
    while free in taken:
        number += 1
        free = f"{name}-{number}"
    taken.add(free)
    return free


def _log(entries: list[dict[str, object]]) -> str:
    lines = []
    for entry in entries:
        where = ", ".join(str(line) for line in entry["lines"]) if isinstance(entry["lines"], list) else ""
        more = f" and more, {entry['count']} in all" if isinstance(entry["count"], int) and entry["count"] > len(where.split(", ")) else ""
        place = f" (line {where}{more})" if where else ""
        lines.append(f"{entry['key']}{place}: {entry['words']}")
    return "\n".join(lines) + "\n"


def _page(given: argparse.Namespace, tests: _dibble.SoilBatch) -> str:
    summary = batch.read_summary(tests.summary())
    letters = len(tests.letters())
    counts = [f"{rows} {status}" for status, rows in summary.statuses.items()]
    kinds = [f"{rows} {kind}" for kind, rows in summary.kinds.items()]
    means = [
        f"  {one['nutrient']} by {one['extractant']}: {one['samples']} samples, mean {one['mean_ppm']:.1f} ppm "
        f"({one['min_ppm']:.1f} to {one['max_ppm']:.1f})"
        for one in summary.by_method
    ]
    lines = [
        f"{given.file}: {summary.rows} rows: {', '.join(counts)}.",
        f"Kinds of rows: {', '.join(kinds)}.",
        "Nothing is averaged over methods:",
        *means,
        f"Written to {given.out}: results.csv, log.txt and {letters} letters in letters.",
    ]
    return "\n".join(lines) + "\n"
