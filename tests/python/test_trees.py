"""Each tree's own ledger from Python: one column for each tree, days and trees that agree, bad input in words."""

import datetime as dt
import pickle
from typing import Any

import numpy as np
import pytest

from dibble.errors import DibbleError, DibbleTypeError, InconsistentError, MissingError, OutOfRangeError, UnreadableError
from dibble.soil import Soil
from dibble.sprinkler import Sprinkler, apply
from dibble.stand import CropDays
from dibble.water import Column, TreeStress, Watering, run, trees
from dibble.weather import Site, Weather

DATES = [f"2026-07-{day:02}" for day in range(1, 21)]
DAILY = Weather.from_table({"date": DATES, "tmin_c": [15.0] * 20, "tmax_c": [30.0] * 20, "rain_mm": [0.0] * 20}).complete(Site(45.2, 290))
CROP = CropDays(kcb=[0.6] * 20, kc_max=1.2, exposed=0.5, root_depth_m=0.2, p=0.5)


def column(waterings: list[Watering] | None = None) -> Column:
    return Column("firs", DAILY, CROP, Soil.from_texture("silt loam"), waterings=waterings or [])


def test_a_tree_is_a_column_with_its_own_depths() -> None:
    """Trees under one set of the sprinkler, each against `run` with the depth that fell there."""
    where = [(float(x), 0.0) for x in range(0, 32, 4)]
    depths = apply(Sprinkler(flow_l_min=300, radius_m=30), [(0.0, 0.0)], where, 90)
    assert isinstance(depths, np.ndarray)
    stress = trees(column([Watering("2026-07-03", 5)]), {"2026-07-06": depths, dt.date(2026, 7, 12): depths / 2}, to="2026-07-18")
    assert (stress.trees, stress.first, stress.last) == (8, dt.date(2026, 7, 1), dt.date(2026, 7, 18))
    np.testing.assert_allclose(stress.given_mm, 5 + 1.5 * depths, rtol=1e-12)
    for tree, depth in enumerate(depths):
        own = [Watering("2026-07-03", 5), Watering("2026-07-06", depth), Watering("2026-07-12", depth / 2)]
        season = run([column([w for w in own if w.depth_mm > 0])])
        short = np.flatnonzero(season.series("ks")[:18] < 1 - 1e-9)
        listed = [(day - stress.first).days for day, who in stress.days.items() if tree in who]
        assert listed == short.tolist()
        assert stress.days_of_tree[tree] == len(short)
        assert stress.depletion_mm[tree] == season.series("morning_depletion_mm")[18]
    assert stress.days_of_tree[-1] > stress.days_of_tree[0]
    assert sum(len(who) for who in stress.days.values()) == stress.days_of_tree.sum()


def test_stress_travels_and_is_read_only() -> None:
    stress = trees(column(), {"2026-07-06": [15.0, 0.0, 15.0]})
    assert TreeStress.from_json(stress.to_json()) == stress == pickle.loads(pickle.dumps(stress))
    assert stress.last == dt.date(2026, 7, 20)
    assert repr(stress) == "<TreeStress of 3 trees, 2026-07-01 to 2026-07-20: 3 stressed, on 17 days>"
    with pytest.raises(ValueError, match="read-only"):
        stress.given_mm[0] = 1.0
    with pytest.raises(InconsistentError, match=r"^days and trees of the stress of trees do not agree\."):
        TreeStress.from_json(stress.to_json().replace('"trees": 3', '"trees": 4').replace('"trees":3', '"trees":4'))
    with pytest.raises(UnreadableError, match=r"^cannot read stress of trees "):
        TreeStress.from_json("{}")


def test_progress_counts_sorts_of_trees() -> None:
    seen: list[tuple[int, int]] = []
    trees(column(), {"2026-07-06": [15.0, 0.0, 15.0]}, progress=lambda done, total: seen.append((done, total)))
    assert seen[-1] == (2, 2)


BAD: list[tuple[Any, dict[str, Any], type[DibbleError], str]] = [
    ({}, {}, MissingError, "a watering by trees is missing. Give the depth at each tree for at least one day."),
    ([1], {}, DibbleTypeError, 'depths_mm is [1] (list): a mapping is needed, such as {"2026-07-14": [12.5, 0.0]}.'),
    ({"2026-07-06": []}, {}, MissingError, "trees is missing. Give the depth at each tree."),
    (
        {"2026-07-06": [1, float("nan")]},
        {},
        OutOfRangeError,
        "watering of 2026-07-06: depths_mm[1] is NaN mm: water depth must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm.",
    ),
    (
        {"2026-07-06": [1.0, 2.0], "2026-07-07": [1.0]},
        {},
        InconsistentError,
        "watering of 2026-07-07: 1 depths are given, and 2 on 2026-07-06. Each watering has one depth for each tree, 0 for a tree that "
        "got none.",
    ),
    (
        {"2026-08-06": [1.0]},
        {},
        InconsistentError,
        "watering of 2026-08-06: 2026-08-06 is not a day of the weather, which goes from 2026-07-01 to 2026-07-20. Name a day of the "
        "weather.",
    ),
    (
        {"2026-07-06": [1.0]},
        {"to": "2026-09-01"},
        InconsistentError,
        "to: 2026-09-01 is not a day of the weather, which goes from 2026-07-01 to 2026-07-20. Name a day of the weather.",
    ),
    ({3: [1.0]}, {}, DibbleTypeError, "depths_mm is 3 (int): a day is needed. Give datetime.date, or text as 2026-07-14."),
    (
        {"2026-07-06": [[1, 2], [3, 4]]},
        {},
        DibbleTypeError,
        "depths_mm of 2026-07-06 is an array of float64 with shape (2, 2): numbers in a row are needed. Give one axis.",
    ),
    (
        {"2026-07-06": "abc"},
        {},
        DibbleTypeError,
        "depths_mm is 'abc' (str): a number is needed. Give floats, integers or unsigned integers; missing values are NaN.",
    ),
]


@pytest.mark.parametrize(("depths", "options", "kind", "message"), BAD)
def test_bad_input_is_refused_in_words(depths: Any, options: dict[str, Any], kind: type[DibbleError], message: str) -> None:
    with pytest.raises(kind) as caught:
        trees(column(), depths, **options)
    assert str(caught.value) == message


def test_only_a_column_is_taken() -> None:
    wrong: Any = 3
    with pytest.raises(DibbleTypeError, match=r"^column is of class int: a Column is needed\.$"):
        trees(wrong, {"2026-07-06": [1.0]})
