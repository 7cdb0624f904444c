"""The command looks ahead: the coming weeks over past years, what to measure next, hours that wind or heat close."""

import csv
import datetime as dt
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path

import pytest

import dibble
from dibble.__main__ import main
from dibble._plan import REST
from dibble.farm import Farm
from dibble.outlook import Outlook, Sensitivity, outlook
from dibble.weather import Weather

REFERENCE = Path(__file__).parents[1] / "reference/weather"
PAST_FARM = """
name = "Past years"
units = "si"
[site]
latitude_deg = 47.45
elevation_m = 130
wind_height_m = 10
coastal = true
[sprinkler]
rate_mm_h = 19
[soil.hill]
texture = "silt loam"
[[block]]
name = "Young"
species = "Fraser fir"
planted = 2015-04-28
row_spacing_m = 1.8
tree_spacing_m = 1.5
trees = 1200
soil = "hill"
[[block]]
name = "Old"
species = "white pine"
planted = 2009
row_spacing_m = 2
tree_spacing_m = 2
soil = "hill"
"""


@pytest.fixture
def seattle(tmp_path: Path) -> Path:
    """A farm at Seattle and its weather, parted: what is known on 2015-06-10, all four years, and the three years before."""
    lines = (REFERENCE / "seattle.csv").read_text(encoding="utf-8").splitlines()
    rows = [line.split(",")[:5] for line in lines[1:]]
    table = [f"{day.replace('/', '-')},{low},{high},{rain},{wind}" for day, rain, high, low, wind in rows]
    head = "date,tmin (C),tmax (C),rain (mm),wind (m/s)"
    parts = {"now": table[1155:1256], "all": table[:1256], "past": table[:1096]}
    for name, part in parts.items():
        (tmp_path / f"{name}.csv").write_text("\n".join([head, *part]) + "\n", encoding="utf-8")
    (tmp_path / "farm.toml").write_text(PAST_FARM, encoding="utf-8")
    return tmp_path


def test_the_outlook_over_past_years_is_printed_and_written(seattle: Path, capsys: pytest.CaptureFixture[str]) -> None:
    farm, now, past = Farm.read(seattle / "farm.toml"), Weather.read_csv(seattle / "now.csv"), Weather.read_csv(seattle / "past.csv")
    made, ahead = dibble.plan(farm, now), outlook(farm, now, history=past, days=28)
    assert str(made.date) == "2015-06-10"
    assert ahead.years == [2012, 2013, 2014]
    asked = ["plan", str(seattle / "farm.toml"), "--weather", str(seattle / "now.csv"), "--years", str(seattle / "past.csv")]
    assert main([*asked, "--ahead", "28"]) == 0
    assert capsys.readouterr().out == f"{made.answer(ahead)}\n{REST}\n"
    assert main([*asked, "--ahead", "28", "--all", "--out", str(seattle / "out")]) == 0
    page = capsys.readouterr().out
    assert page == made.text(ahead)
    assert page.index(str(ahead)) < page.index("Taken for granted")
    out = seattle / "out"
    assert (out / "plan.txt").read_text(encoding="utf-8") == page
    assert Outlook.from_json((out / "outlook.json").read_text(encoding="utf-8")) == ahead
    assert (out / "outlook.csv").read_bytes().decode() == ahead.to_csv()
    sheet = (out / "sheet.html").read_text(encoding="utf-8")
    assert sheet == made.sheet(ahead)
    assert sheet.index("The coming 28 days as 3 past years would make them") > sheet.index("To read at the table")
    assert '<th scope="col">06-17</th>' in sheet


def test_past_years_of_the_weather_itself_give_the_same_outlook(seattle: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ["plan", str(seattle / "farm.toml"), "--ahead", "28", "--from", "2015-03-01"]
    assert main([*asked, "--weather", str(seattle / "all.csv"), "--outlook"]) == 0
    own = capsys.readouterr().out
    assert main([*asked, "--weather", str(seattle / "now.csv"), "--years", str(seattle / "past.csv")]) == 0
    assert own == capsys.readouterr().out
    assert "Years 2012, 2013, 2014" in own


def test_what_to_measure_next_is_printed_and_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "--no-sets", "--measure", "--all", "--out", str(tmp_path)]) == 0
    page, made = capsys.readouterr().out, dibble.plan(Farm.demo(), Farm.demo_weather())
    found = Sensitivity.from_json((tmp_path / "measure.json").read_text(encoding="utf-8"))
    assert page == made.text(found) == (tmp_path / "plan.txt").read_text(encoding="utf-8")
    assert f"\n{found}" in page
    assert (tmp_path / "sheet.html").read_text(encoding="utf-8") == made.sheet(found)
    assert not (tmp_path / "outlook.json").exists()


