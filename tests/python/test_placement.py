"""Placing the sprinkler from Python: every promise of the plan checked again, shapes, Ctrl-C, and what is refused."""

import contextlib
import json
import pickle
import signal
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

from dibble import sprinkler
from dibble.errors import DibbleError
from dibble.geom import Plane, Polygon
from dibble.hydraulics import Hose, Nozzle, Pump, System
from dibble.placement import Alleys, BucketList, Crew, Grid, Hydrant, Placement, bucket_list, liters_for, place, read_map
from dibble.sprinkler import Sprinkler

GUN = Sprinkler(flow_l_min=300, radius_m=24, spray_loss=0.05)
FIELD = [(0, 0), (50, -4), (64, 20), (40, 26), (34, 46), (4, 38)]
PLANE = Plane(-84.70, 45.00)


def trees_in(field: Any, step: float = 4.0) -> Any:
    x, y = np.meshgrid(np.arange(1.0, 65, step), np.arange(-3.0, 47, step))
    points = np.column_stack([x.ravel(), y.ravel()])
    shape = Polygon(field)
    return points[shape.contains(points) & (shape.edge_distance_m(points) > 1)]


TREES = trees_in(FIELD)
ROAD = [(-8, -8), (-4, -8), (-2, 45), (-6, 45)]
BARN = [(20, 10), (28, 10), (28, 18), (20, 18)]


@pytest.fixture(scope="module")
def plan() -> Placement:
    return place(
        FIELD,
        GUN,
        TREES,
        15,
        keep_out=[BARN],
        stay_dry=[shapely.Polygon(ROAD)],
        positions=Grid(7),
        hydrants=[Hydrant((2, 2), 80, "gate")],
        edge_arcs_deg=[180],
        labels=[f"row {i}" for i in range(len(TREES))],
        work=40,
    )


def depths_of(plan: Placement) -> Any:
    """Depths once more, from the sets as the plan tells them."""
    arcs = [s.get("arc") or {"arc_deg": 360, "facing_deg": 0} for s in plan.sets]
    width, facing = [a["arc_deg"] for a in arcs], [a["facing_deg"] for a in arcs]
    return sprinkler.apply(GUN, plan.sets_xy_m, TREES, plan.minutes, arc_deg=width, facing_deg=facing)


def test_the_plan_keeps_what_it_promises(plan: Placement) -> None:
    assert np.array_equal(plan.depths_mm, depths_of(plan))
    lacking = np.flatnonzero(plan.depths_mm < 15 - 1e-6)
    assert [tree["tree"] for tree in plan.short] == lacking.tolist()
    assert plan.bound is not None
    assert plan.gap is not None
    assert plan.bound <= plan.cost["total_min"]
    assert plan.gap == pytest.approx(1 - plan.bound / plan.cost["total_min"])
    assert plan.cost["pump_min"] == pytest.approx(plan.minutes.sum())
    assert plan.cost["move_min"] == 20 * len(plan.minutes)
    assert not Polygon(BARN).contains(plan.sets_xy_m).any()
    assert Polygon(FIELD).contains(plan.sets_xy_m).all()
    assert (np.hypot(*(plan.sets_xy_m - (2, 2)).T) <= 80).all()
    road = Polygon(ROAD)
    for stand in plan.sets:
        arc = stand.get("arc") or {"arc_deg": 360, "facing_deg": 0}
        [wet] = sprinkler.water_within_l(GUN, [(stand["x_m"], stand["y_m"])], stand["minutes"], road, **arc)
        assert wet < 1e-6
    assert plan.over_trees == sprinkler.uniformity(plan.depths_mm)
    low, middle, high = plan.depth_range_mm or (0, 0, 0)
    assert (low, middle, high) == pytest.approx(tuple(np.percentile(plan.depths_mm, [10, 50, 100])))
    assert plan.water["pumped_l"] == pytest.approx(300 * plan.minutes.sum())
    assert {row["key"] for row in plan.assumptions} >= {"hold_from_target", "work_prices"}
    assert "pump" in str(plan)
    assert "Lagrangian" in str(plan.explain())
    assert " mm " in plan.text(units="si")


