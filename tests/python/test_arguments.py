"""Arguments of a wrong kind, where water lands and where the sprinkler stands: refused in words, whatever they are."""

import contextlib
import itertools
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from dibble import geom
from dibble import hydraulics as hy
from dibble import sprinkler as sp
from dibble.errors import DibbleError
from dibble.farm import Farm
from dibble.geom import Plane, Polygon, Round
from dibble.hydraulics import Hose, Nozzle, Pump, System
from dibble.outlook import outlook
from dibble.placement import Alleys, Crew, Grid, Hydrant, bucket_list, place, read_map
from dibble.sprinkler import Sprinkler, Wind

GUN = Sprinkler(flow_l_min=300, radius_m=24)
BLOCK = Polygon([(0, 0), (50, 0), (50, 40), (0, 40)])
PUMP, HOSE, NOZZLE = Pump.from_rating(flow_l_min=300, head_m=66), Hose(80, 50.8), Nozzle(15.16)
PLANE = Plane(-84.7, 45)
CREW = Crew(100, 40, 10)
TREES = [(5, 5), (20, 20)]

CALLS: dict[str, tuple[Callable[..., Any], tuple[Any, ...], dict[str, Any]]] = {
    "Sprinkler": (Sprinkler, (), {"flow_l_min": 300, "radius_m": 30, "profile": "cone", "wind": Wind(250, 6)}),
    "Hose": (Hose, (80, 50), {"material": "lay_flat", "fittings": ["elbow_90"]}),
    "System": (System, (PUMP, HOSE, NOZZLE, 3), {"suction": [HOSE], "engine": "diesel"}),
    "apply": (sp.apply, (GUN, [(0, 0)], [(1, 1)], 60), {"arc_deg": 90, "n_threads": 1}),
    "destination": (sp.destination, (GUN, [(0, 0)], 60, BLOCK, [BLOCK]), {}),
    "water_within_l": (sp.water_within_l, (GUN, [(0, 0)], 60, BLOCK), {}),
    "lattice_uniformity": (sp.lattice_uniformity, (GUN, 30, "square"), {"per_side": 8}),
    "spacing_fraction": (sp.spacing_fraction, ("square", 2), {}),
    "spray_loss": (sp.spray_loss, ("humid",), {}),
    "published_losses": (
        sp.published_losses,
        (),
        {"wind_m_s": 3, "t_c": 25, "rh_pct": 50, "pressure_kpa": 300, "nozzle_mm": 4.4, "night": False},
    ),
    "throw_radius_m": (sp.throw_radius_m, (NOZZLE, 400), {}),
    "day_of_sets": (sp.day_of_sets, ((8, 10), 60, (20, 45)), {}),
    "overlapped": (sp.overlapped, (GUN, 800), {}),
    "fitting_k": (hy.fitting_k, ("elbow_90",), {}),
    "multi_outlet_factor": (hy.multi_outlet_factor, (5,), {}),
    "fuel_per_hour": (hy.fuel_per_hour, (5, "diesel"), {}),
    "Polygon": (Polygon, ([(0, 0), (1, 0), (1, 1)], []), {"plane": None}),
    "area_within_m2": (Round((0, 0), 10).area_within_m2, (BLOCK,), {}),
    "covered_area_m2": (geom.covered_area_m2, ([Round((0, 0), 10)], 1, BLOCK), {}),
    "place": (
        place,
        (BLOCK, GUN, TREES, 15),
        {
            "keep_out": [],
            "stay_dry": [],
            "positions": Grid(20),
            "hydrants": [Hydrant((0, 0), 90)],
            "hose_run": "straight",
            "system": None,
            "labels": ["a", "b"],
            "edge_arcs_deg": [180],
            "prices": {"pump_min": 1},
            "seed": 0,
            "work": 2,
            "plane": None,
            "n_threads": 1,
            "progress": None,
        },
    ),
    "Alleys": (lambda *lines: place(BLOCK, GUN, TREES, 15, positions=Alleys(*lines), work=2), ([TREES], 5), {}),
    "Hydrant": (lambda *parts: place(BLOCK, GUN, TREES, 15, hydrants=[Hydrant(*parts)], work=2), ((0, 0), 90, "gate"), {}),
    "bucket_list": (bucket_list, (TREES, 10, (0, 0), CREW), {"numbers": [(1, 1), (1, 2)]}),
    "Crew": (lambda *parts: bucket_list(TREES, 10, (0, 0), Crew(*parts)), (100, 40, 10, 2), {}),
    "read_map": (read_map, ('{"type": "Point", "coordinates": [0, 0]}', PLANE), {}),
}

