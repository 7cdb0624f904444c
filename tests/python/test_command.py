"""The command: what it prints and writes, its exit codes, files whole or not at all."""

import datetime as dt
import json
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

import dibble
from dibble.__main__ import main
from dibble._plan import REST
from dibble.farm import Farm, Plan

PLAN = dibble.plan(Farm.demo(), Farm.demo_weather(), sets=True)
DAYS = [dt.date(2026, 5, 1) + dt.timedelta(day) for day in range(74)]
STATION = "Date,Tmin (F),Tmax (F),Rain (in)\n" + "".join(f"{day},58,86,{0.3 if day.day % 7 == 0 else 0}\n" for day in DAYS)


def test_without_arguments_the_demo_farm_is_planned_in_a_process_of_its_own(tmp_path: Path) -> None:
    done = subprocess.run([sys.executable, "-m", "dibble", "plan"], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert done.stdout == f"{PLAN.answer()}\n{REST}\n"
    assert len(done.stdout.splitlines()) <= 70, "what one reads at once"
    assert not done.stderr
    assert not list(tmp_path.iterdir())


def test_the_demo_files_make_the_plan_that_comes_without_them(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "my hill"
    assert main(["demo", str(folder)]) == 0
    told, command = capsys.readouterr().out.splitlines()
    assert told == f"{folder} holds the demo farm: farm.toml and weather.csv. Its plan:"
    assert {path.name: path.read_text(encoding="utf-8") for path in folder.iterdir()} == {
        "farm.toml": Farm.demo_toml(),
        "weather.csv": Farm.demo_weather_csv(),
    }
    words = shlex.split(command)
    assert words[:3] == ["python", "-m", "dibble"]
    assert main(words[3:]) == 0
    assert capsys.readouterr().out == f"{PLAN.answer()}\n{REST}\n"


def test_the_demo_files_overwrite_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "farm.toml").write_text("mine", encoding="utf-8")
    assert main(["demo", str(tmp_path)]) == 1
    wanted = f"the folder {tmp_path} is not empty: it holds farm.toml. Give a new folder; nothing is overwritten."
    assert capsys.readouterr().err == f"dibble: {wanted}\n"
    assert [(path.name, path.read_text(encoding="utf-8")) for path in tmp_path.iterdir()] == [("farm.toml", "mine")]
    assert main(["demo", str(tmp_path / "farm.toml" / "in it")]) == 1
    assert "cannot make the folder" in capsys.readouterr().err
    (tmp_path / "empty").mkdir()
    assert main(["demo", str(tmp_path / "empty")]) == 0


def test_own_farm_and_own_weather(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "farm.toml").write_text(Farm.demo().to_toml(), encoding="utf-8")
    (tmp_path / "station.csv").write_text(STATION, encoding="utf-8")
    assert main(["plan", str(tmp_path / "farm.toml"), "--weather", str(tmp_path / "station.csv"), "--units", "si", "--all"]) == 0
    page = capsys.readouterr().out
    assert "water for the week from Tue 2026-07-14" in page
    assert "Reckoned from 2026-05-01 with weather to 2026-07-13" in page
    assert " in/week" not in page


def test_what_if_and_explain_by_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "--rain", "0.4in", "--watered", "2h"]) == 0
    assert "0.40 in (10 mm) of rain and 2 h of watering today" in capsys.readouterr().out
    assert main(["plan", "--explain", "kame"]) == 0
    assert capsys.readouterr().out == str(PLAN.explain("Kame")) + "\n"


def test_a_part_or_a_block_is_printed_alone(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "--no-sets", "--part", "CAUTIONS"]) == 0
    out = capsys.readouterr().out
    assert out == PLAN.part("cautions")
    assert "Take care" in out
    assert "This week" not in out
    for part in PLAN.page()["parts"]:
        for name in {part["key"], part["block"]} - {""}:
            assert part["title"] in PLAN.part(name.upper())
    assert PLAN.part("kame").count("Kame: ") == 2  # its water, its sets
    assert "Feeding of Kame" in PLAN.part("kame")


def test_the_answer_tells_of_every_block_and_of_what_cannot_be_done() -> None:
    out = " ".join(PLAN.answer().split())
    for block in PLAN.blocks:
        assert f"{block.name} " in out
        assert f"{100 * block.depletion.value:.0f} % used" in out
        for one in (block.sets or {"sets": []})["sets"]:
            pulsed = len(one["pulses"]["pulses"]) > 1  # then it may run longer, in one go
            assert f" {one['number']} for {'' if pulsed else format(one['minutes'], '.0f')}" in out
    for words in ("Start by at once", "Too late", "What helps with a second sprinkler", "level scoop", "passes like this week's left"):
        assert words in out