def test_the_same_question_gets_the_same_answer() -> None:
    asked: dict[str, Any] = {"positions": Grid(9), "work": 15, "seed": 3}
    one = place(FIELD, GUN, TREES, 15, n_threads=1, **asked)
    two = place(shapely.Polygon(FIELD), GUN, shapely.MultiPoint(TREES), np.full(len(TREES), 15.0), n_threads=2, **asked)
    assert one == two


def test_degrees_give_the_plan_of_meters() -> None:
    polygon = Polygon(FIELD)
    meters = place(polygon, GUN, TREES, 15, positions=[(12, 12), (40, 12), (20, 30)], work=10)
    degrees = place(
        polygon.to_geojson(PLANE),
        GUN,
        PLANE.to_degrees(TREES),
        15,
        positions=PLANE.to_degrees([(12, 12), (40, 12), (20, 30)]),
        plane=PLANE,
        work=10,
    )
    assert np.allclose(degrees.sets_xy_m, meters.sets_xy_m, rtol=0, atol=1e-6)
    assert np.allclose(degrees.minutes, meters.minutes, rtol=0, atol=1e-3)
    geojson = degrees.to_geojson(PLANE)
    features = geojson["features"]
    points = [shapely.geometry.shape(each["geometry"]) for each in features if each["properties"]["kind"] == "set"]
    assert np.allclose(PLANE.to_meters(points), degrees.sets_xy_m, rtol=0, atol=1e-6)
    back = read_map(json.dumps(geojson), PLANE)
    assert np.allclose(back.outline.outline, polygon.outline, rtol=0, atol=1e-6)
    assert len(back.trees_xy_m) == len(degrees.short), "the plan's map shows the short trees"
    hydrant = {"type": "Feature", "properties": {"kind": "hydrant", "hose_m": 80, "name": "gate"}, "geometry": None}
    hydrant["geometry"] = {"type": "Point", "coordinates": PLANE.to_degrees((2, 2)).tolist()}
    whole = read_map(json.dumps({"type": "FeatureCollection", "features": [*features, hydrant]}), PLANE)
    [gate] = whole.hydrants
    assert np.allclose(gate.xy_m, (2, 2), rtol=0, atol=1e-6)  # type: ignore[arg-type]
    assert (gate.hose_m, gate.name) == (80, "gate")
    with pytest.raises(DibbleError, match="the map has 0 outlines"):
        read_map('{"type": "FeatureCollection", "features": []}')


def test_records_survive_json_and_pickle(plan: Placement) -> None:
    assert Placement.from_json(plan.to_json()) == plan
    back = pickle.loads(pickle.dumps(plan))
    assert back == plan
    assert back.plot().axes[0].get_xlabel() == "east, m"
    with pytest.raises(DibbleError, match=r"JSON holds the plan and not the field\. Place again"):
        Placement.from_json(plan.to_json()).plot()


def test_an_altered_plan_is_refused(plan: Placement) -> None:
    def altered(change: Any) -> str:
        told = plan.to_dict()
        change(told)
        with pytest.raises(DibbleError) as caught:
            Placement.from_json(json.dumps(told))
        return str(caught.value)

    assert altered(lambda p: p["depths_mm"].__setitem__(0, -1.0)) == (
        "this placement was altered: a tree gets -1 mm. Place the sprinkler anew."
    )
    assert altered(lambda p: p["cost"].update(total_min=1.0)).startswith("this placement was altered: its parts cost ")
    assert altered(lambda p: p["hose_m"].pop()).startswith("this placement was altered: ")
    assert "null" in altered(lambda p: p["depths_mm"].__setitem__(0, None))
    # by pickle the question travels along, and the depths are reckoned again
    make, (data, request) = plan.__reduce__()
    first = float(plan.depths_mm[0])
    deeper = data.replace(str(first).encode(), str(first + 1).encode())
    assert deeper != data
    with pytest.raises(DibbleError, match=r"this placement was altered: .*tree 0 gets .* mm, and the plan says "):
        make(deeper, request)
    assert make(data, request) == plan


