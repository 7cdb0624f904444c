"""Pond, well, tank: the core's hand-worked numbers from Python, records that come back, and what is refused."""

import datetime as dt
import pickle
from typing import Any

import numpy as np
import pytest

from dibble.errors import DibbleError, DibbleTypeError, InconsistentError, InfeasibleError, MissingError, OutOfRangeError
from dibble.water.supply import Pass, Pond, SupplyDay, SupplyOutlook, Tank, WaterSupply, Well, Withdrawals, withdrawals
from dibble.weather import Site, Weather

STRAIGHT = Pond(area_m2=2000, depth_m=2.0, shape="straight", seepage_mm_day=4, evaporation=1.0)
WELL = Well((8, 12), storage_l=500, hours_day=10)
TANK = Tank(4000, now_l=3000, fill_l_min=1)


def days(count: int, eto_mm: float = 6.0, rain_mm: float = 0.0) -> list[SupplyDay]:
    return [SupplyDay(dt.date(2026, 7, 14) + dt.timedelta(day), eto_mm, rain_mm) for day in range(count)]


def test_passes_left_by_hand() -> None:
    # 6 mm of evaporation and 4 mm of seepage on 2,000 m2: 20,000 L a day; 400,000 L every 5 days out of 3,000,000 L.
    # passes on days 0, 5, 10, 15, 20 and 25 leave 3,000,000 - 26 x 20,000 - 6 x 400,000 = 80,000 L: day 30 finds too little
    found = WaterSupply(pond=STRAIGHT).outlook(days(40), Pass(400_000, over_days=1, every_days=5))
    assert (found.usable_l, found.days) == ({"low": 3e6, "high": 3e6}, 40)
    assert found.dry == found.likely == found.wet
    assert (found.likely["passes"], found.likely["out_on"]) == (6, "2026-08-13")
    assert found.likely["level_m"][0] == pytest.approx(2.0 - 0.010 - 0.2, abs=1e-12)


def test_ranges_frame_the_likely_run_and_complete_days_serve_too() -> None:
    pond = Pond(area_m2=2000, depth_m=2.0, inflow_l_min=(0, 10))
    found = WaterSupply(pond=pond).outlook(days(60, rain_mm=1.0), Pass((350e3, 450e3), 2, 5))
    assert found.dry["passes"] <= found.likely["passes"] <= found.wet["passes"]
    assert found.dry["level_m"][0] < found.likely["level_m"][0] < found.wet["level_m"][0]
    daily = Weather.from_table(
        {"date": [f"2026-07-{day}" for day in range(14, 24)], "tmin_c": [14.0] * 10, "tmax_c": [28.0] * 10, "rain_mm": [1.5] * 10}
    ).complete(Site(45.2, 290))
    rows = [SupplyDay(str(date), float(eto), float(rain)) for date, eto, rain in zip(daily.dates, daily.eto_mm, daily.rain_mm, strict=True)]
    supply, every = WaterSupply(pond=pond, well=WELL, tank=TANK), Pass(200e3, 1, 3)
    assert supply.outlook(daily, every) == supply.outlook(rows, every)


def test_a_pond_by_stage_and_shape() -> None:
    for shape, m3 in {"straight": 2000, "bowl": 1000, "usual": 800, "cone": 2000 / 3}.items():
        assert Pond(area_m2=1000, depth_m=2, shape=shape, lowest_m=0).usable_l == pytest.approx(1000 * m3, rel=1e-12)
    # below 1 m: 0.5 x 1 x 400 = 200 m3; from 1 to 1.5 m: 0.5 x (400 + 700) / 2 = 275; below 0.5 m: 0.5 x 0.5 x 200 = 50
    pond = Pond(stage=np.array([[0, 0], [1, 400], [2, 1000]]), lowest_m=0.5, level_m=1.5)
    assert pond.usable_l == pytest.approx(425e3)
    assert pond.level_after_m(275e3) == pytest.approx(1.0)
    assert pond.volume_l([1.0, 1.5]).tolist() == pytest.approx([200e3, 475e3])
    assert (pond.area_m2(1.5), pond.level_m, pond.full_m, pond.lowest_m) == (700.0, 1.5, 2.0, 0.5)
    assert np.isnan(pond.volume_l([1.0, 9.0], on_error="nan")).tolist() == [False, True]


def test_wells_and_tanks() -> None:
    assert WELL.day_l == (500 + 8 * 600, 500 + 12 * 600)
    assert Well(60, storage_l=1200).recovery_h == pytest.approx((1 / 3, 1 / 3))
    assert Well((50, 100), storage_l=1200).lasts_min(90) == (30.0, None)
    assert WaterSupply(well=WELL, tank=TANK).usable_l == (3000 + 5300, 3000 + 7700)


