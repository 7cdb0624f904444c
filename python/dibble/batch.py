"""Many at once: soil tests of whole tables and files, every row back with its status; reference ET of a table's days."""

from __future__ import annotations

import datetime as dt
import json
import math
import os
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeAlias

import numpy as np

from dibble import _cells, _dibble, _files, _gate, _table
from dibble._types import Day, TableKind
from dibble.errors import DibbleTypeError, FileError, InconsistentError, MissingError, UnreadableError
from dibble.weather import Site, Weather

__all__ = ["Answers", "Options", "Summary", "columns", "recommend", "recommend_table", "reference_et"]

Options: TypeAlias = Mapping[str, Any] | str | os.PathLike[str]
"""Options of a batch: a mapping, or the path of a TOML or JSON file."""

# Lists and mappings inside each other, and characters of a place that a message shows.
_DEEPEST, _SHOWN = 32, 60
# Rows that cross into the extension module at a time.
_ROWS = 4096


@dataclass(frozen=True)
class Summary:
    """What a batch amounts to; copies, re-runs, checks and averages are counted and not averaged."""

    rows: int
    """Rows in all."""
    kinds: dict[str, int]
    """Rows of each kind: sample, re-run, duplicate, check, average, heading, note, blank."""
    statuses: dict[str, int]
    """Rows of each status: ok, usable with assumption, not usable."""
    reasons: dict[str, int]
    """Rows that bear each reason."""
    by_method: list[dict[str, Any]]
    """Each nutrient by each extractant: samples, mean_ppm, min_ppm, max_ppm of the element."""
    _json: str = field(repr=False, compare=False)

    def mean_ppm(self, nutrient: str) -> float:
        """Mean of a nutrient over all usable samples, ppm of the element.

        Raises
        ------
        InconsistentError, MissingError
            The samples were extracted in several ways, which have no common mean; none reports it.
        """
        return _dibble.soil_batch_mean(self._json, nutrient)


@dataclass(frozen=True)
class Answers:
    """Soil tests, answered."""

    table: Any
    """Every row in order, in the kind of table that came in; None where the answers went to a file."""
    log: list[dict[str, Any]]
    """How columns were read and what was decided about rows: key, count, first lines, words."""
    summary: Summary
    """Counts, and means by method."""
    _letters: dict[str, str] | None = field(repr=False)

    def letters(self) -> dict[str, str]:
        """Give one plain letter for each grower.

        Raises
        ------
        MissingError
            The batch was not asked to write letters.
        """
        if self._letters is None:
            message = "letters are missing: the batch did not write them. Ask with letters=True."
            raise MissingError(message, name="letters")
        return self._letters


