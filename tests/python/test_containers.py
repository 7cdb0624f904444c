"""Lists, mappings and bytes in the wrong place: refused by name with what came and what is wanted, never taken as none."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dibble import air, batch, cost, fertility, geom, record, soil, sprinkler, water
from dibble.errors import DibbleError, DibbleTypeError
from dibble.farm import Farm, Plan
from dibble.fertility import Ground, Product, SoilTest
from dibble.hydraulics import Hose, Pump
from dibble.outlook import outlook
from dibble.placement import place, read_map
from dibble.schedule import Schedule, Window, start_by
from dibble.water.supply import withdrawals

UREA = Product(like="urea", price_per_kg=0.66)
BLOCK = geom.Polygon([(0, 0), (50, 0), (50, 40), (0, 40)])
GUN = sprinkler.Sprinkler(flow_l_min=300, radius_m=24)
LOAM = soil.Soil.from_texture("silt loam", 3.0)


def advice(**given: Any) -> Any:
    """Give a year's advice."""
    test = SoilTest("1", sampled="2026-10-05", depth_m="7 in", ph=5.6, measured={"Mg": "120 ppm"}, extractant="Mehlich-3")
    return fertility.recommend(test, "Fraser fir", ground=Ground("1200 trees/acre"), today="2027-03-01", age_years=2, **given)


def week(jobs: Any = (("a", [("1", 20, 60)]),), **given: Any) -> Schedule:
    """Give a week's schedule."""
    return start_by(jobs, [Window("5:00", "20:00")], "2026-07-14 05:00", **given)


LISTS: dict[str, Callable[[Any], Any]] = {
    "products": lambda x: fertility.blend({"n_kg": 23}, x),
    "conversions": lambda x: advice(conversions=x),
    "credits_kg_ha": lambda x: advice(credits_kg_ha=x),
    "tests": lambda x: fertility.mean_ppm(x, "P"),
    "applications": fertility.manure_nitrogen_kg,
    "signs": fertility.rank_pale,
    "counts": record.stand_density,
    "saved": lambda x: cost.pass_worth(cost=1, trees=9, loss=1, saved=x),
    "years": lambda x: outlook(Farm.demo(), Farm.demo_weather(), years=x),
    "draws": withdrawals,
    "columns": water.run,
    "steps": lambda x: soil.infiltrate(x, ksat_mm_h=1, suction_mm=100, moisture_deficit=0.1),
    "layers": soil.Profile.layered,
    "keep_out": lambda x: place(BLOCK, GUN, [(5, 5)], 15, keep_out=x, work=2),
    "hydrants": lambda x: place(BLOCK, GUN, [(5, 5)], 15, hydrants=x, work=2),
    "labels": lambda x: place(BLOCK, GUN, [(5, 5)], 15, labels=x, work=2),
    "rounds": geom.covered_area_m2,
    "fittings": lambda x: Hose(80, 50, fittings=x),
    "jobs": week,
    "jobs[0].sets": lambda x: week([("a", x)]),
    "closed": lambda x: week(closed=x),
    "between_min": lambda x: week(between_min=x),
    "dates": lambda x: Farm.demo_weather().with_block_rain(x, [1.0]),
}


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize("wrong", [{}, {"a": 1}, set(), {1}, "", "ab", b"", b"ab", bytearray(b"ab"), 5], ids=repr)
def test_what_is_no_list_is_refused_by_name(name: str, wrong: Any) -> None:
    with pytest.raises(DibbleTypeError) as caught:
        LISTS[name](wrong)
    told = str(caught.value)
    assert told.startswith(f"{name} is {wrong!r} ({type(wrong).__name__}): a list of "), told
    assert told.endswith(" is needed."), told


@pytest.mark.parametrize("name", ["products", "tests", "counts", "columns", "layers", "jobs", "jobs[0].sets"])
def test_an_empty_list_where_one_is_needed_is_told(name: str) -> None:
    with pytest.raises(DibbleError):
        LISTS[name]([])


def test_mappings_are_mappings() -> None:
    calls: list[tuple[str, Callable[[Any], Any]]] = [
        ("needs", lambda x: fertility.blend(x, [UREA])),
        ("credits_kg", lambda x: fertility.blend({"n_kg": 23}, [UREA], credits_kg=x)),
        ("water", lambda x: advice(water=x)),
    ]
    for name, call in calls:
        odd: list[Any] = [[], [("n_kg", 1)], "", set(), 5]
        for wrong in odd:
            with pytest.raises(DibbleTypeError) as caught:
                call(wrong)
            assert str(caught.value).startswith(f"{name} is {wrong!r} ({type(wrong).__name__}): a mapping of "), name
    with pytest.raises(DibbleTypeError, match=r"^options is of class list: a mapping, or the path of a TOML or JSON file, is needed\.$"):
        batch.recommend({"pH (water)": [5]}, [], today="2026-05-01")  # type: ignore[arg-type]