CIRCLE: list[Any] = []
CIRCLE.append(CIRCLE)
ODD: list[Any] = [
    None, True, -1, 10**400, 2**64, 1e308, float("nan"), "x", "\ud800", b"x", [], [[]], [1, 2, 3], {"a": 1}, CIRCLE, object(),
    np.array(3.0), np.array([None]), np.zeros((3, 2, 2)), np.ma.masked_array([1.0, 2.0], [False, True]), 1j, GUN, BLOCK, iter([1, 2]), ...,
]  # fmt: skip


@pytest.mark.parametrize("name", CALLS)
def test_odd_arguments_are_refused_in_words_or_taken(name: str) -> None:
    call, args, named = CALLS[name]
    for i, odd in itertools.product(range(len(args)), ODD):
        tried(call, (*args[:i], odd, *args[i + 1 :]), named)
    for key, odd in itertools.product(named, ODD):
        tried(call, args, {**named, key: odd})


def tried(call: Callable[..., Any], args: tuple[Any, ...], named: dict[str, Any]) -> None:
    """Make a call that may be refused, but by nothing else than one of our errors."""
    with contextlib.suppress(DibbleError):
        call(*args, **named)


def message(call: Callable[..., Any], *args: Any, **named: Any) -> str:
    """Give the whole message of a refusal."""
    with pytest.raises(DibbleError) as caught:
        call(*args, **named)
    return str(caught.value)


def test_the_argument_and_what_it_should_be_are_named() -> None:
    assert message(sp.apply, 5, TREES, TREES, 60) == "sprinkler is of class int: a Sprinkler is needed."
    threads = message(sp.apply, GUN, TREES, TREES, 60, n_threads=-1)
    assert threads == "n_threads is -1: it must be 1 or more. Leave it out for one to each core."
    assert message(sp.apply, GUN, TREES, TREES, 60, n_threads=0) == (
        "n_threads is 0. Give 1 to 1024 threads, or none for one to each core."
    )
    assert message(sp.destination, GUN, TREES, 60, BLOCK, [3]) == "keep_out[0] is of class int: a Polygon is needed."
    assert message(Sprinkler, flow_l_min=300, radius_m=30, wind=5) == "wind is of class int: a Wind is needed."
    assert message(System, "pump", HOSE, NOZZLE, 3) == "pump is of class str: a Pump is needed."
    assert message(Hose, 80, 50, fittings="elbow_90") == "fittings is 'elbow_90' (str): a list of texts is needed."
    assert message(hy.multi_outlet_factor, 2.5) == "outlets is 2.5 (float): a whole number is needed."
    assert message(sp.day_of_sets, 8, 60, (20, 45)) == "sets is 8 (int): a list of two numbers is needed."
    assert message(sp.day_of_sets, (10, 8), 60, (20, 45)) == "10 to 8 sets with 20 to 45 min a move. Give the lower end of each first."
    assert message(bucket_list, TREES, 10, (0, 0), (100, 40, 10)) == "crew is of class tuple: a Crew is needed."
    assert message(bucket_list, TREES, 10, (0, 0), Crew(100, 40, 10, 10**7)).startswith("people is 10000000: people at work must be from 0")
    assert message(read_map, "\ud800") == "text holds half of a character pair at place 1. Read it as UTF-8."