def test_the_drawing_shows_order_units_and_short_trees() -> None:
    # one position that does not reach the far corner
    plan = place(FIELD, GUN, TREES, 15, positions=[(12, 12)])
    assert plan.short
    assert {tree["why"] for tree in plan.short} >= {"out of reach"}
    axes, bar = plan.plot(units="us").axes
    assert (axes.get_xlabel(), axes.get_ylabel()) == ("east, ft", "north, ft")
    assert bar.get_ylabel() == "depth under each tree, in"
    figure = axes.get_figure()
    assert figure is not None
    shown = [text.get_text() for text in figure.legends[0].get_texts()]
    assert "short tree" in shown
    assert "1" in [text.get_text() for text in axes.texts]


def test_flow_follows_from_pump_and_hose() -> None:
    system = System(Pump.from_rating(flow_l_min=300, head_m=66), Hose(80, 50.8), Nozzle(15.16), 3)
    plan = place(FIELD, GUN, TREES, 15, positions=Grid(9), hydrants=[Hydrant((2, 2), 80)], system=system, section_m=15, work=10)
    flows = [stand["flow_l_min"] for stand in plan.sets]
    order = np.argsort(plan.hose_m)
    assert (np.diff(np.array(flows)[order]) <= 1e-9).all(), "more hose leaves less water"
    along = Alleys([[(1, 2), (48, 0)], [(6, 30), (36, 30)]], 8)
    assert len(place(FIELD, GUN, TREES, 15, positions=along, hose_run="along_rows", row_direction_deg=90, work=10).minutes)


def test_progress_is_reported() -> None:
    seen: list[tuple[int, int]] = []
    place(FIELD, GUN, TREES, 15, positions=Grid(9), work=10, progress=lambda done, total: seen.append((done, total)))
    assert seen

    def stop(done: int, total: int) -> None:
        raise KeyError(done)

    with pytest.raises(KeyError):
        place(FIELD, GUN, TREES, 15, positions=Grid(4), work=10**6, progress=stop)


def quick(attempt: Callable[[], float], seconds: float) -> bool:
    """Tell whether one of a few tries took less: a busy machine may delay any of them."""
    return any(attempt() < seconds for _ in range(4))


@pytest.mark.usefixtures("ctrl_c")
def test_ctrl_c_returns_within_a_fifth_of_a_second_and_the_worker_stops() -> None:
    assert quick(interrupted_in_the_search, 0.2)


def interrupted_in_the_search() -> float:
    pressed: list[float] = []
    before = workers()

    def press() -> None:
        pressed.append(time.perf_counter())
        signal.raise_signal(signal.SIGINT)

    def begun(done: int, total: int) -> None:
        if total == 10**7 and not timer.is_alive() and not pressed:
            timer.start()

    side = np.arange(1.0, 120, 3)
    trees = np.stack(np.meshgrid(side, side), axis=-1).reshape(-1, 2)
    timer = threading.Timer(0.05, press)
    with pytest.raises(KeyboardInterrupt):
        place([(0, 0), (120, 0), (120, 120), (0, 120)], GUN, trees, 15, positions=Grid(4), work=10**7, n_threads=1, progress=begun)
    took = time.perf_counter() - pressed[0]
    timer.join()
    deadline = time.perf_counter() + 10
    while workers() > before and time.perf_counter() < deadline:
        time.sleep(0.02)
    assert workers() <= before, "it goes on by itself for one slice, and no longer"
    return took


@pytest.mark.usefixtures("ctrl_c")
def test_ctrl_c_before_the_search_begins_ends_the_worker_too() -> None:
    assert quick(interrupted_before_the_search, 0.2)


def interrupted_before_the_search() -> float:
    # an outline of many corners: seconds go by before the first step of the search
    turn = np.linspace(0, 2 * np.pi, 6000, endpoint=False)
    outline = np.column_stack([np.cos(turn), np.sin(turn)]) * (150 + 5 * np.sin(9 * turn))[:, None]
    side = np.arange(-95, 95, 1.35)
    trees = np.stack(np.meshgrid(side, side), axis=-1).reshape(-1, 2)
    before = workers()
    pressed: list[float] = []

    def press() -> None:
        pressed.append(time.perf_counter())
        signal.raise_signal(signal.SIGINT)

    timer = threading.Timer(0.25, press)
    timer.start()
    with pytest.raises(KeyboardInterrupt):
        place(outline, GUN, trees, 15, positions=Grid(6.5), n_threads=1)
    returned = time.perf_counter()
    while workers() > before and time.perf_counter() < returned + 10:
        time.sleep(0.01)
    assert workers() <= before, "it goes on by itself for one slice, and no longer"
    return returned - pressed[0]


