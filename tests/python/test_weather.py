"""Weather in from every kind of table, out again, refused in the words that say why."""

import datetime as dt
import json
import pickle
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest

from dibble.errors import DibbleTypeError, FileError, InconsistentError, MissingError, SeveralError, UnknownNameError, UnreadableError
from dibble.weather import Daily, GapReport, Site, Weather

DATES = [dt.date(2026, 7, 1) + dt.timedelta(days) for days in range(4)]
COLUMNS: dict[str, Any] = {
    "date": DATES,
    "tmin_c": [12.0, 14.5, 13.0, 11.0],
    "tmax_c": [26.0, 29.0, 27.5, 24.0],
    "rain_mm": [0.0, 6.4, np.nan, 0.0],
    "wind_m_s": [2.0, 3.0, 2.5, 1.5],
}
SITE = Site(45.2, 290, wind_height_m=3)


def frame(kind: str) -> Any:
    if kind == "pandas":
        return pd.DataFrame(COLUMNS)
    if kind == "pandas index":
        return pd.DataFrame(COLUMNS).drop(columns="date").set_index(pd.DatetimeIndex(DATES))
    if kind == "pandas nullable":
        return pd.DataFrame(COLUMNS).convert_dtypes()
    if kind == "polars":
        return pl.DataFrame(COLUMNS).with_columns(pl.col("rain_mm").fill_nan(None))
    if kind == "polars lazy":
        return pl.DataFrame(COLUMNS).lazy()
    if kind == "pyarrow":
        return pa.table(COLUMNS)
    return COLUMNS


KINDS = ["pandas", "pandas index", "pandas nullable", "polars", "polars lazy", "pyarrow", "mapping"]


@pytest.mark.parametrize("kind", KINDS)
def test_a_table_of_any_kind_gives_the_same_records(kind: str) -> None:
    weather = Weather.from_table(frame(kind))
    assert weather == Weather.from_table(COLUMNS)
    assert (weather.first, weather.last, len(weather)) == (DATES[0], DATES[-1], 4)
    np.testing.assert_array_equal(weather.column("rain_mm"), COLUMNS["rain_mm"])


@pytest.mark.parametrize("kind", ["pandas", "polars", "pyarrow"])
def test_the_same_kind_of_table_comes_back(kind: str) -> None:
    given = frame(kind)
    weather = Weather.from_table(given)
    for table in (weather.to_table(), weather.complete(SITE, "zero").to_table(), pickle.loads(pickle.dumps(weather)).to_table()):
        assert type(table) is type(given)
    assert Weather.from_table(weather.to_table()) == weather


def test_another_kind_comes_back_when_asked() -> None:
    weather = Weather.from_table(frame("polars"))
    assert isinstance(weather.to_table("pandas"), pd.DataFrame)
    with pytest.raises(MissingError) as caught:
        Weather.from_table(COLUMNS).to_table()
    assert str(caught.value) == (
        'the kind of table is not known, since none came in. Say into=, one of "pandas", "polars", "pyarrow", "dict".'
    )
    with pytest.raises(UnknownNameError, match=r'^into "excel" is not known'):
        weather.to_table("excel")  # type: ignore[arg-type]


def test_records_survive_json_and_pickle_bit_for_bit() -> None:
    weather = Weather.from_table(COLUMNS)
    assert Weather.from_json(weather.to_json()) == weather
    assert pickle.loads(pickle.dumps(weather)) == weather
    assert eval(repr(SITE), {"Site": Site}) == SITE == pickle.loads(pickle.dumps(SITE))


def test_arrays_are_read_only() -> None:
    weather = Weather.from_table(COLUMNS)
    with pytest.raises(ValueError, match="read-only"):
        weather.column("tmin_c")[0] = 99.0


def test_missing_rain_is_refused_unless_told_how() -> None:
    weather = Weather.from_table(COLUMNS)
    with pytest.raises(MissingError, match="2026-07-03"):
        weather.complete(SITE)
    daily = weather.complete(SITE, gaps="zero")
    assert isinstance(daily, Daily)
    assert daily.rain_mm.tolist() == [0.0, 6.4, 0.0, 0.0]
    assert any(a["key"] == "rain_gap_zero" and a["days"] == 1 for a in daily.assumptions)
    with pytest.raises(UnknownNameError, match="Known: "):
        weather.complete(SITE, gaps="guess")  # type: ignore[arg-type]


def test_columns_that_mean_nothing_are_told() -> None:
    weather = Weather.from_table({**COLUMNS, "wind direction": [0] * 4})
    assert weather.gap_report().notes == ["columns not read: wind direction"]
    assert "columns not read: wind direction" in str(weather.gap_report())


def without(name: str) -> dict[str, Any]:
    return {key: value for key, value in COLUMNS.items() if key != name}


def test_a_missing_column_is_named() -> None:
    with pytest.raises(MissingError) as caught:
        Weather.from_table(without("tmax_c"))
    assert str(caught.value) == 'missing from the table: "tmax_c". It has "date", "tmin_c", "rain_mm", "wind_m_s".'


def test_headings_of_the_trade_are_read_with_their_units() -> None:
    weather = Weather.from_table({"Date": DATES[:2], "Min temp (F)": [50, 59], "Tmax [F]": [77, 86], "rain_in": [0.25, 0]})
    assert weather.column("tmax_c").tolist() == [25.0, 30.0]
    assert weather.column("rain_mm").tolist() == [6.35, 0.0]
    bare: dict[str, Any] = {"date": DATES[:2], "tmin": [50, 59], "tmax": [77, 86]}
    assert Weather.from_table(bare, units="us").column("tmin_c").tolist() == [10.0, 15.0]
    with pytest.raises(MissingError, match='the unit of column "tmin"'):
        Weather.from_table(bare)


