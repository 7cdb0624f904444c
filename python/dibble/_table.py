"""Dataframes of any kind: columns out of them, and columns back into the same kind."""

from __future__ import annotations

import datetime as dt
import importlib
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from dibble import _gate
from dibble.errors import DibbleTypeError, MissingError, UnknownNameError

if TYPE_CHECKING:
    import narwhals.stable.v2 as nw

NEEDED = ("date", "tmin_c", "tmax_c")
KINDS = ("pandas", "polars", "pyarrow", "dict")


def columns(table: Any, numeric: Sequence[str]) -> tuple[list[str], dict[str, Any], list[bool] | None, list[str], str | None]:
    """Take a table of days apart.

    Returns its dates as ISO text, its numeric columns by name, the marks of its forecast column, the names of the columns
    that mean nothing, and the kind of dataframe it was (None for a plain mapping).
    """
    names, get, kind = _opened(table)
    absent = [name for name in NEEDED if name not in names]
    if absent:
        message = (
            f"missing from the table: {_quoted(absent)}. It has {_quoted(names)}; known are {_quoted(('date', *numeric, 'forecast'))}."
        )
        raise MissingError(message, name=absent[0])
    dates = [_day(row, value) for row, value in enumerate(get("date"))]
    numbers = {name: get(name) for name in names if name in numeric}
    marks = [bool(mark) for mark in get("forecast")] if "forecast" in names else None
    unread = [name for name in names if name not in numeric and name not in ("date", "forecast")]
    return dates, numbers, marks, unread, kind


def build(parts: dict[str, Any], into: str | None, kind: str | None) -> Any:
    """Put columns into the kind of table asked for, else into the kind that came in."""
    wanted = into or kind
    if wanted is None:
        message = f"the kind of table is not known, since none came in. Say into=, one of {_quoted(KINDS)}."
        raise MissingError(message, name="into")
    if wanted not in KINDS:
        message = f'into "{wanted}" is not known. Known: {_quoted(KINDS)}.'
        raise UnknownNameError(message, name="into", value=wanted)
    if wanted == "dict":
        return parts
    import narwhals.stable.v2 as nw

    try:
        return nw.from_dict(parts, backend=importlib.import_module(wanted)).to_native()
    except ModuleNotFoundError as error:
        raise MissingError(f"{wanted} is not installed. Install it, or say another into=.", name="into") from error


def _opened(table: Any) -> tuple[list[str], Any, str | None]:
    if isinstance(table, Mapping):
        return [str(name) for name in table], lambda name: table[name], None
    import narwhals.stable.v2 as nw

    index = getattr(table, "index", None)
    if type(index).__name__ == "DatetimeIndex" and "date" not in table.columns:
        table = table.rename_axis("date").reset_index()
    try:
        frame = nw.from_native(table)
    except TypeError as error:
        message = f"table is of class {type(table).__name__}: a dataframe, or a mapping of columns, is needed."
        raise DibbleTypeError(message, name="table") from error
    data = frame.collect() if isinstance(frame, nw.LazyFrame) else frame
    kind = data.implementation.value
    return data.columns, lambda name: _series(data[name]), kind if kind in KINDS else "pyarrow"


def _series(series: nw.Series[Any]) -> Any:
    import narwhals.stable.v2 as nw

    if series.dtype.is_numeric():
        return series.cast(nw.Float64).to_numpy()
    if isinstance(series.dtype, nw.Datetime) and series.dtype.time_zone is not None:
        message = (
            f"column {series.name} has the time zone {series.dtype.time_zone}, and a day here is local standard time. Take it off first."
        )
        raise DibbleTypeError(message, name=series.name)
    return series.to_list() if series.name in ("date", "forecast") else series.to_numpy()


def _day(row: int, value: Any) -> str:
    if isinstance(value, dt.datetime) and value.tzinfo is None and value == dt.datetime.combine(value, dt.time()):
        value = value.date()
    elif isinstance(value, np.datetime64) and value == value.astype("datetime64[D]"):
        value = value.astype("datetime64[D]")
    try:
        return _gate.day(f"date in row {row + 1}", value)
    except DibbleTypeError as error:
        error.name, error.row = "date", row
        raise


def _quoted(names: Sequence[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)