def test_the_least_of_everything_is_told_as_it_is() -> None:
    assert str(geom.covered_area_m2([])) == "0.0"
    even = sp.uniformity([5e-324])
    assert (even.cu_pct, even.du_pct) == (100.0, 100.0)
    shutoff = PUMP.head_m(0)
    for above_m, short in [(0, "less than 0.1 m"), (0.06, "0.1 m")]:
        refusal = message(System(PUMP, HOSE, NOZZLE, shutoff + above_m).duty_point)
        assert refusal.startswith(f"the pump cannot lift to the sprinkler: {short} short. It gives ")


@pytest.mark.parametrize("days", [-1, 6, 201, 10**20])
def test_days_ahead_keep_to_their_range(days: int) -> None:
    refusal = message(outlook, Farm.demo(), Farm.demo_weather(), days=days)
    assert refusal == f"days is {days}: days to look ahead must be from 7 to 200. Give whole days; 56 are eight weeks."


def test_years_and_days_of_an_outlook_are_named() -> None:
    def asked(**named: Any) -> str:
        return message(outlook, Farm.demo(), Farm.demo_weather(), **named)

    assert asked(years=5) == "years is 5 (int): a list of years is needed."
    assert asked(years=[2020, "x"]) == "years[1] is 'x' (str): a whole number is needed."
    assert asked(years=[2**70]) == f"years[0] is {2**70}: a year must be from 1800 to 2299."
    assert asked(days=True) == "days is True (bool): a whole number is needed."
    assert asked(forecast_days=-1) == "forecast_days is -1: it must be from 0 to 2**64 - 1."


def test_questions_to_place_are_refused_in_words() -> None:
    def asked(**named: Any) -> str:
        return message(place, BLOCK, GUN, TREES, 15, **named)

    assert asked(seed=-1) == "seed is -1: it must be from 0 to 2**64 - 1."
    assert asked(work=-1) == "work is -1: it must be from 0 to 2**64 - 1."
    assert asked(work=2.5) == "work is 2.5 (float): a whole number is needed."
    assert asked(labels=5) == "labels is 5 (int): a list of texts is needed."
    assert asked(labels=["a", 3]) == "labels[1] is 3 (int): text is needed."
    assert asked(labels=["a"]) == "1 labels were given for 2 trees. Give one for each tree, or none."
    assert asked(hydrants=5) == "hydrants is 5 (int): a list of hydrants is needed."
    assert asked(hydrants=[7]) == "hydrants hold 7: a Hydrant, or its place and hose, is needed, as in Hydrant((0, 0), hose_m=90)."
    assert asked(plane=5) == "plane is of class int: a Plane is needed."
    assert asked(system=5) == "system is of class int: a System is needed."
    assert asked(section_m=15) == "section_m is given without a system. Give pump, hoses and nozzle too, or leave it out."
    assert asked(prices={"diesel": 3}) == (
        'prices "diesel" is not known. Known are: pump_min, drained_min_per_m3, beside_min_per_m3, keep_out_min_per_m3, short_min_per_mm.'
    )
    assert asked(prices={"pump_min": "dear"}).startswith("prices.pump_min is 'dear' (str): a number is needed.")
    assert asked(prices={"pump_min": float("nan")}) == "prices.pump_min is nan: a finite number is needed, 0 for no price."
    assert asked(positions=[]) == 'positions is missing. Give at least one position, or "anywhere".'
    assert asked(progress=3) == "progress is of class int: True or a function of (done, total) is needed."
    assert asked(hydrants=[((-30, 0), 20, "gate")]) == (
        'no position is within reach: hydrant "gate" with 20 m of hose is 12.6 m short of the nearest. '
        "Lay more hose, add a hydrant, or allow positions nearer to one."
    )
    assert asked(positions=[(49, 39)]) == (
        "no tree is wet from any of 1 positions: the nearest, at (49.0, 39.0), is 34.7 m from a tree and throws 24.0 m. "
        "Give positions nearer to the trees, a sprinkler that throws farther, or water by hand (`by_hand`)."
    )


def test_plain_tuples_stand_for_hydrants() -> None:
    plain = place(BLOCK, GUN, TREES, 15, hydrants=[((0, 0), 90, "gate")], work=2)
    assert plain == place(BLOCK, GUN, TREES, 15, hydrants=[Hydrant((0, 0), 90, "gate")], work=2)
