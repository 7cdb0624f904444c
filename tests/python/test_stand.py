"""The stand: what is given, what is estimated, what is refused, and where each tree stands."""

import pickle
from typing import Any

import numpy as np
import pytest

from dibble import stand
from dibble.errors import DibbleError, DibbleTypeError, InconsistentError, OutOfRangeError, SeveralError, UnknownNameError
from dibble.stand import CropDays, Layout, Stand, Surfaces
from dibble.weather import Site, Weather

FIR = Stand(species="Fraser fir", planted="2024-05-01", row_spacing_m=1.8, tree_spacing_m=1.8)
LAYOUT = Layout(length_m=34, width_m=34, row_spacing_m=1.5, tree_spacing_m=1.5, headland_m=2, lane_every=5, lane_width_m=3)
CROP = CropDays(kcb=[0.3, 0.31], kc_max=1.2, exposed=[0.8, 0.7], root_depth_m=0.3, p=0.5)


@pytest.mark.parametrize("thing", [FIR, LAYOUT, CROP])
def test_records_survive_json_and_pickle(thing: Any) -> None:
    assert pickle.loads(pickle.dumps(thing)) == thing == type(thing).from_json(thing.to_json())


@pytest.mark.parametrize("thing", [FIR, LAYOUT])
def test_the_repr_makes_the_same_again(thing: Any) -> None:
    assert eval(repr(thing), {"Stand": Stand, "Layout": Layout}) == thing


def test_trees_per_hectare_broadcasts() -> None:
    # 43,560 / (a b) trees to the acre: 6 x 6 ft 1,210, 7 x 8 ft 778 (common practice)
    per_acre = 0.404_685_642_24 * stand.trees_per_hectare(row_spacing_m=0.3048 * np.array([6, 7]), tree_spacing_m=0.3048 * np.array([6, 8]))
    np.testing.assert_allclose(per_acre, [1210, 778], atol=0.5)
    with pytest.raises(OutOfRangeError, match=r"^tree_spacing_m is 0 m: "):
        stand.trees_per_hectare(row_spacing_m=1.8, tree_spacing_m=0)


def test_positions_are_those_of_the_table_and_read_only() -> None:
    assert LAYOUT.positions_m.shape == (LAYOUT.trees, 2)
    table = LAYOUT.to_table("dict")
    np.testing.assert_array_equal(LAYOUT.positions_m, np.column_stack([table["x_m"], table["y_m"]]))
    assert (table["row"][-1], table["tree"][-1]) == (LAYOUT.row_count, LAYOUT.trees_in_row)
    with pytest.raises(ValueError, match="read-only"):
        LAYOUT.positions_m[0, 0] = 1.0


def test_what_is_measured_replaces_what_is_estimated() -> None:
    measured = Stand(species="Abies fraseri", planted="2024-05-01", row_spacing_m=1.8, tree_spacing_m=1.8, root_depth_m=0.25, height_m=0.6)
    assert (measured.root_depth_m("2026-07-15"), measured.height_m("2026-07-15")) == (0.25, 0.6)
    keys = {row["key"] for row in FIR.assumptions("2026-07-15")} - {row["key"] for row in measured.assumptions("2026-07-15")}
    assert keys == {"root_depth"}


def test_a_strip_fits_between_narrow_rows_unless_it_is_given() -> None:
    narrow: dict[str, Any] = {"species": "white pine", "planted": "2024-05-01", "row_spacing_m": 1.0, "tree_spacing_m": 1.0}
    assert Stand(**narrow).to_dict()["strip_width_m"] == 1.0
    with pytest.raises(InconsistentError) as caught:
        Stand(**narrow, strip_width_m=1.2)
    assert str(caught.value) == (
        "strip_width_m is 1.2 m where rows stand 1 m apart. "
        "The weed-free strip runs along one row and cannot be wider than the row spacing."
    )


def test_every_problem_of_a_stand_is_told_at_once() -> None:
    with pytest.raises(SeveralError) as caught:
        Stand(species="Frasier fir", planted="2024-05-01", row_spacing_m=1.8, tree_spacing_m=0, mulch_cover=35)
    assert [type(problem) for problem in caught.value.problems] == [UnknownNameError, OutOfRangeError, OutOfRangeError]
    assert str(caught.value.problems[0]).startswith('species "Frasier fir" is not known. Did you mean "Fraser fir"')


def test_a_bare_year_and_an_unknown_alley_are_refused() -> None:
    given: dict[str, Any] = {"species": "white pine", "row_spacing_m": 1.8, "tree_spacing_m": 1.8}
    with pytest.raises(DibbleTypeError) as kind:
        Stand(**given, planted=2024)  # type: ignore[arg-type]
    assert str(kind.value) == "planted is 2024 (int): a day is needed. Give datetime.date, or text as 2026-07-14."
    with pytest.raises(UnknownNameError) as name:
        Stand(**given, planted="2024-05-01", alley="gras")  # type: ignore[arg-type]
    assert str(name.value) == 'alley "gras" is not known. Did you mean "grass"? Known: "grass", "clover", "bare".'


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"exposed": [0.8, 0.7, 0.6]}, "exposed has 3 days where kcb has 2. Give every series the same number of days, at least one."),
        ({"p": [0.5, np.nan]}, "p[1] is missing. Crop series may not have gaps."),
        (
            {"root_depth_m": [0.3, 0.2]},
            "root_depth_m shrinks after day 0. Roots deepen or stay; start a new season for a new stand.",
        ),
    ],
)
def test_faulty_crop_days_are_named(changed: dict[str, Any], message: str) -> None:
    given: dict[str, Any] = {"kcb": [0.3, 0.31], "kc_max": 1.2, "exposed": 0.8, "root_depth_m": 0.3, "p": 0.5}
    with pytest.raises(DibbleError) as caught:
        CropDays(**{**given, **changed})
    assert str(caught.value) == message


def test_surfaces_share_the_ground_and_their_arrays_are_read_only() -> None:
    days = {"date": ["2026-07-01", "2026-07-02"], "tmin_c": [12.0, 14.5], "tmax_c": [26.0, 29.0], "rain_mm": [0.0, 6.4]}
    surfaces = Surfaces.over(FIR, Weather.from_table(days).complete(Site(45.2, 290)))
    assert sum(surfaces.shares) == pytest.approx(1, abs=1e-15)
    assert surfaces.tree.root_depth_m[0] == FIR.root_depth_m("2026-07-01")
    with pytest.raises(ValueError, match="read-only"):
        surfaces.alley.kcb[0] = 1.0