def test_counts_are_counts() -> None:
    # every third day of June and July 90,000 L: ten in any 30 days, 30,000 L a day
    draws = [(dt.date(2026, 6, 1) + dt.timedelta(day), 90e3) for day in range(0, 60, 3)]
    counts = withdrawals(draws, day_l=100e3)
    assert counts.largest_30_days is not None
    assert counts.largest_30_days["volume_l"] == 30e3
    assert [(month["month"], month["volume_l"]) for month in counts.months] == [(6, 900e3), (7, 900e3)]
    assert (counts.total_l, len(counts.days), counts.limit) == (1.8e6, 20, {"day_l": 100e3})
    assert withdrawals([]).largest_day is None


@pytest.mark.parametrize(
    "thing",
    [
        STRAIGHT,
        Pond(stage=[(0, 0), (1, 400), (2, 1000)], inflow_l_min=(0.5, 2)),
        WELL,
        TANK,
        WaterSupply(pond=STRAIGHT, well=WELL, tank=TANK),
    ],
)
def test_records_come_back_from_repr_json_and_pickle(thing: Any) -> None:
    names = {"Pond": Pond, "Well": Well, "Tank": Tank, "WaterSupply": WaterSupply}
    assert eval(repr(thing), names) == thing
    assert type(thing).from_json(thing.to_json()) == thing
    assert pickle.loads(pickle.dumps(thing)) == thing


def test_answers_come_back_and_print() -> None:
    found = WaterSupply(pond=STRAIGHT).outlook(days(10), Pass(4e5, 1, 5))
    counts = withdrawals([("2026-06-29", 30e3)])
    assert SupplyOutlook.from_json(found.to_json()) == found
    assert Withdrawals.from_json(counts.to_json()) == counts
    assert "passes" in str(found)
    assert "30000" in str(counts).replace(",", "")


@pytest.mark.parametrize(
    ("call", "kind", "message"),
    [
        (
            lambda: STRAIGHT.level_after_m(3_500_000),
            InfeasibleError,
            "3500000 L cannot be drawn from a pond that has 3000000 L above the depth at which pumping stops. Draw less,",
        ),
        (
            lambda: Pond(area_m2=1000, depth_m=2, level_m=-0.2),
            OutOfRangeError,
            "level_m is -0.2 m: depth of a pond must be from 0 to 100 m. Give meters from the deepest point up; 1 ft is 0.3048 m.",
        ),
        (
            lambda: Pond(area_m2=1000, depth_m=2, level_m=2.5),
            InconsistentError,
            "level_m is 2.5 m, and the pond is 2 m deep when full. Both are measured from the deepest point up; correct one of them.",
        ),
        (lambda: Pond(area_m2=1000), MissingError, "depth_m is missing. Give the depth at the deepest point when full, or stages."),
        (
            lambda: Pond(area_m2=1000, depth_m=2, seepage_mm_day=(5, 2)),
            InconsistentError,
            "seepage_mm_day runs from 5 to 2. Give the low end first.",
        ),
        (lambda: Tank(1000, now_l=1500), InconsistentError, "now_l is 1500 L, and the tank holds 1000 L. Correct one of them."),
        (
            lambda: Tank.from_json('{"volume_l": 1000, "now_l": 1500}'),
            InconsistentError,
            "now_l is 1500 L, and the tank holds 1000 L. Correct one of them.",
        ),
        (lambda: Well((30, 20)), InconsistentError, "rate_l_min runs from 30 to 20. Give the low end first."),
        (lambda: WaterSupply(), MissingError, "a source of water is missing. Give a pond, a well or a tank."),
        (lambda: WaterSupply(pond=TANK), DibbleTypeError, "pond is of class Tank"),  # type: ignore[arg-type]
        (
            lambda: WaterSupply(pond=STRAIGHT).outlook(days(3)[::2], Pass(1e5, 1, 5)),
            InconsistentError,
            "2026-07-16 follows on 2026-07-14. Give every day once, in order.",
        ),
        (
            lambda: WaterSupply(pond=STRAIGHT).outlook(days(3), Pass(1e5, 6, 5)),
            InconsistentError,
            "a pass is spread over 6 days and comes every 5 days. Give at least 1 day, and no more days",
        ),
        (
            lambda: WaterSupply(pond=STRAIGHT).outlook(["2026-07-14"], Pass(1e5, 1, 5)),  # type: ignore[list-item]
            DibbleTypeError,
            "days are no Daily, and no sequence of SupplyDay(date, eto_mm, rain_mm). Give one of them.",
        ),
        (
            lambda: WaterSupply(pond=STRAIGHT).outlook(days(3), 1e5),  # type: ignore[arg-type]
            DibbleTypeError,
            "pass_ is no Pass(volume_l, over_days, every_days, first_day). Give one.",
        ),
        (
            lambda: withdrawals([("2026-06-04", 1.0), ("2026-06-03", 1.0)]),
            InconsistentError,
            "the draw of 2026-06-03 stands behind the one of 2026-06-04. Give draws in the order of their days.",
        ),
        (lambda: withdrawals([1e5]), DibbleTypeError, "draws[0] is 100000.0 (float): (date, volume_l) is needed."),  # type: ignore[list-item]
    ],
)
def test_what_makes_no_sense_is_refused(call: Any, kind: type[DibbleError], message: str) -> None:
    with pytest.raises(kind) as refused:
        call()
    assert str(refused.value).startswith(message)
