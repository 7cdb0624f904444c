"""Dataframes of any kind: columns out of them, and columns back into the same kind."""

from __future__ import annotations

import datetime as dt
import importlib
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from dibble import _dibble, _gate
from dibble.errors import DibbleTypeError, MissingError, UnknownNameError

if TYPE_CHECKING:
    import narwhals.stable.v2 as nw

KINDS = ("pandas", "polars", "pyarrow", "dict")


class Parts(NamedTuple):
    """A table taken apart."""

    dates: list[str]
    """Its days as ISO text."""
    hours: list[int]
    """The hour of each row; empty for a table of days."""
    numbers: dict[str, Any]
    """The columns that are read, by their heading."""
    forecast: list[bool] | None
    """Marks of forecast rows."""
    unread: list[str]
    """Headings that mean nothing."""
    kind: str | None
    """The kind of dataframe, None for a mapping."""


def columns(table: Any, hourly: bool) -> Parts:
    """Take a table of days or hours apart."""
    names, get, kind = _opened(table)
    meanings = {name: _dibble.heading_means(name) for name in names}
    place = {meaning: name for name, meaning in meanings.items() if meaning is not None}
    absent = [name for name in (("date", "t_c") if hourly else ("date", "tmin_c", "tmax_c")) if name not in place]
    if absent:
        raise MissingError(f"missing from the table: {_quoted(absent)}. It has {_quoted(names)}.", name=absent[0])
    moments = [_moment(value) for value in get(place["date"])]
    hours: list[int] = []
    if hourly:
        times = get(place["time"]) if "time" in place else [None] * len(moments)
        hours = [_hour(row, moment, time) for row, (moment, time) in enumerate(zip(moments, times, strict=True))]
        moments = [moment.date() if isinstance(moment, dt.datetime) and moment.tzinfo is None else moment for moment in moments]
    dates = [_day(row, moment) for row, moment in enumerate(moments)]
    numbers = {name: get(name) for name, meaning in meanings.items() if meaning not in (None, "date", "time", "forecast")}
    marks = [bool(mark) for mark in get(place["forecast"])] if "forecast" in place else None
    return Parts(dates, hours, numbers, marks, [name for name, meaning in meanings.items() if meaning is None], kind)


def build(parts: dict[str, Any], into: str | None, kind: str | None, words: Sequence[str] = ()) -> Any:
    """Put columns into the kind of table asked for, else into the kind that came in; columns of `words` are text even if empty."""
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

    kinds = {name: nw.String if name in words else nw.Float64 for name in parts} if words else None
    try:
        return nw.from_dict(parts, kinds, backend=importlib.import_module(wanted)).to_native()
    except ModuleNotFoundError as error:
        raise MissingError(f"{wanted} is not installed. Install it, or say another into=.", name="into") from error


def from_csv(text: str, words: Sequence[str]) -> dict[str, Any]:
    """Take CSV text apart that dibble wrote: columns named in `words` as text, all others as numbers, NaN where empty."""
    import csv

    heading, *rows = csv.reader(text.splitlines())
    cells = {name: [row[place] for row in rows] for place, name in enumerate(heading)}
    return {name: values if name in words else np.array([float(v) if v else np.nan for v in values]) for name, values in cells.items()}


def frame(table: Any) -> tuple[nw.DataFrame[Any], str]:
    """Return a dataframe in memory, and the kind of table to give back."""
    import narwhals.stable.v2 as nw

    try:
        opened = nw.from_native(table)
    except TypeError as error:
        message = f"table is of class {type(table).__name__}: a dataframe, or a mapping of columns, is needed."
        raise DibbleTypeError(message, name="table") from error
    data = opened.collect() if isinstance(opened, nw.LazyFrame) else opened
    kind = data.implementation.value
    return data, kind if kind in KINDS else "pyarrow"


def _opened(table: Any) -> tuple[list[str], Any, str | None]:
    if isinstance(table, Mapping):
        return [str(name) for name in table], lambda name: table[name], None
    index = getattr(table, "index", None)
    if type(index).__name__ == "DatetimeIndex" and not any(_dibble.heading_means(str(name)) == "date" for name in table.columns):
        table = table.rename_axis("date").reset_index()
    data, kind = frame(table)
    return data.columns, lambda name: _series(data[name]), kind


def _series(series: nw.Series[Any]) -> Any:
    import narwhals.stable.v2 as nw

    if series.dtype.is_numeric():
        return series.cast(nw.Float64).to_numpy()
    if isinstance(series.dtype, nw.Datetime) and series.dtype.time_zone is not None:
        message = (
            f"column {series.name} has the time zone {series.dtype.time_zone}, and a day here is local standard time. Take it off first."
        )
        raise DibbleTypeError(message, name=series.name)
    return series.to_list()


def _moment(value: Any) -> Any:
    """Bring NumPy's dates and times to those of the standard library."""
    return value.astype("datetime64[us]").item() if isinstance(value, np.datetime64) else value


def _hour(row: int, moment: Any, time: Any) -> int:
    if isinstance(moment, dt.datetime) and time is None:
        if moment.minute or moment.second or moment.microsecond:
            message = f"date in row {row + 1} is {moment}: records of whole hours are needed. Bring them to the hour first."
            raise DibbleTypeError(message, name="date", row=row)
        return moment.hour
    if isinstance(time, dt.time) and not (time.minute or time.second):
        return time.hour
    if isinstance(time, (int, float, np.integer, np.floating)) and time == int(time) and time >= 0:
        return int(time)
    message = f"row {row + 1} has no whole hour. Give date and time in one column of datetimes, or a time column of hours 0 to 24."
    raise DibbleTypeError(message, name="time", row=row)


def _day(row: int, value: Any) -> str:
    if isinstance(value, dt.datetime) and value.tzinfo is None and value.time() == dt.time():
        value = value.date()
    try:
        return _gate.day(f"date in row {row + 1}", value)
    except DibbleTypeError as error:
        error.name, error.row = "date", row
        raise


def _quoted(names: Sequence[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)