def recommend(
    table: Any,
    options: Options | None = None,
    *,
    today: Day | None = None,
    soil_tables: Sequence[str] | None = None,
    ph_table: str | None = None,
    nitrogen_table: str | None = None,
    letters: bool = False,
    n_threads: int | None = None,
    out: str | os.PathLike[str] | None = None,
    into: TableKind | None = None,
) -> Answers:
    """Lime and nutrients from a table of soil tests, however many labs it comes from.

    Every row comes back in its order with `status` (ok, usable with assumption, not usable), `reasons`, the numbers and
    their source. Columns are declared in `options` or guessed, and the log says how. A bad row never stops the run; nothing
    is repaired without a reason. A row's numbers are those of a single recommendation, bit for bit. Lines are those of a file:
    the heading is line 1, the first row line 2, in tables too.

    Parameters
    ----------
    table : dataframe, mapping of columns, or path of a CSV file
        Rows of one lab or of several; tables pasted under each other, each with its heading, are read in turn. A CSV file
        is read piece by piece.
    options : mapping or path, optional
        Columns, facts, the habits of each lab, tables and policies; keys in the Rust documentation of `BatchOptions`. A
        path is that of a TOML or JSON file.
    today : datetime.date or str, optional
        The day of asking, to which the age of samples is counted; needed here or in `options`.
    soil_tables : sequence of str, optional
        Interpretation tables; each row takes the one whose extractant its lab used.
    ph_table, nitrogen_table : str, optional
        Table of pH targets, table of nitrogen.
    letters : bool
        Write a letter for each grower.
    n_threads : int, optional
        Threads; `DIBBLE_NUM_THREADS` if not given, else one for each core. Only the time depends on it.
    out : path, optional
        Write the answers to this CSV file instead of a table, piece by piece: memory then does not grow with the rows, but
        for 100 bytes or so of each sample, by which copies and re-runs are told.
    into : {"pandas", "polars", "pyarrow", "dict"}, optional
        Kind of table to give back.

    Returns
    -------
    Answers
        `table`, `log`, `summary`, `letters()`.

    Raises
    ------
    MissingError, UnknownNameError, UnreadableError, InconsistentError, FileError, DibbleTypeError
        No measurement among the columns, an unknown table, options that cannot be read, a file that cannot be read.

    Examples
    --------
    >>> from dibble.batch import recommend
    >>> tests = {
    ...     "Sample": ["N 1", "N 2"], "Date": ["2026-10-12"] * 2, "Depth (in)": ["0-6"] * 2, "pH (water)": [5.7, 5.7],
    ...     "P (element) ppm Mehlich-3": [45.0, "IS"], "K (element) ppm Mehlich-3": [95.0, 95.0],
    ... }
    >>> facts = {"species": "Fraser fir", "age_years": 2, "trees_per_ha": 2965.0}
    >>> answers = recommend(
    ...     tests, {"facts": facts}, today="2027-04-01", soil_tables=["rutgers-levels"], ph_table="msu-soil-ph", into="dict"
    ... )
    >>> answers.table["status"], answers.table["reasons"]
    (['ok', 'usable with assumption'], [None, 'insufficient_sample'])
    >>> answers.table["n_g_per_tree"].round(1).tolist()
    [14.2, 14.2]
    """
    named = {"today": today, "soil_tables": soil_tables, "ph_table": ph_table, "nitrogen_table": nitrogen_table}
    text = options_text(options, {**named, "letters": letters or None, "n_threads": _gate.thread_count(n_threads)})
    if isinstance(table, (str, os.PathLike)):
        batch = _dibble.SoilBatch.of_file(_files.named("table", table), text)
        pieces = iter(batch.chunk, None)
        kind, index = None, None
    else:
        cells = _cells.opened(table)
        if not cells.names:
            message = "a column of a nutrient or of pH is missing: the table has no columns. Give a table of soil tests."
            raise MissingError(message, name="table")
        if out is not None:
            message = "out= is for CSV files, and a table came in. Leave it out, and write the table that comes back."
            raise InconsistentError(message, name="out")
        batch = _dibble.SoilBatch.of_table(cells.names, text)
        starts = range(0, max(cells.rows, 1), _ROWS)
        pieces = (batch.feed(cells.piece(start, start + _ROWS)) for start in starts)
        kind, index = cells.kind, getattr(table, "index", None)
    if out is not None:
        _files.write([(_files.named("out", out), csv_pieces(batch))])
        answered = None
    else:
        answered = _built(pieces, into, kind or "dict", index)
    summary = read_summary(batch.summary())
    return Answers(answered, json.loads(batch.log()), summary, dict(batch.letters()) if json.loads(text).get("letters") else None)


def recommend_table(
    table: Any,
    options: Options | None = None,
    *,
    today: Day | None = None,
    soil_tables: Sequence[str] | None = None,
    ph_table: str | None = None,
    nitrogen_table: str | None = None,
    n_threads: int | None = 1,
) -> Any:
    """Give the table of `recommend` alone: a function of a table, for engines that cut tables into partitions.

    It keeps nothing between calls and pickles. The columns are always those of `columns()`, so that an empty table serves
    as the engine's pattern. Copies and re-runs are told within a partition: part by lab first where they matter.

    With Dask (tested with two processes), where `empty` is any partition without its rows::

        tests.map_partitions(recommend_table, options, meta=recommend_table(empty, options))

    Examples
    --------
    >>> from dibble.batch import recommend_table
    >>> recommend_table({"Sample": ["N 1"], "pH (water)": [5.7]}, today="2027-04-01")["reasons"]
    ['nothing_measured; species_missing; age_missing; density_assumed; date_missing; depth_missing']
    """
    return recommend(
        table, options, today=today, soil_tables=soil_tables, ph_table=ph_table, nitrogen_table=nitrogen_table, n_threads=n_threads
    ).table