def test_files_hold_the_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    paths = {"json": tmp_path / "p.json", "csv": tmp_path / "p.csv", "out": tmp_path / "new" / "folder"}
    assert main(["plan", "--all", *(part for name, path in paths.items() for part in (f"--{name}", str(path)))]) == 0
    assert capsys.readouterr().out == str(PLAN)
    assert Plan.from_json(paths["json"].read_text(encoding="utf-8")) == PLAN
    assert paths["csv"].read_bytes().decode() == PLAN.to_csv()
    assert sorted(path.name for path in paths["out"].iterdir()) == [
        *("plan.csv", "plan.json", "plan.txt", "sets.csv", "sets.geojson", "sheet.html")
    ]
    assert (paths["out"] / "sets.csv").read_text(encoding="utf-8") == PLAN.sets_csv()
    kinds = {f["properties"]["kind"] for f in json.loads((paths["out"] / "sets.geojson").read_text(encoding="utf-8"))["features"]}
    assert kinds == {"set"}
    assert (paths["out"] / "plan.txt").read_text(encoding="utf-8") == str(PLAN)
    assert (paths["out"] / "sheet.html").read_text(encoding="utf-8") == PLAN.sheet()
    assert json.loads((paths["out"] / "plan.json").read_text(encoding="utf-8"))["schema"] == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == ["new", "p.csv", "p.json"]


def test_a_new_folder_holds_what_is_asked_for_in_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # however it is called
    inside = ["--out", str(tmp_path / "next"), "--json", os.path.relpath(tmp_path / "next" / "p.json")]
    assert main(["plan", "--no-sets", *inside]) == 0
    assert (tmp_path / "next" / "p.json").exists()
    assert "Older files" not in capsys.readouterr().out


def test_files_of_an_earlier_plan_in_the_folder_are_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("trees.csv", "sets.csv", "own.csv", "measure.json", "plan.csv"):
        (tmp_path / name).write_text("old", encoding="utf-8")
    assert main(["plan", "--no-sets", "--out", str(tmp_path), "--json", str(tmp_path / "measure.json")]) == 0
    assert capsys.readouterr().out.endswith(f"\nOlder files in {tmp_path} that this plan did not write: sets.csv, trees.csv\n")
    assert (tmp_path / "sets.csv").read_text(encoding="utf-8") == "old"


def test_a_file_that_cannot_be_written_leaves_nothing_behind(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    taken = tmp_path / "taken"
    taken.mkdir()
    (taken / "kept.txt").write_text("kept", encoding="utf-8")
    assert main(["plan", "--json", str(taken)]) == 1  # a folder stands in the way
    assert capsys.readouterr().err.startswith(f"dibble: cannot write {taken}: ")
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["kept.txt", "taken"]
    assert main(["plan", "--csv", str(tmp_path / "none" / "p.csv")]) == 1
    assert "Give a file in a folder that exists" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["none.toml", "--weather", "none.csv"], "dibble: cannot read none.toml: "),
        (["--weather", "none.csv"], "dibble: cannot read none.csv: "),
        (["--rain", "0.4"], 'dibble: the unit of "0.4" is missing.'),
        (["--watered", "2 gal"], "dibble: "),
        (["--on", "14.7.2026"], 'dibble: cannot read date "14.7.2026": it is not a day written as year-month-day.'),
        (["--explain", "Kane"], 'dibble: block "Kane" is not known. Did you mean "Kame"?'),
        (["--part", "kautions"], 'dibble: part "kautions" is not known. Did you mean "cautions"?'),
    ],
)
def test_refused_input_gives_one_message_and_exit_code_1(
    arguments: list[str], message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["plan", *arguments]) == 1
    printed = capsys.readouterr()
    assert printed.err.startswith(message)
    assert "Traceback" not in printed.err
    assert not printed.out


@pytest.mark.parametrize(
    "arguments", [[], ["dig"], ["plan", "farm.toml"], ["plan", "--gaps", "guess"], ["plan", "--all", "--part", "week"]]
)
def test_wrong_use_gives_exit_code_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(arguments)
    assert stopped.value.code == 2
    assert "usage: python -m dibble" in capsys.readouterr().err


