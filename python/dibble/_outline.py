"""Answers as text: a gist for `repr`, an outline for `print` and notebooks. The extension module calls this."""

from __future__ import annotations

import html as _html
from collections.abc import Iterator
from typing import Any

_SHORT = 40
_FACTS = 5
# the version of the layout, what an answer was made from, and what explain() is for
_ASIDE = ("schema", "request", "input", "steps")


def gist(name: str, record: dict[str, Any]) -> str:
    """Return `<LimeNeed method='Mehlich buffer' ph=4.6>`: the name and the first facts."""
    facts = [f" {key}={value!r}" for key, value in record.items() if key not in _ASIDE and _is_short(value)]
    return f"<{name}{''.join(facts[:_FACTS])}>"


def outline(name: str, record: dict[str, Any]) -> str:
    """Return the record in lines; what is missing or empty is left out."""
    return "\n".join([name, *_lines(record, 1)])


def html(name: str, record: dict[str, Any]) -> str:
    """Return the outline for notebooks."""
    return f"<pre>{_html.escape(outline(name, record), quote=False)}</pre>"


def _is_short(value: Any) -> bool:
    return isinstance(value, (bool, int, float)) or (isinstance(value, str) and 0 < len(value) <= _SHORT)


def _lines(record: Any, depth: int) -> Iterator[str]:
    indent = "  " * depth
    entries = record.items() if isinstance(record, dict) else ((None, item) for item in record)
    for key, value in entries:
        if key in _ASIDE or _is_empty(value) or (key == "assumptions" and depth > 1):
            continue
        head = "- " if key is None else f"{key}: "
        text = _leaf(value)
        if text is not None:
            yield f"{indent}{head}{text}"
        elif key is None:
            first, *rest = _lines(value, depth + 1)
            yield f"{indent}- {first.lstrip()}"
            yield from rest
        else:
            yield f"{indent}{key}:"
            yield from _lines(value, depth + 1)


def _leaf(value: Any) -> str | None:
    """Return what fits on one line: a scalar, or a few of them."""
    if not isinstance(value, (dict, list)):
        return _scalar(value)
    if isinstance(value, list):
        if all(isinstance(item, (int, float)) for item in value):
            return " to ".join(map(_scalar, value))
        return ", ".join(map(_scalar, value)) if all(item is None or _is_short(item) for item in value) and len(value) <= 2 else None
    if {"key", "what", "value", "unit", "source"} <= value.keys():
        return f"{value['what']}: {' '.join(filter(None, (value['value'], value['unit'])))} [{value['source']}]"
    if len(value) <= 3 and all(isinstance(item, (int, float)) for item in value.values()):
        return ", ".join(f"{key} {_scalar(item)}" for key, item in value.items())
    return None


def _scalar(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        value += 0.0  # no minus zero
        return f"{value:.0f}" if abs(value) >= 1000 else f"{value:.4g}"
    return str(value)


def _is_empty(value: Any) -> bool:
    return value is None or value in ("", [], {}) or (isinstance(value, dict) and all(map(_is_empty, value.values())))
