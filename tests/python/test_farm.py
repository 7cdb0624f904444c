"""Farm files and the week's plan in Python: all mistakes at once, the same plan from every way in."""

import pickle
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

import dibble
from dibble.errors import DibbleTypeError, FileError, InconsistentError, OutOfRangeError, SeveralError, UnknownNameError, UnreadableError
from dibble.farm import Farm, Plan

FARM = Farm.demo()
WEATHER = Farm.demo_weather()
PLAN = dibble.plan(FARM, WEATHER)


def test_a_farm_comes_back_from_toml_json_and_pickle(tmp_path: Path) -> None:
    path = tmp_path / "farm.toml"
    path.write_text(FARM.to_toml(), encoding="utf-8")
    assert Farm.read(path) == Farm.read(str(path)) == FARM
    assert Farm.from_json(FARM.to_json()) == FARM == pickle.loads(pickle.dumps(FARM))
    assert FARM.to_dict()["block"][0]["name"] == FARM.blocks[0]


def test_three_mistakes_of_a_farm_are_told_at_once_with_their_lines() -> None:
    text = """name = "Hill"
[site]
latitude_deg = 95
elevation = "950 ft"
[soil.loam]
texture = "silty lome"
[[block]]
name = "North"
species = "Frasier fir"
planted = 2026
row_spacing = "6 ft"
tree_spacing_m = 1.5
soil = "loam"
"""
    with pytest.raises(SeveralError) as caught:
        Farm.parse(text, "hill.toml")
    places = [problem.place or "" for problem in caught.value.problems]
    assert [place.split(" (")[0] for place in places] == ["hill.toml, line 3", "hill.toml, line 6", "hill.toml, line 9"]
    kinds = [type(problem) for problem in caught.value.problems]
    assert kinds == [OutOfRangeError, UnknownNameError, UnknownNameError]
    assert 'Did you mean "Fraser fir"' in str(caught.value)


def test_a_file_that_is_none_or_no_text_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"^cannot read .*none\.toml: "):
        Farm.read(tmp_path / "none.toml")
    (tmp_path / "picture.toml").write_bytes(b"\x89PNG\r\n\xff\xfe")
    with pytest.raises(FileError, match=r"it is not UTF-8 text"):
        Farm.read(tmp_path / "picture.toml")


def test_a_plan_survives_json_and_pickle_bit_for_bit() -> None:
    assert Plan.from_json(PLAN.to_json()) == PLAN == pickle.loads(pickle.dumps(PLAN))
    assert dibble.plan(FARM, WEATHER, rain_mm=10) != PLAN
    with pytest.raises(UnreadableError, match=r"its schema 99 is newer than"):
        Plan.from_json(PLAN.to_json().replace('"schema": 1', '"schema": 99', 1))


def test_blocks_table_and_page_hold_the_same_numbers() -> None:
    table = PLAN.to_table("pandas")
    assert isinstance(table, pd.DataFrame)
    assert table["block"].tolist() == [block.name for block in PLAN.blocks] == FARM.blocks
    np.testing.assert_array_equal(table["net_mm"], [block.net_mm for block in PLAN.blocks])
    np.testing.assert_array_equal(table["depletion"], [float(block.depletion) for block in PLAN.blocks])
    for block in PLAN.blocks:
        assert block.depletion.low <= block.depletion.value <= block.depletion.high
        assert block.name in str(PLAN)
        assert block.to_dict()["net_mm"] == block.net_mm == PLAN.block(block.name.upper()).net_mm
    assert PLAN.cautions
    assert {row["key"] for row in PLAN.blocks[0].assumptions} >= {"root_depth"}


def test_a_block_is_explained() -> None:
    steps = PLAN.explain("Kame")
    net = next(step for step in steps if step.what == "net depth")
    assert net.value == PLAN.block("Kame").net_mm
    with pytest.raises(UnknownNameError, match=r'^block "Kane" is not known\. Did you mean "Kame"'):
        PLAN.explain("Kane")


def test_rain_and_watering_by_hand_leave_more_days() -> None:
    asked = dibble.plan(FARM, WEATHER, PLAN.date, rain_mm=10, watered_min=120, units="si").block("Pond field")
    assert asked.what_if is not None
    before = PLAN.block("Pond field").days_left
    assert before is not None
    assert asked.what_if["days_left"] is None or asked.what_if["days_left"] > before.value
    assert PLAN.block("Pond field").what_if is None


@pytest.mark.parametrize(
    ("changed", "kind", "message"),
    [
        (
            {"today": "2026-09-30"},
            InconsistentError,
            "the weather runs from 2026-05-01 to 2026-07-20, and the plan is for 2026-09-30. "
            "Give weather up to the day before the plan, or another date.",
        ),
        (
            {"rain_mm": -1},
            OutOfRangeError,
            "rain is -1 mm: rain must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm. Rain cannot be negative.",
        ),
        ({"units": "metric"}, UnknownNameError, 'units "metric" is not known. Known: "us", "si".'),
        (
            {"weather": {"date": []}},
            DibbleTypeError,
            "weather is of class dict: a Weather is needed. Read one with Weather.read_csv or Weather.from_table.",
        ),
    ],
    ids=["date", "rain", "units", "weather"],
)
def test_bad_questions_are_refused_in_words(changed: dict[str, Any], kind: type[Exception], message: str) -> None:
    with pytest.raises(kind) as caught:
        dibble.plan(**{"farm": FARM, "weather": WEATHER, **changed})
    assert str(caught.value) == message


def test_the_feeding_of_the_demo_adds_up() -> None:
    assert PLAN.feeding is not None
    feedings = [block.feeding for block in PLAN.blocks if block.feeding]
    bought = sum((f["cost"] or 0) + ((f["lime"] or {}).get("cost") or 0) for f in feedings)
    assert PLAN.feeding["cost"] == pytest.approx(bought) == pytest.approx(sum(buy["cost"] for buy in PLAN.feeding["buy"]))
    kame = PLAN.block("Kame").feeding
    assert kame is not None
    assert kame["next"]["from"] == "2026-08-01"
    assert any("wells" in caution for caution in PLAN.cautions)
