"""The season log, survival and the outlook in Python: the core's answers, refusals by class, the command."""

import pickle
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import dibble
from dibble.errors import DibbleTypeError, FileError, InconsistentError, MissingError, OutOfRangeError, UnknownNameError
from dibble.farm import Farm
from dibble.outlook import Outlook, Sensitivity, outlook, sensitivity
from dibble.record import Log, add, append, replant, runs, score_interval, survival
from dibble.weather import Weather

FARM = Farm.demo()
WEATHER = Farm.demo_weather()
SEATTLE = Path(__file__).parents[1] / "reference" / "weather" / "seattle.csv"


def command(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "dibble", *map(str, arguments)], capture_output=True, text=True, check=False)


def test_a_log_is_added_to_and_comes_back() -> None:
    log = add(Log(FARM.name), "water", "2026-07-13", "Kame", depth_mm="1 in", note="late, windy")
    log = add(log, "reading", "2026-07-13", "Kame", soil_depth_m="4 in", feel="moist", holes=3)
    log = add(log, "count", "2026-07-13", "Kame", row="xx.x", place="row 3")
    log = add(log, "water", "2026-07-14", "Kame", time_min=np.float64(40), state="planned", sets="1-3 of 4")
    assert [e["what"] for e in log.entries] == ["water", "reading", "count", "water"]
    assert log.entries[0]["depth_mm"] == 25.4
    assert log.entries[2]["living"] == 3
    assert [e["id"] for e in log.open] == ["2026-07-14-1"]
    assert Log.parse(log.text).entries == log.entries
    assert pickle.loads(pickle.dumps(log)) == log
    table = log.to_table("pandas")
    assert table["depth_mm"].tolist()[0] == 25.4
    assert len(table) == 4
    assert log.next_id("2026-07-14") == "2026-07-14-2"


def test_what_is_no_entry_is_refused() -> None:
    log = Log("Hill")
    with pytest.raises(OutOfRangeError, match=r"^depth_mm is -3 mm: water depth must be from 0 to 2000 mm\."):
        add(log, "water", "2026-07-14", "North", depth_mm=-3)
    with pytest.raises(MissingError, match=r"^block is missing\."):
        add(log, "water", "2026-07-14", depth_mm=3)
    with pytest.raises(UnknownNameError, match=r'^what "watr" is not known'):
        add(log, "watr", "2026-07-14", "North", depth_mm=3)  # type: ignore[arg-type]
    with pytest.raises(DibbleTypeError, match=r"^holes is 2\.5 \(float\): a whole number is needed"):
        add(log, "reading", "2026-07-14", "North", soil_depth_m=0.1, feel="moist", holes=2.5)  # type: ignore[arg-type]
    with pytest.raises(InconsistentError, match="an entry of rain has no time_min, and"):
        add(log, "rain", "2026-07-14", depth_mm=3, time_min=4)