@pytest.mark.parametrize("kind", ["pandas", "polars", "mapping"])
def test_hours_become_days(kind: str) -> None:
    moments = [dt.datetime(2026, 7, 1) + dt.timedelta(hours=hour) for hour in range(48)]
    columns: dict[str, Any] = {"date": moments, "t_c": [10.0 + hour % 24 for hour in range(48)], "rain_mm": [0.1] * 48}
    makers: dict[str, Any] = {"pandas": pd.DataFrame, "polars": pl.DataFrame, "mapping": dict}
    weather = Weather.from_hours_table(makers[kind](columns), SITE)
    assert weather.column("tmin_c").tolist() == [10.0, 10.0]
    assert weather.column("tmax_c").tolist() == [33.0, 33.0]
    np.testing.assert_allclose(weather.column("rain_mm"), 2.4)


def test_half_hours_are_refused() -> None:
    table = {"date": [dt.datetime(2026, 7, 1, 0, 30)], "t_c": [10.0]}
    with pytest.raises(DibbleTypeError) as caught:
        Weather.from_hours_table(table, SITE)
    assert str(caught.value) == "date in row 1 is 2026-07-01 00:30:00: records of whole hours are needed. Bring them to the hour first."
    assert caught.value.row == 0


@pytest.mark.parametrize(
    ("dates", "kind", "message"),
    [
        (
            pd.date_range("2026-07-01", periods=4, tz="America/Chicago"),
            "pandas",
            "column date has the time zone America/Chicago, and a day here is local standard time. Take it off first.",
        ),
        (
            [dt.datetime(2026, 7, 1, 6, 30, tzinfo=dt.UTC)] * 4,
            "mapping",
            "date in row 1 is 2026-07-01 06:30:00+00:00: it carries a time and a time zone, and a day here is local standard time. "
            "Give datetime.date, or text as 2026-07-14.",
        ),
        ([1, 2, 3, 4], "mapping", "date in row 1 is 1 (int): a day is needed. Give datetime.date, or text as 2026-07-14."),
    ],
    ids=["zone", "time", "number"],
)
def test_dates_with_a_time_or_a_zone_are_refused(dates: Any, kind: str, message: str) -> None:
    table: Any = {**COLUMNS, "date": dates}
    with pytest.raises(DibbleTypeError) as caught:
        Weather.from_table(pd.DataFrame(table) if kind == "pandas" else table)
    assert str(caught.value) == message
    assert caught.value.name == "date"


def test_all_unreadable_dates_are_told_at_once() -> None:
    with pytest.raises(SeveralError) as caught:
        Weather.from_table({**COLUMNS, "date": ["2026-07-01", "7/2/2026", "2026-07-32", "2026-07-04"]})
    assert [problem.place for problem in caught.value.problems] == ["row 2", "row 3"]
    assert str(caught.value.problems[0]) == (
        'row 2: cannot read date "7/2/2026": it is not a day written as year-month-day. Write it as 2026-07-14.'
    )


def test_a_day_given_twice_is_refused() -> None:
    with pytest.raises(InconsistentError, match="2026-07-01 is given twice, in row 1 and row 2"):
        Weather.from_table({**COLUMNS, "date": [DATES[0], DATES[0], *DATES[2:]]})


def test_text_where_numbers_belong_is_refused() -> None:
    with pytest.raises(DibbleTypeError, match=r"^tmin_c is an array of <U4 with shape \(4,\): text is not numbers"):
        Weather.from_table({**COLUMNS, "tmin_c": ["12.0"] * 4})


def test_a_csv_file_is_read_with_its_units(tmp_path: Path) -> None:
    path = tmp_path / "station.csv"
    path.write_text("Date;Tmin (F);Tmax (F);Rain (in)\n2026-07-01;50;77;0,25\n2026-07-02;59;86;0,00\n")
    weather = Weather.read_csv(path)
    assert weather.column("tmax_c").tolist() == [25.0, 30.0]
    assert weather.column("rain_mm").tolist() == [6.35, 0.0]
    assert Weather.read_csv(str(path)) == weather
    with pytest.raises(FileError, match=r"^cannot read .*none\.csv: "):
        Weather.read_csv(tmp_path / "none.csv")


def test_values_that_cannot_be_true_are_set_aside_and_listed() -> None:
    weather = Weather.from_table({**COLUMNS, "tmin_c": [12.0, 99.0, 30.0, 11.0]})
    assert ("2026-07-02", "tmin_c") in [(fault["date"], fault["what"]) for fault in weather.gap_report().faults]
    assert np.isnan(weather.column("tmin_c")[1])


def test_complete_days_and_their_report_survive_json_and_pickle_bit_for_bit() -> None:
    daily = Weather.from_table(COLUMNS).complete(SITE, "zero").extended(2, mean_of=2)
    report = daily.gap_report()
    back = Daily.from_json(daily.to_json())
    assert back == daily == pickle.loads(pickle.dumps(daily))
    assert back.eto_mm.tobytes() == daily.eto_mm.tobytes()
    assert back.assumptions == daily.assumptions
    assert back != daily.with_rain(daily.last, 3)
    assert daily.to_dict()["schema"] == 1
    assert daily.to_dict()["assumed"]["forecast_mean"] == [len(daily) - 2, len(daily) - 1]
    assert GapReport.from_json(report.to_json()) == report == pickle.loads(pickle.dumps(report)) == back.gap_report()
    with pytest.raises(UnreadableError, match=r"^cannot read daily JSON .*: column rain_mm has 0 values and tmin_c has 6\. Complete"):
        Daily.from_json(json.dumps({**daily.to_dict(), "rain_mm": []}))
