"""Faults of a farm file about ground, pump and sprinkler: one message of the command, or a line of the plan, and no traceback."""

import re
from pathlib import Path

import pytest

from dibble.__main__ import main

WEATHER = Path(__file__).resolve().parents[2] / "src" / "data" / "demo_weather.csv"
FARM = """
name = "Test"
[site]
latitude_deg = 45.5
longitude_deg = -86
elevation_m = 290
[sprinkler]
nozzle = "0.60 in"
radius = "112 ft"
[pump]
rated_flow = "80 gpm"
rated_head = "224 ft"
[[hose]]
length = "500 ft"
bore = "2 in"
rating = "150 psi"
[[hydrant]]
name = "pond"
at = "-20 80 ft"
[soil.loam]
texture = "loam"
[[block]]
name = "One"
species = "Fraser fir"
planted = 2025
row_spacing = "6 ft"
tree_spacing = "6 ft"
soil = "loam"
[block.field]
outline = "0 0, 200 0, 200 150, 0 150 ft"
rise = "10 ft"
"""
OUTLINE = 'outline = "0 0, 200 0, 200 150, 0 150 ft"'
RATED = 'rated_flow = "80 gpm"\nrated_head = "224 ft"'
RISING = "curve = [{ flow_l_min = 0, head_m = 40 }, { flow_l_min = 100, head_m = 42 }]"


def planned(old: str, new: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    assert old in FARM
    path = tmp_path / "farm.toml"
    path.write_text(FARM.replace(old, new), encoding="utf-8")
    code = main(["plan", str(path), "--weather", str(WEATHER), "--on", "2026-07-14", "--all"])
    printed = capsys.readouterr()
    assert "Traceback" not in printed.err
    return code, printed.out, printed.err


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (OUTLINE, "outline_m = [[0, 0], [60, 40], [60, 0], [0, 40]]", "the outline crosses itself: the edge from corner 1 meets the edge"),
        (OUTLINE, "outline_m = [[0, 0], [60, 0], [30, 0]]", "the outline encloses 0 m2. Give an outline with an area"),
        (OUTLINE, "outline_m = [[0, 0], [nan, 0], [30, 30]]", "x_m is NaN m: position must be from -10000000 to 10000000 m."),
        ('rise = "10 ft"', "tree_at_m = [[10, 10], [300, 10]]", "tree 2 at (300, 10) stands 239.0 m outside the outline. Correct"),
        (RATED, RISING, "the pump curve rises from 40 m at 0 L/min to 42 m at 100 L/min. Head falls with flow"),
        ('radius = "112 ft"', 'radius = "0 ft"', "radius_m is 0 m: wetted radius must be from 0.5 to 200 m."),
        ('radius = "112 ft"', 'radius = "112 ft"\narc_deg = 400', "arc_deg is 400 deg: arc of a part circle must be from 1 to 360 deg."),
        (
            "latitude_deg = 45.5\nlongitude_deg = -86",
            "latitude_deg = -86\nlongitude_deg = 45.5",
            "latitude_deg -86 and longitude_deg 45.5 lie where no farm can be, and the two exchanged do not. Exchange them",
        ),
        (OUTLINE, 'outline = "0 0, 1500 0, 1500 1500, 0 1500 ft"', "more than sets are placed for in one block (20000). Divide the block"),
    ],
)
def test_what_cannot_be_is_refused_with_one_message(
    old: str, new: str, message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = planned(old, new, tmp_path, capsys)
    assert (code, out) == (1, "")
    assert err.startswith("dibble: ")
    assert message in err


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ('rise = "10 ft"', 'rise = "400 ft"', "No set the pump cannot lift to the sprinkler: 31.9 m short. It gives 91.0 m at no flow"),
        ('rating = "150 psi"', 'rating = "50 psi"', "hose 1 works at 96 psi (660 kPa) and is rated for 50 psi (345 kPa): it can burst"),
        ('at = "-20 80 ft"', 'at = "-2000 80 ft"', 'no position is within reach: hydrant "pond" with 152.4 m of hose is 460.4 m short'),
    ],
)
def test_what_does_not_work_on_the_ground_is_told_in_the_plan(
    old: str, new: str, line: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = planned(old, new, tmp_path, capsys)
    assert (code, err) == (0, "")
    assert line in re.sub(r"\s+", " ", out)