def test_the_plan_takes_the_log_and_tells_what_it_leaves_out(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    assert append(path, FARM, "water", "2026-07-13", "Kame", depth_mm=25) == "2026-07-13-1"
    with path.open("a", encoding="utf-8") as file:
        file.write("2026-07-13-2,2026-07-13,Kame,do")
    log = Log.read(path)
    before, after = dibble.plan(FARM, WEATHER), dibble.plan(FARM, WEATHER, log=log)
    assert after.block("Kame").depletion_mm.value < before.block("Kame").depletion_mm.value - 5
    assert before.log_notes == []
    assert after.log_notes[0] == "1 entry counts"
    assert after.log_notes[1].startswith("line 4 is not counted: it breaks off after 4 of 21 cells.")
    with pytest.raises(InconsistentError, match='the season log is of the farm "Sandy Flat"'):
        dibble.plan(FARM, WEATHER, log=Log("Sandy Flat"))
    with pytest.raises(DibbleTypeError, match="log is of class str: a Log is needed"):
        dibble.plan(FARM, WEATHER, log="log.csv")  # type: ignore[arg-type]
    with pytest.raises(FileError, match=r"^cannot read "):
        Log.read(tmp_path / "absent.csv")


def test_the_command_writes_the_log_and_plans_with_it(tmp_path: Path) -> None:
    farm, log = tmp_path / "farm.toml", tmp_path / "log.csv"
    farm.write_text(FARM.to_toml(), encoding="utf-8")
    missing = command("log", log, "rain", "--on", "2026-07-13", "--depth", "0.4in")
    assert missing.returncode == 2
    assert "a new log needs --farm FARM.toml" in missing.stderr
    done = command("log", log, "water", "--farm", farm, "--on", "2026-07-13", "--block", "Kame", "--depth", "1in")
    assert (done.returncode, done.stdout) == (0, f"2026-07-13-1 is in {log}\n"), done.stderr
    assert command("log", log, "count", "--on", "2026-07-13", "--block", "Kame", "--living", "955").returncode == 0
    assert [e["what"] for e in Log.read(log).entries] == ["water", "count"]
    # one row is not the block
    row = ("log", log, "count", "--on", "2026-07-13", "--block", "Kame", "--row", "xx.x..x")
    refused = command(*row)
    assert refused.returncode == 2
    assert '--row shows the trees of one row; say which with --place "row 3"' in refused.stderr
    assert "x living and . missing" in command("log", "--help").stdout
    plan = command("plan", "--all", "--log", log)
    assert plan.returncode == 0, plan.stderr
    assert "Season log\n  2 entries count\n" in plan.stdout
    refused = command("log", log, "water", "--on", "2026-07-13", "--block", "Kame", "--depth", "1 lb")
    assert refused.returncode == 1
    assert "lb measures a weight, and a length is wanted" in refused.stderr


def test_survival_counts() -> None:
    survey = survival({"row 1": "xxxx.xx..x", "row 2": (8, 10)}, of_trees=1240)
    assert (survey.living, survey.planted, survey.rate, survey.longest_gap) == (15, 20, 0.75, 2)
    assert survey.rows[0]["gaps"] == runs("xxxx.xx..x").gaps == [1, 2]
    assert pickle.loads(pickle.dumps(survey)) == survey
    low, high = score_interval(81, 263)
    assert (round(low, 4), round(high, 4)) == (0.2553, 0.3662)
    assert replant(survey, of_trees=1240, loss=0.1, bundle=25).order % 25 == 0
    with pytest.raises(InconsistentError, match="11 trees live of 10 planted"):
        survival([(11, 10)])
    with pytest.raises(DibbleTypeError, match="a plot is 3"):
        survival([3])  # type: ignore[list-item]


def test_sensitivity_is_ranked_and_comes_back() -> None:
    calls: list[tuple[int, int]] = []
    found = sensitivity(FARM, WEATHER, n_threads=1, progress=lambda done, total: calls.append((done, total)))
    starts = [swing["start_h"] for swing in found.swings]
    assert starts == sorted(starts, reverse=True)
    assert found.now[0]["about"] == "The week's work"
    assert Sensitivity.from_json(found.to_json()) == found == pickle.loads(pickle.dumps(found))
    assert found == sensitivity(FARM, WEATHER, n_threads=2)
    assert calls


def test_the_outlook_over_real_past_years() -> None:
    weather = Weather.read_csv(SEATTLE, units="si")
    text = FARM.to_toml()
    farm = Farm.parse(text)
    with pytest.raises(MissingError, match="a history of at least 3 whole past years"):
        outlook(farm, WEATHER)
    ahead = outlook(farm, WEATHER, history=weather, days=28)
    assert ahead.years == [2012, 2013, 2014, 2015]
    table = ahead.to_table("pandas")
    assert len(table) == 4 * 28
    assert (table["depletion_low"] <= table["depletion_high"]).all()
    assert Outlook.from_json(ahead.to_json()) == ahead == pickle.loads(pickle.dumps(ahead))
    assert ahead == outlook(farm, WEATHER, history=weather, days=28, n_threads=2)
    with pytest.raises(UnknownNameError, match=r'^year "1999" is not known'):
        outlook(farm, WEATHER, history=weather, years=[1999, 2012, 2013])
    with pytest.raises(DibbleTypeError, match="history is of class int: a Weather is needed"):
        outlook(farm, WEATHER, history=3)  # type: ignore[arg-type]