def test_rows_hold_what_they_should() -> None:
    with pytest.raises(DibbleTypeError, match=r"^draws\[1\] is \('2026-07-01',\) \(tuple\): \(date, volume_l\) is needed\.$"):
        withdrawals([("2026-07-01", 5.0), ("2026-07-01",)])  # type: ignore[list-item]
    with pytest.raises(DibbleTypeError, match=r"^applications\[0\] is 'abcd' \(str\): Manure\(kind"):
        fertility.manure_nitrogen_kg(["abcd"])  # type: ignore[list-item]
    with pytest.raises(DibbleError, match=r"^layers\[0\] holds 1 things\. Give two: "):
        soil.Profile.layered([(0.3,)])  # type: ignore[list-item]
    with pytest.raises(DibbleTypeError, match=r"^layers\[0\] is of class str: a Soil is needed\.$"):
        soil.Profile.layered([(0.3, "loam")])  # type: ignore[list-item]
    assert len(soil.Profile.layered([(0.3, LOAM)]).layers) == 1


@pytest.mark.parametrize("wrong", [b"12", bytearray(b"12"), memoryview(b"12"), [b"1", b"2"], [bytearray(b"1")]], ids=range(5))
def test_bytes_are_no_numbers(wrong: Any) -> None:
    with pytest.raises(DibbleTypeError, match=r"^t_c is .*: bytes are not numbers\. .* Bytes that hold numbers: numpy\.frombuffer\.$"):
        air.saturation_vapor_pressure(wrong)
    with pytest.raises(DibbleError, match=r"^points is .*: bytes are not numbers"):
        Pump.from_points(wrong)
    held = np.frombuffer(np.array([20.0, 25.0]).tobytes())
    assert air.saturation_vapor_pressure(held).shape == (2,)


def test_a_pump_lifts_water() -> None:
    for curve in ([(0, 0), (100, 0)], [(0, 0.0), (1, 0.0), (2, 0.0)]):
        with pytest.raises(DibbleError, match=r"^points\[0\]: head_m is 0 m: head of a pump must be from 0\.5 to 1000 m\."):
            Pump.from_points(curve)
    with pytest.raises(DibbleError, match=r"^a pump curve of 0 points\."):
        Pump.from_points([])


DEEP = 100_000


@pytest.mark.parametrize(
    "text",
    ["[" * DEEP, "a = " + "[" * DEEP, '{"a":' * DEEP, "a = " + "{a = " * DEEP, "a." * DEEP + "a = 1", "[" + "a." * DEEP + "a]"],
    ids=["lists", "lists of TOML", "objects", "tables", "dotted", "heading"],
)
def test_what_is_nested_too_deep_is_refused_in_words(text: str, tmp_path: Path) -> None:
    path = tmp_path / "given.toml"
    path.write_text(text, encoding="utf-8")
    calls: list[Callable[[], Any]] = [
        lambda: Farm.read(path),
        lambda: Farm.parse(text),
        lambda: fertility.read_products(path),
        lambda: batch.recommend({"pH (water)": [5]}, str(path), today="2026-05-01"),
        lambda: Plan.from_json(text),
        lambda: Schedule.from_json(text),
        lambda: read_map(text),
    ]
    told = []
    for call in calls:
        with pytest.raises(DibbleError) as caught:
            call()
        told.append(str(caught.value))
    assert any("too deep" in one for one in told), told
    assert not any("recursion" in one or "recurse" in one for one in told), told


def test_objects_that_are_nested_too_deep_or_hold_themselves_are_refused() -> None:
    deep: list[Any] = []
    for _ in range(DEEP):
        deep = [deep]
    inside: dict[str, Any] = {"type": "Feature"}
    inside["geometry"] = inside
    calls: list[Callable[[], Any]] = [
        lambda: geom.Polygon(inside),
        lambda: geom.Polygon(deep),
        lambda: air.saturation_vapor_pressure(deep),
        lambda: batch.recommend({"pH (water)": [5]}, {"facts": deep}, today="2026-05-01"),
        lambda: advice(water={"ec_ds_m": deep, "alkalinity_mg_l": 1}),
        lambda: record.survival([deep]),  # type: ignore[list-item]
        lambda: week(jobs=[deep]),
    ]
    for call in calls:
        with pytest.raises(DibbleError):
            call()
    with pytest.raises(
        DibbleTypeError, match=r"^outline is no shape: its features and collections are nested too deep, or hold themselves"
    ):
        geom.Polygon(inside)


def test_a_schedule_that_was_altered_is_refused() -> None:
    written = json.loads(week().to_json())
    assert Schedule.from_json(json.dumps(written)) == week()
    for key, value in (("finish", "2026-08-01 05:00"), ("order", ["b"]), ("timetable", [])):
        with pytest.raises(DibbleError, match=r"^this schedule was altered: .*\. Ask for it anew\.$"):
            Schedule.from_json(json.dumps(written | {key: value}))
