"""What the command refuses, what it sets aside, and that it says so: farm, log, dates, folders."""

import datetime as dt
from pathlib import Path

import pytest

from dibble.__main__ import main
from dibble.farm import Farm
from dibble.record import append

DEMO = Farm.demo().to_toml()
DAYS = [dt.date(2026, 5, 1) + dt.timedelta(day) for day in range(74)]
ROWS = [f"{day},58,86,{0.3 if day.day % 7 == 0 else 0}" for day in DAYS]
HEAD = "Date,Tmin (F),Tmax (F),Rain (in)"
SMALL = """
name = "Small"
[site]
latitude_deg = 45.5
elevation_m = 290
[sprinkler]
rate_mm_h = 19
[soil.hill]
texture = "silt loam"
[[block]]
name = "North"
species = "Fraser fir"
planted = 2024-04-20
row_spacing_m = 1.8
tree_spacing_m = 1.5
trees = 900
soil = "hill"
"""


def ask(folder: Path, *options: str, farm: str = SMALL, rows: list[str] = ROWS) -> int:
    (folder / "farm.toml").write_text(farm, encoding="utf-8")
    (folder / "w.csv").write_text("\n".join([HEAD, *rows]) + "\n", encoding="utf-8")
    return main(["plan", str(folder / "farm.toml"), "--weather", str(folder / "w.csv"), "--all", *options])


