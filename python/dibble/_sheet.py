"""The field sheet: one printable page that stands alone; needs jinja2 (``pip install dibble[report]``), imported at the first sheet.

It follows the morning: first what to do this week, then a page to carry to each block, then what one reads at the table.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Sequence
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from dibble import _field_map
from dibble.errors import MissingError

if TYPE_CHECKING:
    from dibble._dibble import Outlook, Plan, Sensitivity

Part = dict[str, Any]

AT_THE_BLOCK = {"block": ("Days left", "Give", "Note", "What if"), "sets": ("No set", "Rows", "Short", "Day", "Fuel")}
"""Lines that a block's page or card tells, by part; the rest is read at the table."""

LARGE = ("positions", "bucket", "scoops")
"""Parts of a block's page, in the order of the work."""

FIRST = ("week", "care")
"""Parts of the first page."""

NOT_FIRST = ("With rain", "Pulses", "Note", "What helps")
"""Lines of the week that are read at the table: the first page is for the timetable, run by run."""

BLOCKS_IN_FULL = 12
"""Of larger farms the table's pages leave out what they would say of every block; the plan's text has it."""

ROWS_OF_A_TABLE = 24
"""Longer tables are parted, so that none is cut by the end of a page."""

NOTE_ROWS = 8
"""Lines to note what was done, for all blocks without a page of their own."""

PAGE_ROWS, LEAST_NOTE_ROWS = 12, 3
"""Rows of a block's page: what its positions and doses leave of them is for notes, and no fewer than the second."""

PLACES = ("east", "north", "latitude, longitude")
"""What the table's pages say of positions, in a line; the rest stands on the block's page."""

MANY_RUNS = 12
"""A block with more runs than this has a lower map, so that its page has room for them."""


def require() -> None:
    """Refuse at once, before anything is computed, where the package of a sheet is missing."""
    if importlib.util.find_spec("jinja2") is None:
        message = "jinja2 is missing. The field sheet needs it: pip install dibble[report]."
        raise MissingError(message)


def html(plan: Plan, more: Sequence[Outlook | Sensitivity] = ()) -> str:
    """Return the sheet of a plan, and of what else it shall tell, as one HTML page: no script, nothing from elsewhere."""
    require()
    import jinja2

    environment = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    environment.filters["chunks"] = _chunks
    template = environment.from_string(files("dibble").joinpath("sheet.html.j2").read_text(encoding="utf-8"))
    page, field = plan.page(*more), plan.field()
    cards = _cards(plan, page, field)
    return template.render(
        page=page,
        first=_first(field, {card["name"] for card in cards}),
        cards=cards,
        carried=[card for card in cards if card["map"]],
        others=[card for card in cards if not card["map"]],
        table=_at_the_table(page, field, len(cards)),
        note_rows=NOTE_ROWS,
    )


def _first(field: Part, names: set[str]) -> list[Part]:
    """Return the parts of the first page; what the next feeding takes stands with each block."""
    parts = [part for part in field["parts"] if part["key"] in FIRST and not part["block"]]
    left = names | set(NOT_FIRST)
    return [part | {"lines": [line for line in part["lines"] if line["label"] not in left]} for part in parts]


def _cards(plan: Plan, page: Part, field: Part) -> list[dict[str, Any]]:
    """Return the blocks in the order in which they run short, each with its headline, its gauge and what one takes to it."""
    headlines = next((part for part in page["parts"] if part["key"] == "headlines"), None)
    rows = [row for table in (headlines["tables"] if headlines else ()) for row in table["rows"]]
    cards = []
    for place, (name, standing, headline) in enumerate(rows):
        own = [part for part in page["parts"] if part["block"] == name]
        about = next(part for part in own if part["key"] == "block")
        drawn = _map(plan, name)
        large = [part for part in field["parts"] if part["block"] == name and part["key"] in LARGE]
        taken = sum(len(table["rows"]) for part in large for table in part["tables"])
        told = AT_THE_BLOCK if drawn else AT_THE_BLOCK | {"block": (*AT_THE_BLOCK["block"], "Into the soil")}  # its pulses
        cards.append(
            {
                "place": place,
                "name": name,
                "standing": standing,
                "headline": headline,
                "about": about["title"].removeprefix(f"{name}: "),
                "lines": [line for part in own for line in part["lines"] if line["label"] in told.get(part["key"], ())],
                "large": large,
                "note_rows": max(LEAST_NOTE_ROWS, PAGE_ROWS - taken),
                "gauge": _gauge(plan.block(name)),
                "map": drawn,
            }
        )
    return cards