@pytest.mark.parametrize(
    ("past", "message"),
    [
        (
            lambda rows: rows[-400:],
            "dibble: a history of at least 3 whole past years is missing. Of the weather from 2013-11-27 to 2014-12-31 1 year can be "
            "used (2013: its records do not hold every day from 2013-06-10 to 2013-08-04). Give daily weather of earlier years "
            "(history; --years PAST.csv for the command) that holds each of the 56 days from the month and day of 2015-06-10 on, or look "
            "ahead fewer days.\n",
        ),
        (
            lambda rows: [*rows[:500], rows[500], *rows[500:]],
            "past.csv: 2013-05-15 is given twice, in line 502 and line 503. Keep one record for each day.\n",
        ),
        (
            lambda rows: [",".join([*row.split(",")[:3], "", "2"]) for row in rows],  # no rain in any year
            "Of the weather from 2012-01-01 to 2014-12-31 0 years can be used (2012: its records do not hold every day from 2012-06-10 to "
            "2012-08-04; 2013: ",
        ),
    ],
)
def test_past_years_that_do_not_serve_are_refused(
    past: Callable[[list[str]], list[str]], message: str, seattle: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    head, *rows = (seattle / "past.csv").read_text(encoding="utf-8").splitlines()
    (seattle / "past.csv").write_text("\n".join([head, *past(rows)]) + "\n", encoding="utf-8")
    asked = ["plan", str(seattle / "farm.toml"), "--weather", str(seattle / "now.csv"), "--years", str(seattle / "past.csv")]
    assert main([*asked, "--out", str(seattle / "out")]) == 1
    streams = capsys.readouterr()
    assert message in streams.err
    assert not streams.out
    assert not (seattle / "out").exists()


def test_days_of_the_past_in_any_order_are_put_in_order(seattle: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ["plan", str(seattle / "farm.toml"), "--weather", str(seattle / "now.csv"), "--years", str(seattle / "past.csv")]
    assert main(asked) == 0
    page = capsys.readouterr().out
    head, *rows = (seattle / "past.csv").read_text(encoding="utf-8").splitlines()
    (seattle / "past.csv").write_text("\n".join([head, *reversed(rows)]) + "\n", encoding="utf-8")
    assert main(asked) == 0
    assert capsys.readouterr().out == page


def greensboro() -> list[dict[str, str]]:
    """The hours of a real typical year at Greensboro, each with the time that it begins (the file names its end)."""
    rows = list(csv.DictReader((REFERENCE / "greensboro.csv").read_text(encoding="utf-8").splitlines()))
    for row in rows:
        begin = dt.datetime.fromisoformat(row["date"]) + dt.timedelta(hours=int(row["hour ending"][:2]) - 1)
        row |= {"begin": begin.isoformat(sep=" ", timespec="minutes"), "day": begin.date().isoformat()}
    return rows


@pytest.fixture
def windy(tmp_path: Path) -> Path:
    """A farm at Greensboro, its days until 2001-07-09, and the hours of the five days from then on as their forecast."""
    days: dict[str, list[dict[str, str]]] = defaultdict(list)
    for row in greensboro():
        days[row["day"]].append(row)
    table = ["date,tmin (C),tmax (C),rain (mm),wind (m/s)"]
    for day in sorted(day for day in days if "2001-04-01" <= day < "2001-07-10"):
        heat = [float(row["temp (C)"]) for row in days[day]]
        rain, wind = (sum(float(row[name]) for row in days[day]) for name in ("rain (mm)", "wind (m/s)"))
        table.append(f"{day},{min(heat)},{max(heat)},{rain:.2f},{wind / 24:.2f}")
    (tmp_path / "days.csv").write_text("\n".join(table) + "\n", encoding="utf-8")
    head, *rows = (REFERENCE / "greensboro.csv").read_text(encoding="utf-8").splitlines()
    ahead = [row for row in rows if "2001-07-10" <= row[:10] < "2001-07-15"]
    (tmp_path / "hours.csv").write_text("\n".join([head, *ahead]) + "\n", encoding="utf-8")
    farm = PAST_FARM.replace("latitude_deg = 47.45", "latitude_deg = 36.10").replace("elevation_m = 130", "elevation_m = 273")
    farm = farm.replace("coastal = true\n", "").replace("2015-04-28", "2001-03-28").replace("2009", "1995")
    farm += '[[window]]\nfrom = "5:00"\nto = "13:00"\n'
    (tmp_path / "farm.toml").write_text(farm, encoding="utf-8")
    return tmp_path


def test_hours_that_wind_or_heat_close_take_no_set_and_are_told(windy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ["plan", str(windy / "farm.toml"), "--weather", str(windy / "days.csv"), "--on", "2001-07-10"]
    limits = ["--hours", str(windy / "hours.csv"), "--wind-above", "10mph", "--heat-above", "90F"]
    assert main([*asked, "--all", "--json", str(windy / "open.json")]) == 0
    assert "Closed" not in capsys.readouterr().out
    assert main([*asked, *limits, "--all", "--json", str(windy / "closed.json")]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert (
        "Closed Tue 9:00 am to 1:00 pm (heat), Fri 10:00 am to 1:00 pm (wind and heat), Sat 11:00 am to noon (wind), "
        "Sat noon to 1:00 pm (heat), by wind above 4.5 m/s or heat above 32 °C; hours are foreseen to Sun midnight 2001-07-15"
    ) in page
    # by hand from the file: no water is on in any hour that is above a limit
    over = {row["begin"] for row in greensboro() if float(row["wind (m/s)"]) > 4.4704 or float(row["temp (C)"]) > 290 / 9}
    timetables = {}
    for name in ("open", "closed"):
        week = dibble.farm.Plan.from_json((windy / f"{name}.json").read_text(encoding="utf-8")).week
        assert week is not None
        timetables[name] = week["schedule"]["timetable"]

    def hours(stint: dict[str, str]) -> set[str]:
        at, off = (dt.datetime.fromisoformat(stint[name]) for name in ("on", "off"))
        first = at.replace(minute=0)
        return {f"{first + dt.timedelta(hours=n):%Y-%m-%d %H:%M}" for n in range(24) if first + dt.timedelta(hours=n) < off}

    assert any(hours(stint) & over for stint in timetables["open"])
    assert timetables["closed"]
    assert not any(hours(stint) & over for stint in timetables["closed"])


def test_limits_of_the_farm_close_hours_and_those_of_the_command_go_before_them(windy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = windy / "farm.toml"
    asked = ["plan", str(path), "--weather", str(windy / "days.csv"), "--on", "2001-07-10", "--hours", str(windy / "hours.csv")]
    assert main([*asked, "--wind-above", "10mph", "--heat-above", "90F", "--all"]) == 0
    by_command = capsys.readouterr().out
    assert main(asked) == 1
    assert capsys.readouterr().err == (
        "dibble: --hours needs a limit above which no set runs. Give --wind-above SPEED or --heat-above TEMPERATURE, or write "
        'wind_limit = "10 mph" into [sprinkler] of the farm file.\n'
    )
    limits = '[sprinkler]\nwind_limit = "10 mph"\nheat_limit = "90 F"\n'
    text = path.read_text(encoding="utf-8")
    assert text.count("[sprinkler]\n") == 1
    path.write_text(text.replace("[sprinkler]\n", limits), encoding="utf-8")
    farm = dibble.farm.Farm.read(path)
    assert farm.hour_limits == pytest.approx({"wind_m_s": 4.4704, "t_c": 290 / 9})
    assert main([*asked, "--all"]) == 0
    by_farm = capsys.readouterr().out

    def told(page: str) -> str:
        return " ".join(page.split()).partition("Closed ")[2].partition(" hours are foreseen")[0]

    assert told(by_farm) == told(by_command) != ""
    assert main([*asked, "--wind-above", "60mph", "--all"]) == 0
    assert "wind above 27 m/s or heat above 32" in told(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("hours", "message"),
    [
        (
            lambda text: text.replace("2001-07-1", "2001-06-1"),
            "dibble: the hourly forecast ends 2001-06-15 00:00, and the plan begins 2001-07-10 00:00. Give hours from that "
            "morning on, or leave them out.\n",
        ),
        (
            lambda text: text.replace("wind (m/s)", "gusts"),
            "dibble: the wind of the hours is missing. Give hours that hold it, or leave its limit out.\n",
        ),
        (lambda text: text.replace(",3.6,", ",999,"), "dibble: 2001-07-1"),
        (
            lambda text: text + text.splitlines()[1] + "\n",
            "hours.csv: 2001-07-10 01:00 is given twice, in line 2 and line 122. Keep one record for each hour, in local "
            "standard time without daylight saving.\n",
        ),
    ],
)
def test_hours_that_do_not_serve_are_refused(
    hours: Callable[[str], str], message: str, windy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = windy / "hours.csv"
    path.write_text(hours(path.read_text(encoding="utf-8")), encoding="utf-8")
    asked = ["plan", str(windy / "farm.toml"), "--weather", str(windy / "days.csv"), "--on", "2001-07-10"]
    assert main([*asked, "--hours", str(path), "--wind-above", "10mph"]) == 1
    assert message in capsys.readouterr().err