@pytest.mark.parametrize(
    ("tables", "message"),
    [
        (
            '[[window]]\nfrom = "6:00"\nto = "6:00"\n',
            "(window 1): the working window every day from 06:00 to 06:00 never opens. Give a day and two times, such as from 5:00 to "
            "11:00; 0:00 to 24:00 is the whole day.\n",
        ),
        (
            '[pond]\narea = "0.5 acre"\ndepth = "6 ft"\nlevel = "-1 ft"\n',
            "level_m is -0.3048 m: depth of a pond must be from 0 to 100 m. Give meters from the deepest point up; 1 ft is 0.3048 m.\n",
        ),
        (
            '[pond]\narea = "0.5 acre"\ndepth = "6 ft"\nlevel = "7 ft"\n',
            "level_m is 2.1336 m, and the pond is 1.8288 m deep when full. Both are measured from the deepest point up; "
            "correct one of them.\n",
        ),
    ],
)
def test_a_farm_that_cannot_work_is_refused(tables: str, message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert ask(tmp_path, "--out", str(tmp_path / "out"), farm=SMALL + tables) == 1
    streams = capsys.readouterr()
    assert streams.err.startswith(f"dibble: {tmp_path}/farm.toml, line ")
    assert streams.err.endswith(message)
    assert (streams.out, (tmp_path / "out").exists()) == ("", False)


def test_a_pond_below_its_strainer_is_an_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # 1 ft of water, and pumping stops at 0.5 m: nothing can be drawn, and the first pass has no water
    farm = SMALL + '[pond]\narea = "0.5 acre"\ndepth = "6 ft"\nlevel = "1 ft"\n'
    assert ask(tmp_path, farm=farm) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert "Can be drawn 0.00 gal (0.00 L) A pass" in page
    assert "Passes left 0 (range 0 to 0)" in page


def test_a_log_with_a_torn_last_line_counts_without_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = tmp_path / "log.csv"
    append(log, "Small", "water", "2026-07-10", "North", depth_mm=12.0)
    append(log, "Small", "water", "2026-07-13", "North", depth_mm=12.0)
    assert ask(tmp_path, "--log", str(log)) == 0
    whole = capsys.readouterr().out
    assert "2 entries count" in whole
    torn = log.read_text(encoding="utf-8")[:-30]
    log.write_text(torn, encoding="utf-8")
    assert ask(tmp_path, "--log", str(log)) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert "1 entry counts" in page
    assert "line 4 is not counted: it breaks off after " in page
    assert "It was cut off while it was written; enter it again." in page
    assert log.read_text(encoding="utf-8") == torn
    # the next entry closes the line, and it stays
    append(log, "Small", "rain", "2026-07-13", depth_mm=3.0)
    assert log.read_text(encoding="utf-8").startswith(torn)


def test_a_log_of_another_farm_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    append(tmp_path / "log.csv", "Sandy Flat", "rain", "2026-07-10", depth_mm=3.0)
    assert ask(tmp_path, "--log", str(tmp_path / "log.csv"), "--json", str(tmp_path / "p.json")) == 1
    assert 'the season log is of the farm "Sandy Flat", and this farm is "Small".' in capsys.readouterr().err
    assert not (tmp_path / "p.json").exists()


def test_dates_out_of_order_are_put_in_order_and_twice_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert ask(tmp_path) == 0
    page = capsys.readouterr().out
    assert ask(tmp_path, rows=[*reversed(ROWS)]) == 0
    assert capsys.readouterr().out == page
    assert ask(tmp_path, rows=[*ROWS, ROWS[3]]) == 1
    assert capsys.readouterr().err == ("dibble: w.csv: 2026-05-04 is given twice, in line 5 and line 76. Keep one record for each day.\n")
    log = tmp_path / "log.csv"
    append(log, "Small", "water", "2026-07-13", "North", depth_mm=12.0)
    append(log, "Small", "water", "2026-07-09", "North", depth_mm=12.0)
    assert ask(tmp_path, "--log", str(log)) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert "2 entries count" in page
    assert "(2026-07-09) stands below 2026-07-13; it counts on its own day" in page


def test_a_hydrant_that_reaches_nothing_says_how_far_short_it_is(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    short = DEMO.replace('reach = "500 ft"', 'reach = "20 ft"').replace("reach_m = 152.4", "reach_m = 6.096")
    assert short != DEMO
    (tmp_path / "farm.toml").write_text(short, encoding="utf-8")
    rows = "\n".join([HEAD, *ROWS]) + "\n"
    (tmp_path / "w.csv").write_text(rows, encoding="utf-8")
    assert main(["plan", str(tmp_path / "farm.toml"), "--weather", str(tmp_path / "w.csv"), "--all"]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert 'no position is within reach: hydrant "pond" with ' in page
    assert " m short of the nearest" in page


@pytest.mark.parametrize("on", ["2026-04-01", "2026-05-01", "2026-07-16", "2027-07-14"])
def test_a_day_that_the_weather_does_not_reach_is_refused(on: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert ask(tmp_path, "--on", on) == 1
    assert capsys.readouterr().err == (
        f"dibble: the weather runs from 2026-05-01 to 2026-07-13, and the plan is for {on}. "
        "Give weather up to the day before the plan, or another date.\n"
    )


def test_a_folder_that_cannot_be_made_leaves_nothing_half_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "taken").write_text("kept", encoding="utf-8")
    before = {path.name for path in tmp_path.iterdir()} | {"farm.toml", "w.csv"}
    for out in (tmp_path / "taken", tmp_path / "taken" / "week"):
        assert ask(tmp_path, "--out", str(out), "--json", str(tmp_path / "p.json")) == 1
        streams = capsys.readouterr()
        assert streams.err.startswith(f"dibble: cannot make the folder {out}: ")
        assert streams.err.endswith(". Give a folder that you may write to.\n")
        assert streams.out == ""
    assert {path.name for path in tmp_path.iterdir()} == before
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "kept"


@pytest.mark.parametrize("days", ["-1", "201", "100000000000000000000"])
def test_days_ahead_out_of_range_are_refused(days: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert ask(tmp_path, "--outlook", f"--ahead={days}") == 1
    wanted = f"days is {days}: days to look ahead must be from 7 to 200. Give whole days; 56 are eight weeks.\n"
    assert capsys.readouterr().err.endswith(wanted)


def test_a_day_beyond_the_calendar_is_told_as_given(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert ask(tmp_path, "--on", "9999-12-31") == 1
    wanted = 'cannot read date "9999-12-31": it lies outside the years 1800 to 2299. Write it as 2026-07-14.\n'
    assert capsys.readouterr().err.endswith(wanted)