@pytest.mark.skipif(sys.platform == "win32", reason="pipes end otherwise there")
def test_a_reader_that_has_seen_enough_is_no_fault() -> None:
    line = f'"{sys.executable}" -m dibble plan | head -c 1'
    done = subprocess.run(["bash", "-o", "pipefail", "-c", line], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "K", "")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["", "--weather", "w.csv"], "argument FARM.toml: it is empty; give a value, or leave it out"),
        (["--weather", " "], "argument --weather: it is empty; give a value, or leave it out"),
        (["--json", ""], "argument --json: it is empty; give a value, or leave it out"),
        (["--day-first"], "--day-first says how to read --weather W.csv, which is not given"),
        (["--weather-units", "us"], "--weather-units says how to read --weather W.csv, which is not given"),
        (["--outlook"], "--outlook needs past years: --weather W.csv that holds them, or --years PAST.csv"),
        (["--ahead", "30"], "--ahead says how far the outlook looks; ask for one with --outlook or --years PAST.csv"),
        (["--wind-above", "10mph"], "--wind-above and --heat-above close hours of --hours HOURLY.csv, which is not given"),
        (["--years", ""], "argument --years: it is empty; give a value, or leave it out"),
    ],
)
def test_nothing_empty_and_nothing_useless_is_taken(arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["plan", *arguments])
    assert stopped.value.code == 2
    streams = capsys.readouterr()
    assert streams.out == ""
    assert message in streams.err


def test_one_file_for_two_answers_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "plan.csv"
    for arguments in (["--json", str(file), "--csv", str(file)], ["--json", str(file), "--out", str(tmp_path)]):
        assert main(["plan", *arguments]) == 1
        assert capsys.readouterr().err == f"dibble: {file} is asked for twice by --json, --csv and --out. Give each its own file.\n"
    assert list(tmp_path.iterdir()) == []


def test_no_file_is_replaced_where_one_cannot_be(tmp_path: Path) -> None:
    (tmp_path / "plan.txt").write_text("old", encoding="utf-8")
    (tmp_path / "plan.csv").mkdir()
    assert main(["plan", "--out", str(tmp_path)]) == 1
    assert (tmp_path / "plan.txt").read_text(encoding="utf-8") == "old"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["plan.csv", "plan.txt"]


def test_a_full_device_is_told_without_a_traceback() -> None:
    with open("/dev/full", "w") as full:
        ran = subprocess.run([sys.executable, "-m", "dibble", "plan"], stdout=full, stderr=subprocess.PIPE, text=True)
    assert ran.returncode == 1
    assert ran.stderr == "dibble: cannot print: No space left on device. Give another place for the output.\n"


@pytest.mark.skipif(sys.platform == "win32", reason="there is no limit of file sizes there")
def test_a_full_disk_leaves_no_file_and_no_new_folder(tmp_path: Path) -> None:
    limited = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096)); from dibble.__main__ import main; sys.exit(main())"
    )
    for folder in (tmp_path, tmp_path / "new" / "week"):
        asked = [sys.executable, "-c", limited, "plan", "--no-sets", "--out", str(folder)]
        ran = subprocess.run(asked, capture_output=True, text=True)
        assert ran.returncode == 1
        assert ran.stderr.startswith(f"dibble: cannot write {folder}/sheet.html: File too large. Give a file")
        assert list(tmp_path.iterdir()) == [], "nor a folder that was made for them"


INTERRUPTED = """
import signal, sys
from dibble import __main__, _plan
made = _plan.made
def interrupted(*given):
    signal.raise_signal(signal.SIGINT)
    return made(*given)
_plan.made = interrupted
sys.exit(__main__.main())
"""


@pytest.mark.usefixtures("ctrl_c")  # what a process ignores, its children ignore
@pytest.mark.skipif(sys.platform == "win32", reason="signals are others there")
def test_an_interrupt_ends_the_command_without_a_file_or_a_traceback(tmp_path: Path) -> None:
    ran = subprocess.run([sys.executable, "-c", INTERRUPTED, "plan", "--out", str(tmp_path)], capture_output=True, text=True)
    assert (ran.returncode, ran.stdout, ran.stderr) == (130, "", "")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="signals are others there")
def test_where_interrupts_are_ignored_the_command_goes_on(tmp_path: Path) -> None:
    ignoring = f"import signal\nsignal.signal(signal.SIGINT, signal.SIG_IGN)\n{INTERRUPTED}"
    ran = subprocess.run([sys.executable, "-c", ignoring, "plan", "--no-sets", "--part", "cautions"], capture_output=True, text=True)
    assert (ran.returncode, ran.stderr) == (0, "")
    assert "Take care" in ran.stdout