def columns() -> dict[str, type]:
    """Name and type (`str` or `float`) of each column of the answers, in their order.

    Examples
    --------
    >>> from dibble.batch import columns
    >>> list(columns().items())[:3]
    [('line', <class 'float'>), ('kind', <class 'str'>), ('status', <class 'str'>)]
    """
    return {name: float if number else str for name, number in _dibble.soil_batch_fields()}


def reference_et(table: Any, site: Site, *, into: TableKind | None = None) -> Any:
    """Short reference evapotranspiration of each day of a table, mm, and what was filled in for it.

    The table is read as `Weather.from_table` reads it; missing humidity, wind and radiation are filled by the published
    methods. Rows come back in their order.

    Parameters
    ----------
    table : dataframe or mapping of columns
        One row for each day, in any order: the day, lowest and highest temperature, and what else there is.
    site : Site
        Where it was measured.
    into : {"pandas", "polars", "pyarrow", "dict"}, optional
        Kind of table to give back; the kind that came in if not given.

    Returns
    -------
    table
        Columns `date` (ISO text) and `eto_mm`.

    Raises
    ------
    MissingError, UnreadableError, InconsistentError, SeveralError, DibbleTypeError
        As `Weather.from_table` and `Weather.complete`.

    Examples
    --------
    >>> from dibble.batch import reference_et
    >>> from dibble.weather import Site
    >>> days = {"date": ["2026-07-02", "2026-07-01"], "tmin_c": [14.5, 12.0], "tmax_c": [29.0, 26.0]}
    >>> reference_et(days, Site(45.2, 290))["eto_mm"].round(1).tolist()
    [5.4, 4.9]
    """
    parts = _table.columns(table, hourly=False)
    # rain has no part in it
    daily = Weather.from_table(table).complete(site, "zero")
    place = {str(day): at for at, day in enumerate(daily.dates)}
    eto_mm = np.asarray(daily.eto_mm)[[place[day] for day in parts.dates]]
    return _table.build({"date": parts.dates, "eto_mm": eto_mm}, into, parts.kind or "dict", ["date"])


def csv_pieces(batch: _dibble.SoilBatch) -> Iterator[str]:
    """Give the answers of a file as CSV, piece by piece."""
    yield _dibble.soil_batch_heading()
    yield from iter(batch.chunk_csv, None)


def options_text(options: Options | None, named: dict[str, Any]) -> str:
    """Join the options with those that were named; the latter win."""
    if isinstance(options, (str, os.PathLike)):
        given = read_options(options)
    elif options is None or isinstance(options, Mapping):
        given = dict(options or {})
    else:
        message = f"options is of class {type(options).__name__}: a mapping, or the path of a TOML or JSON file, is needed."
        raise DibbleTypeError(message, name="options")
    given.update({name: value for name, value in named.items() if value is not None})
    if "today" not in given:
        message = "today is missing: the age of samples is counted to it. Give today=, or write it into the options."
        raise MissingError(message, name="today")
    if isinstance(given["today"], (dt.date, np.datetime64)):
        given["today"] = _gate.day("today", given["today"])
    for lists in ("soil_tables", "conversions"):
        if lists in given:
            given[lists] = _names(lists, given[lists])
    return json.dumps(_plain("", given))


def _names(name: str, tables: Any) -> list[str]:
    """Return names of tables; one alone is a list of one."""
    if isinstance(tables, str):
        return [tables]
    if isinstance(tables, (list, tuple)) and all(isinstance(table, str) for table in tables):
        return list(tables)
    message = f"{name} is {_gate.brief(tables)}: names of tables are needed, as in soil_tables=['rutgers-levels']."
    raise DibbleTypeError(message, name=name)


