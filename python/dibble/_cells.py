"""Tables of any kind as text cells, piece by piece, for columns that a reader has to make sense of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from collections.abc import Set as AbstractSet
from typing import Any, NamedTuple

import numpy as np

from dibble import _table
from dibble.errors import DibbleTypeError, InconsistentError

# Floats beyond this are not written as whole numbers.
_WHOLE_BELOW = 1e15
# Characters of a cell that a message shows.
_SHOWN = 40


class Cells(NamedTuple):
    """A table whose rows are asked for piece by piece."""

    names: list[str]
    """The headings."""
    rows: int
    """Rows in all."""
    piece: Callable[[int, int], list[list[str]]]
    """The columns from one row to another, as text."""
    kind: str | None
    """The kind of dataframe, None for a mapping."""


def opened(table: Any) -> Cells:
    """Return the cells of a dataframe or of a mapping of columns."""
    if isinstance(table, Mapping):
        names = [_label(name) for name in table]
        columns = [_listed(name, values) for name, values in zip(names, table.values(), strict=True)]
        lengths = {len(values) for values in columns}
        if len(lengths) > 1:
            message = f"the columns have {', '.join(map(str, sorted(lengths)))} rows. Give columns of one length."
            raise InconsistentError(message, name="table")
        rows = lengths.pop() if lengths else 0
        return Cells(names, rows, lambda a, b: [_texts(name, a, values[a:b]) for name, values in zip(names, columns, strict=True)], None)
    labels = getattr(table, "columns", None) if hasattr(table, "set_axis") else None
    if labels is not None:  # labels of a pandas table need be neither text nor unique
        table = table.set_axis([str(place) for place in range(len(labels))], axis=1)
    data, kind = _table.frame(table)
    names = [_label(name) for name in (data.columns if labels is None else labels)]
    return Cells(
        names,
        len(data),
        lambda a, b: [_texts(name, a, data[:, place][a:b].to_list()) for place, name in enumerate(names)],
        kind,
    )


def _label(name: Any) -> str:
    """Write a column's label as a heading: the levels of a MultiIndex with spaces between them."""
    # pandas calls a level without a name by its place
    parts = [str(part) for part in name if not str(part).startswith("Unnamed:")] if isinstance(name, tuple) else [str(name)]
    return _readable(" ".join(part for part in parts if part))


def _listed(name: str, values: Any) -> list[Any]:
    """Return a column's cells; text, scalars and what has no order are no columns."""
    if isinstance(values, (str, bytes, Mapping, AbstractSet)) or not isinstance(values, Iterable):
        message = f"column {name!r} is of class {type(values).__name__}: a list with one cell for each row is needed."
        raise DibbleTypeError(message, name=name)
    return list(values.to_pylist() if hasattr(values, "to_pylist") else values)


def _texts(name: str, start: int, values: Iterable[Any]) -> list[str]:
    """Write the cells of a column, of which the first is that of row `start`."""
    written = []
    for at, value in enumerate(values):
        try:
            written.append(text(value))
        except DibbleTypeError as error:
            # the heading is line 1
            message = f"line {start + at + 2}, column {name!r}: {error}"
            raise DibbleTypeError(message, name=name) from error
    return written


def _readable(words: str) -> str:
    """Write halves of characters, which broken decoding leaves behind, as escapes: no other text can hold them."""
    return words if words.isascii() else words.encode("utf-8", "backslashreplace").decode("utf-8")


def text(value: Any) -> str:
    """Write a cell as text: nothing for a missing one, dates in ISO form, whole numbers without a point."""
    if isinstance(value, str):
        return _readable(value)
    if isinstance(value, np.generic):
        value = value.item()
    if value is None or value is np.ma.masked:
        return ""
    if isinstance(value, bytes):
        return value.decode("utf-8", "backslashreplace")
    if hasattr(value, "__len__"):
        raise _no_cell(value)
    try:
        if not value == value:  # noqa: SIM201 (a missing value is not even equal to itself)
            return ""
    except Exception:  # neither true nor false: a dataframe's own sign for a missing cell, or a number that signals
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < _WHOLE_BELOW else repr(value)
    if isinstance(value, dt.datetime) and value.time() == dt.time():
        value = value.date()
    try:
        return value.isoformat() if isinstance(value, dt.date) else _readable(str(value))
    except Exception as error:  # a class whose values cannot be written, an integer of thousands of digits
        raise _no_cell(value) from error


def _no_cell(value: Any) -> DibbleTypeError:
    try:
        shown = repr(value)
    except Exception:  # as above
        shown = "..."
    shown = shown if len(shown) <= _SHOWN else shown[: _SHOWN - 3] + "..."
    return DibbleTypeError(f"a cell holds {shown} ({type(value).__name__}): one number or text is needed in each cell.", name="table")