def workers() -> int:
    """Count this process's threads of the core, where the system tells them."""
    tasks, names = Path("/proc/self/task"), []
    for task in tasks.iterdir() if tasks.exists() else ():
        with contextlib.suppress(FileNotFoundError, ProcessLookupError):  # a thread that has just ended
            names.append((task / "comm").read_text().strip())
    return names.count("dibble")


def message(*args: Any, **named: Any) -> str:
    """Give the whole message of a refusal."""
    with pytest.raises(DibbleError) as caught:
        place(*args, **named)
    return str(caught.value)


def test_bad_questions_are_refused() -> None:
    assert message([(0, 0), (60, 40), (60, 0), (0, 40)], GUN, TREES, 15).startswith("the outline crosses itself")
    assert message(FIELD, GUN, [], 15) == "trees_xy_m is missing. Give the position of one tree or more."
    assert message(FIELD, GUN, [(10, 10), (200, 10)], 15) == (
        "1 tree stands outside the outline: trees_xy_m[1] at (200.0, 10.0) is 136.4 m from its edge. "
        "Widen the outline, or leave the tree out; check that all positions have the same origin."
    )
    assert message(FIELD, GUN, [(10, 10), (float("nan"), 10)], 15).startswith("trees_xy_m[1]: x_m is NaN m: position must be from")
    assert message(FIELD, GUN, TREES, [15.0, 16.0]).startswith(f"target_mm has 2 values for {len(TREES)} trees")
    assert message(FIELD, GUN, TREES, 15, positions="everywhere").startswith('positions "everywhere" is not known')
    assert message(FIELD, GUN, TREES, 15, prices={"diesel": 3}).startswith('prices "diesel" is not known')
    assert message(FIELD, GUN, TREES, 15, positions=Grid(0)).startswith("spacing_m is 0 m")
    swapped = [(45.000, -84.700), (45.001, -84.700), (45.001, -84.699)]
    assert message(swapped, GUN, TREES, 15, plane=PLANE).endswith("Give longitude first and latitude second, as GeoJSON does.")
    far = message(FIELD, GUN, TREES, 15, positions=[(40, 12)], hydrants=[Hydrant((2, 2), 20, "gate")])
    assert "gate" in far
    assert "short" in far


def test_a_million_trees_are_refused_with_the_number() -> None:
    trees = np.random.default_rng(0).uniform(2, 30, (1_000_000, 2))
    assert message(FIELD, GUN, trees, 15) == (
        "1000000 trees are more than `place` takes (20000). "
        "Place the sprinkler block by block; `apply` gives depths at any number of points."
    )


def test_the_bucket_list_takes_what_the_sprinkler_leaves() -> None:
    plan = place(FIELD, GUN, TREES, 15, positions=[(12, 12), (30, 30)])
    dry = [tree["tree"] for tree in plan.short]
    missing = [tree["missing_mm"] for tree in plan.short]
    crew = Crew(volume_l=100, fill_l_min=40, hand_l_min=10, people=2)
    listed = bucket_list(TREES[dry], missing, (2, 2), crew, 0.9, numbers=[(1, tree) for tree in dry])
    assert listed.trees == len(dry)
    assert listed.liters == pytest.approx(liters_for(missing, 0.9).sum(), rel=1e-12)
    assert sorted({stop["tree"] for stop in listed.stops}) == dry
    assert all(load["liters"] <= 100 + 1e-9 for load in listed.loads)
    assert listed.pour_min == pytest.approx(listed.liters / 20)
    assert len(listed.to_csv().splitlines()) == len(listed.stops) + 1
    assert listed.summary(units="si") in listed.text(units="si")
    assert BucketList.from_json(listed.to_json()) == listed
    assert pickle.loads(pickle.dumps(listed)) == listed
    with pytest.raises(DibbleError, match="1 rows and trees are given for 2 positions"):
        bucket_list(TREES[:2], 10, (2, 2), crew, numbers=[(1, 1)])
    with pytest.raises(DibbleError, match=r"^tree 2: depth_mm is -1 mm"):
        bucket_list(TREES[:2], [10, -1], (2, 2), crew)
