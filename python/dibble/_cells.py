"""Tables of any kind as text cells, piece by piece, for columns that a reader has to make sense of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import numpy as np

from dibble import _table
from dibble.errors import InconsistentError

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
        columns = {str(name): list(values) for name, values in table.items()}
        lengths = {len(values) for values in columns.values()}
        if len(lengths) > 1:
            message = f"the columns have {', '.join(map(str, sorted(lengths)))} rows. Give columns of one length."
            raise InconsistentError(message, name="table")
        rows = lengths.pop() if lengths else 0
        return Cells(list(columns), rows, lambda a, b: [[text(v) for v in values[a:b]] for values in columns.values()], None)
    data, kind = _table.frame(table)
    return Cells(
        [str(name) for name in data.columns],
        len(data),
        lambda a, b: [[text(v) for v in data[name][a:b].to_list()] for name in data.columns],
        kind,
    )


def text(value: Any) -> str:
    """Write a cell as text: nothing for a missing one, dates in ISO form, whole numbers without a point."""
    if isinstance(value, str):
        return value
    if isinstance(value, np.generic):
        value = value.item()
    if value is None or value != value:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < _WHOLE_BELOW else repr(value)
    if isinstance(value, dt.datetime) and value.time() == dt.time():
        value = value.date()
    return value.isoformat() if isinstance(value, dt.date) else str(value)
