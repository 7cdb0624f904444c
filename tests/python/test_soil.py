"""Published soil values read from the file that the Rust tests read, and what every soil class promises."""

import pickle
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dibble.errors import DibbleTypeError, InconsistentError, OutOfRangeError, UnknownNameError, UnreadableError
from dibble.soil import Profile, Soil, texture_class

REFERENCE = Path(__file__).resolve().parents[1] / "reference" / "soil.toml"
CASES: list[dict[str, Any]] = tomllib.loads(REFERENCE.read_text(encoding="utf-8"))["case"]


def cases(topic: str, provenance: str = "") -> list[Any]:
    chosen = [case for case in CASES if case["topic"] == topic and provenance in case["provenance"]]
    assert chosen, f"no case of topic {topic}"
    return [pytest.param(case, id=case["id"]) for case in chosen]


POINTS = [case for case in cases("texture") if "sand_pct" in case.values[0]["inputs"] and "class" in case.values[0]["expected"]]


@pytest.mark.parametrize("case", POINTS)
def test_texture_classes_of_the_soil_survey_manual(case: dict[str, Any]) -> None:
    given, expected = case["inputs"], case["expected"]
    assert texture_class(given["sand_pct"], given["clay_pct"]) == expected["class"], f"{case['source']}, {case['ref']}"


def test_texture_classes_of_arrays_are_those_of_points() -> None:
    sand, clay = (grid.ravel() for grid in np.meshgrid(np.arange(0, 101, 5.0), np.arange(0, 101, 5.0)))
    within = sand + clay <= 100
    names = texture_class(sand[within], clay[within])
    assert names.tolist() == [texture_class(s, c) for s, c in zip(sand[within], clay[within], strict=True)]
    assert texture_class([40.0, np.nan, 90.0], [20.0, 20.0, 90.0], on_error="nan").tolist() == ["loam", "", ""]


def test_sand_and_clay_over_100_are_refused() -> None:
    message = (
        "sand_pct 70 and clay_pct 40 add to 110 %, more than 100. "
        "Give percent by mass of the fine earth (below 2 mm); sand, silt and clay together are 100."
    )
    with pytest.raises(InconsistentError) as caught:
        Soil.from_particles(sand_pct=70, clay_pct=40, organic_matter_pct=2)
    assert str(caught.value) == message


def test_bad_soils_are_refused_in_full() -> None:
    with pytest.raises(UnknownNameError, match=r'^texture "silt lome" is not known\. Did you mean "silt", "silt loam"\?'):
        Soil.from_texture("silt lome")
    with pytest.raises(InconsistentError, match=r"^field_capacity 0\.1 is not above wilting_point 0\.2\. "):
        Soil.from_measured(wilting_point=0.2, field_capacity=0.1, saturation=0.4, ksat_mm_h=5)
    with pytest.raises(OutOfRangeError, match=r"^organic_matter_pct is 9 %: "):
        Soil.from_texture("loam", 9)
    with pytest.raises(DibbleTypeError, match=r"^sand_pct is an array of float64 with shape \(2,\): one number is needed here"):
        Soil.from_particles(sand_pct=np.array([1.0, 2.0]), clay_pct=2, organic_matter_pct=2)  # type: ignore[arg-type]
    with pytest.raises(DibbleTypeError, match=r"^clay_pct is '20' \(str\): a number is needed"):
        Soil.from_particles(sand_pct=40, clay_pct="20", organic_matter_pct=2)  # type: ignore[arg-type]


SOILS = [
    Soil.from_texture("silt loam"),
    Soil.from_texture("sand", 1.0).with_field_capacity_at(10),
    Soil.from_particles(sand_pct=30, clay_pct=35, organic_matter_pct=2.5, gravel_pct=12).with_wet_end("straight_line"),
    Soil.from_measured(wilting_point=0.1, field_capacity=0.3, saturation=0.45, ksat_mm_h=3, texture="SIL"),
]


@pytest.mark.parametrize("soil", SOILS, ids=repr)
def test_a_soil_survives_every_way_of_writing_it(soil: Soil) -> None:
    assert eval(repr(soil), {"Soil": Soil}) == soil
    assert pickle.loads(pickle.dumps(soil)) == soil
    assert Soil.from_json(soil.to_json()) == soil
    assert soil.texture in soil._repr_html_()
    assert soil != Soil.from_texture("clay")


def test_a_profile_survives_every_way_of_writing_it() -> None:
    profile = Profile.layered([(0.3, SOILS[0]), (1.0, SOILS[2])])
    assert eval(repr(profile), {"Soil": Soil, "Profile": Profile}) == profile
    assert pickle.loads(pickle.dumps(profile)) == profile
    assert Profile.from_json(profile.to_json()) == profile
    assert profile.layers == [(0.3, SOILS[0]), (1.0, SOILS[2])]


def test_soils_cannot_be_changed() -> None:
    with pytest.raises(AttributeError):
        SOILS[0].field_capacity = 0.5  # type: ignore[misc]


def test_broken_json_and_foreign_bytes_are_refused() -> None:
    with pytest.raises(UnreadableError, match=r"^cannot read soil JSON "):
        Soil.from_json('{"origin": 3}')
    with pytest.raises(UnreadableError, match=r"^cannot read soil bytes .*they were not written by this version of dibble"):
        Soil._from_bytes(b"something else")


def test_methods_broadcast_like_functions() -> None:
    soil = SOILS[0]
    depth = np.array([[0.1, 0.2], [0.3, np.nan]])
    water = soil.available_water_mm(depth)
    assert water.shape == (2, 2)
    assert np.isnan(water[1, 1])
    assert water[0, 1] == soil.available_water_mm(0.2)
    tension = np.array([10.0, 33.0, 1500.0])
    np.testing.assert_allclose(soil.tension_at(soil.water_content_at(tension)), tension, rtol=1e-9)
