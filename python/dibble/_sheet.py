"""The field sheet: one printable page that stands alone; needs jinja2 (``pip install dibble[report]``), imported at the first sheet."""

from __future__ import annotations

import importlib.util
from collections.abc import Sequence
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from dibble import _field_map
from dibble.errors import MissingError

if TYPE_CHECKING:
    from dibble._dibble import Outlook, Plan, Sensitivity

CARD_LABELS = ("Days left", "Give", "Into the soil", "Note", "What if")
"""What a block's card tells; the rest stands in the plan's text."""

FIRST_PARTS = ("week",)
"""Parts that stand before the blocks: the answer of the week."""

LAST_PARTS = ("weather", "assumptions", "cautions")
"""Parts that stand at the end, in small print."""

ROWS_OF_A_TABLE = 14
"""Longer tables are parted, so that none is cut by the end of a page."""

EMPTY_ROWS = 8
"""Lines to note what was done."""


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
    page = plan.page(*more)
    return template.render(page=page, plan=plan.to_dict(), cards=_cards(plan, page), **_parts(page), empty_rows=EMPTY_ROWS)


def _parts(page: dict[str, Any]) -> dict[str, list[dict[str, Any]]]:
    """Return the parts that speak of the whole farm, those before the blocks, beside them, and in small print."""
    of_farm = [part for part in page["parts"] if not part["block"] and part["key"] != "headlines"]
    return {
        "first": [part for part in of_farm if part["key"] in FIRST_PARTS],
        "between": [part for part in of_farm if part["key"] not in FIRST_PARTS + LAST_PARTS],
        "last": [part for part in of_farm if part["key"] in LAST_PARTS],
    }


def _cards(plan: Plan, page: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the blocks in the order in which they run short, each with its headline, its gauge and its parts."""
    headlines = next((part for part in page["parts"] if part["key"] == "headlines"), None)
    rows = [row for table in (headlines["tables"] if headlines else ()) for row in table["rows"]]
    cards = []
    for place, (name, standing, headline) in enumerate(rows):
        own = [part for part in page["parts"] if part["block"] == name]
        about = next(part for part in own if part["key"] == "block")
        cards.append(
            {
                "place": place,
                "name": name,
                "standing": standing,
                "headline": headline,
                "about": about["title"].removeprefix(f"{name}: "),
                "lines": _shown(about["lines"]),
                "others": [part for part in own if part["key"] != "block"],
                "gauge": _gauge(plan.block(name)),
                "map": _map(plan, name),
            }
        )
    return cards


def _map(plan: Plan, name: str) -> str:
    """Return the map of a block's sets, nothing for a plan without."""
    sets = plan.block(name).sets
    return "" if sets is None else _field_map.svg(name, sets, plan.units)


def _shown(lines: list[dict[str, str]]) -> list[dict[str, str]]:
    """Return the lines of a card: those with a label that it shows."""
    return [line for line in lines if line["label"] in CARD_LABELS]


def _gauge(block: Any) -> dict[str, float]:
    """Return the places on a gauge of dryness, percent: full at 0, dry at 100."""
    used = block.depletion
    low, value, high = (100.0 * min(max(share, 0.0), 1.0) for share in (used.low, used.value, used.high))
    return {"value": value, "low": low, "high": high, "limit": 100.0 * block.allowed_depletion}


def _chunks(rows: list[Any], size: int = ROWS_OF_A_TABLE) -> list[list[Any]]:
    return [rows[start : start + size] for start in range(0, len(rows), size)]