def _map(plan: Plan, name: str) -> str:
    """Return the map of a block's sets, nothing for a plan without."""
    sets = plan.block(name).sets
    if sets is None:
        return ""
    served = _as_served(plan, name, sets["sets"])
    many = sum(one["visits"] for one in served) > MANY_RUNS
    return _field_map.svg(name, sets | {"sets": served}, plan.units, low=many)


def _as_served(plan: Plan, name: str, placed: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return sets with the minutes and the number of pulses of the timetable, where it serves the block: what the page's table says."""
    schedule = (plan.week or {}).get("schedule") or {"timetable": []}
    stints: dict[str, list[Any]] = {}
    for stint in schedule["timetable"]:
        if stint["job"] == name:
            stints.setdefault(stint["set"], []).append(stint)
    served = []
    for one in placed:
        own = stints.get(str(one["number"]), [])
        # a run that is parted between two windows is no pulse
        timed = {"run_min": sum(stint["run_min"] for stint in own), "runs": max(stint["pulse"][1] for stint in own)} if own else {}
        served.append(one | timed | {"visits": len(own) or one["runs"]})
    return served


def _gauge(block: Any) -> dict[str, float]:
    """Return the places on a gauge of dryness, percent: full at 0, dry at 100."""
    used = block.depletion
    low, value, high = (100.0 * min(max(share, 0.0), 1.0) for share in (used.low, used.value, used.high))
    return {"value": value, "low": low, "high": high, "limit": 100.0 * block.allowed_depletion}


def _at_the_table(page: Part, field: Part, blocks: int) -> list[Part]:
    """Return what is not said yet: whys, supply, costs, assumptions, all cautions."""
    told = (line for part in field["parts"] for line in part["lines"])
    said = {(line["label"], line["text"]) for line in told if line["label"] not in NOT_FIRST}
    parts = []
    for part in page["parts"]:
        if part["key"] == "headlines" or (part["block"] and blocks > BLOCKS_IN_FULL):
            continue
        shown = AT_THE_BLOCK.get(part["key"], ())
        lines = [line for line in part["lines"] if line["label"] not in shown and (line["label"], line["text"]) not in said]
        tables = part["tables"]
        if part["key"] == "week":
            tables = tables[1:]  # the first is the timetable, which the first page has by the clock
        elif part["key"] == "sets":
            lines, tables = lines + _places(tables), []  # the bucket list stands on the block's page
        if lines or tables:
            parts.append(part | {"title": part["title"] + (", more" if part["key"] == "week" else ""), "lines": lines, "tables": tables})
    return parts


def _places(tables: list[Part]) -> list[dict[str, str]]:
    """Return where positions are, by the tape and by the satellite, in one line."""
    table = next((table for table in tables if "east" in table["head"]), None)
    if table is None:
        return []
    kept = [column for column, head in enumerate(table["head"]) if head in PLACES]
    names = ", ".join(table["head"][column] for column in kept)
    each = "; ".join(f"{row[0]}: {', '.join(row[column] for column in kept)}" for row in table["rows"])
    return [{"label": "Places", "text": f"({names}) {each}"}]


def _chunks(rows: list[Any], size: int = ROWS_OF_A_TABLE) -> list[list[Any]]:
    return [rows[start : start + size] for start in range(0, len(rows), size)]