def _plain(place: str, value: Any, depth: int = 0) -> Any:
    """Return an option as JSON can hold it, or refuse it by its place among the options."""
    refusal = ""
    if isinstance(value, np.generic):
        value = value.item()
    if depth > _DEEPEST:
        refusal = "its lists and mappings stand too deep in each other, or hold themselves"
    elif isinstance(value, Mapping):
        if all(isinstance(key, str) for key in value):
            return {_plain(place, key): _plain(f"{place}.{key}" if place else key, one, depth + 1) for key, one in value.items()}
        refusal = f"the key {next(key for key in value if not isinstance(key, str))!r} is no text"
    elif isinstance(value, (list, tuple)):
        return [_plain(f"{place}[{at}]", one, depth + 1) for at, one in enumerate(value)]
    elif isinstance(value, dt.date):
        return value.isoformat()
    elif isinstance(value, float) and not math.isfinite(value):
        refusal = f"it is {value}, and a number must be finite"
    elif isinstance(value, str) and not value.isascii() and any("\ud800" <= sign <= "\udfff" for sign in value):
        refusal = f"{value!a} holds half a character"
    elif value is None or isinstance(value, (str, int, float)):
        return value
    else:
        refusal = f"it is of class {type(value).__name__}"
    where = "options cannot be used" if not place else f"option {place if len(place) <= _SHOWN else place[:_SHOWN] + '...'} cannot be used"
    raise DibbleTypeError(f"{where}: {refusal}. Give text, finite numbers, lists and mappings.", name=place or "options")


def read_options(path: str | os.PathLike[str]) -> dict[str, Any]:
    """Read options from a TOML or JSON file."""
    place = _files.named("options", path)
    try:
        text = place.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        message = f"cannot read {place}: it is not UTF-8 text. Save it as TOML or JSON in UTF-8."
        raise UnreadableError(message, name=str(place)) from error
    except OSError as error:
        message = f"cannot read {place}: {error.strerror or error}. Give the path of a TOML or JSON file of options."
        raise FileError(message, name=str(place)) from error
    try:
        read = _parsed(text, json_alone=place.suffix.lower() == ".json" or text.lstrip().startswith("{"))
    except (ValueError, RecursionError) as error:
        why = "lists or mappings stand too deep in each other" if isinstance(error, RecursionError) else error
        message = f"cannot read {place}: {why}. Write it as TOML or JSON."
        raise UnreadableError(message, name=str(place)) from error
    if not isinstance(read, dict):
        message = f"cannot read {place}: it holds a {type(read).__name__}, and options are a mapping of keys. Write it as TOML or JSON."
        raise UnreadableError(message, name=str(place))
    return read


def _parsed(text: str, *, json_alone: bool) -> Any:
    """Read JSON, or else TOML: `[1]` is a list that somebody wrote as JSON, whatever the file is called."""
    try:
        return json.loads(text)
    except ValueError:
        if json_alone:
            raise
        # the reader keeps every part of a dotted key with all parts before it
        if any(key.count(".") > _DEEPEST for key, is_key, _ in (line.partition("=") for line in text.splitlines()) if is_key):
            raise RecursionError from None
        return tomllib.loads(text)


def _built(pieces: Iterator[dict[str, Any]], into: str | None, kind: str, index: Any) -> Any:
    """Join the pieces and put them into the kind of table; a pandas index is kept."""
    wanted = columns()
    all_pieces = list(pieces)
    parts: dict[str, Any] = {}
    for name, of in wanted.items():
        cells = [piece[name] for piece in all_pieces]
        parts[name] = (np.concatenate(cells) if cells else np.array([])) if of is float else [cell for piece in cells for cell in piece]
    answered = _table.build(parts, into, kind, [name for name, of in wanted.items() if of is str])
    if (into or kind) == "pandas" and index is not None:
        answered.index = index
    return answered


def read_summary(text: str) -> Summary:
    """Read a summary from JSON."""
    read = json.loads(text)
    counts = {part: {one["name"]: one["rows"] for one in read[part]} for part in ("kinds", "statuses", "reasons")}
    return Summary(read["rows"], counts["kinds"], counts["statuses"], counts["reasons"], read["by_method"], text)
