"""Tables of any kind as text cells, piece by piece, for columns that a reader has to make sense of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple

import numpy as np

from dibble import _table
from dibble.errors import DibbleTypeError, InconsistentError

# Floats beyond this are not written as whole numbers.
_WHOLE_BELOW = 1e15


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
        columns = {str(name): _listed(str(name), values) for name, values in table.items()}
        lengths = {len(values) for values in columns.values()}
        if len(lengths) > 1:
            message = f"the columns have {', '.join(map(str, sorted(lengths)))} rows. Give columns of one length."
            raise InconsistentError(message, name="table")
        rows = lengths.pop() if lengths else 0
        return Cells(list(columns), rows, lambda a, b: [[text(v) for v in values[a:b]] for values in columns.values()], None)
    labels = getattr(table, "columns", None) if hasattr(table, "set_axis") else None
    if labels is not None:  # labels of a pandas table need be neither text nor unique
        table = table.set_axis([str(place) for place in range(len(labels))], axis=1)
    data, kind = _table.frame(table)
    names = [_label(name) for name in (data.columns if labels is None else labels)]
    return Cells(
        names,
        len(data),
        lambda a, b: [[text(v) for v in data[:, place][a:b].to_list()] for place in range(len(names))],
        kind,
    )


def _label(name: Any) -> str:
    """Write a column's label as a heading: the levels of a MultiIndex with spaces between them."""
    return " ".join(str(part) for part in name if str(part)) if isinstance(name, tuple) else str(name)


def _listed(name: str, values: Any) -> list[Any]:
    """Return a column's cells; text and scalars are no columns."""
    if isinstance(values, (str, bytes)) or not isinstance(values, Iterable):
        message = f"column {name!r} is of class {type(values).__name__}: a list with one cell for each row is needed."
        raise DibbleTypeError(message, name=name)
    return list(values)


def text(value: Any) -> str:
    """Write a cell as text: nothing for a missing one, dates in ISO form, whole numbers without a point."""
    if isinstance(value, str):
        # half a character from a broken decoding stands as a question mark, and is no number
        return value if value.isascii() else value.encode("utf-8", "replace").decode("utf-8")
    if isinstance(value, np.generic):
        value = value.item()
    if value is None:
        return ""
    same = [] if isinstance(value, (list, tuple, dict, set)) else value == value
    if isinstance(same, (bool, np.bool_)):
        if not same:
            return ""
    elif not hasattr(same, "__len__"):
        return ""  # neither true nor false: a dataframe's own sign for a missing cell
    else:
        message = f"a cell holds a {type(value).__name__}, {str(value)[:40]!r}: one number or text is needed in each cell."
        raise DibbleTypeError(message, name="table")
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < _WHOLE_BELOW else repr(value)
    if isinstance(value, dt.datetime) and value.time() == dt.time():
        value = value.date()
    return value.isoformat() if isinstance(value, dt.date) else str(value)
