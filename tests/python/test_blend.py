"""The cheapest mix through Python: published mixes, and SciPy's HiGHS on seeded problems with all their limits."""

import math
import pickle
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from dibble import fertility
from dibble._types import Needs
from dibble.errors import InconsistentError, InfeasibleError, MissingError, OutOfRangeError, SeveralError, UnknownNameError
from dibble.fertility import Blend, Manure, Product

REFERENCE = tomllib.loads((Path(__file__).parents[1] / "reference/blend.toml").read_text())
KG_PER_LB = 0.45359237
LABELS = ["n", "p2o5", "k2o", "s", "mg", "ca", "zn", "b"]


@pytest.mark.parametrize("case", REFERENCE["blend"], ids=lambda case: case["id"])
def test_mixes_of_the_reference_file(case: Any) -> None:
    shed = [
        Product(
            name=name,
            n_pct=100 * n,
            p2o5_pct=100 * p,
            k2o_pct=100 * k,
            s_pct=100 * s,
            price_per_kg=price / KG_PER_LB,
            bag_kg=f"{case['bag_lb']} lb" if "bag_lb" in case else None,
        )
        for name, (n, p, k, s, price) in case["products"].items()
    ]
    upper = case["upper_lb"]
    needs = {name: (f"{lb} lb", f"{upper[name]} lb" if name in upper else None) for name, lb in case["lower_lb"].items()}
    mix = fertility.blend(needs, shed, bags="whole" if "bag_lb" in case else "loose")
    assert abs(mix.cost - case["cost"]) <= case["tolerance"], case["source"]
    for name, lb in case["amounts_lb"].items():
        assert abs(mix.amounts_kg[name] / KG_PER_LB - lb) <= case["tolerance"], f"{name} ({case['source']})"
    for name, price in case.get("shadow_price", {}).items():
        low, high = mix.shadow_prices[f"{name.lower()}_kg"]
        assert low == high
        assert low is not None
        assert low * KG_PER_LB == pytest.approx(price, abs=1e-8)
    if "lp_relaxation_cost" in case:
        assert abs(mix.cost_by_weight - case["lp_relaxation_cost"]) <= case["tolerance"]
        assert mix.cost_rounded_up is not None
        assert abs(mix.cost_rounded_up - case["rounded_up_lp_cost"]) <= case["tolerance"]


def test_random_mixes_of_the_reference_file() -> None:
    for row in REFERENCE["random"]:
        shed = [
            Product(
                name=f"p{i}",
                n_pct=v[0],
                p2o5_pct=v[1],
                k2o_pct=v[2],
                s_pct=v[3],
                salt_index=v[4],
                price_per_kg=v[5],
                bag_kg=v[6],
                on_hand_kg=v[7],
                max_kg=None if v[8] < 0 else v[8],
            )
            for i, v in enumerate(row["products"])
        ]
        pairs = zip(("n_kg", "p2o5_kg", "k2o_kg", "s_kg"), row["needs"], strict=True)
        needs = {name: (least, None if most < 0 else most) for name, (least, most) in pairs}
        salt = None if row["salt_cap"] < 0 else row["salt_cap"]
        if row["cost"] < 0:
            with pytest.raises(InfeasibleError):
                fertility.blend(needs, shed, bags=row["bags"], salt_cap_kg=salt)
            assert fertility.blend_conflict(needs, shed, bags=row["bags"], salt_cap_kg=salt) is not None
        else:
            assert fertility.blend(needs, shed, bags=row["bags"], salt_cap_kg=salt).cost == pytest.approx(row["cost"], rel=1e-7, abs=1e-7)


@dataclass
class Problem:
    """A mix: contents as fractions (products by nutrients), prices, limits."""

    content: np.ndarray[Any, Any]
    price: np.ndarray[Any, Any]
    least: np.ndarray[Any, Any]
    most: np.ndarray[Any, Any]
    salt: np.ndarray[Any, Any]
    salt_cap: float
    stock: np.ndarray[Any, Any]
    cap: np.ndarray[Any, Any]
    bag: np.ndarray[Any, Any]

    def dibble(self, bags: Literal["loose", "whole"] = "loose") -> Blend | None:
        products = [
            Product(
                name=f"p{i}",
                salt_index=100 * self.salt[i],
                price_per_kg=self.price[i],
                bag_kg=self.bag[i],
                on_hand_kg=self.stock[i],
                max_kg=None if np.isinf(self.cap[i]) else self.cap[i],
                **{f"{label}_pct": 100 * self.content[i, j] for j, label in enumerate(LABELS[: self.content.shape[1]])},
            )
            for i in range(len(self.price))
        ]
        needs: Any = {
            f"{label}_kg": (self.least[j], None if np.isinf(self.most[j]) else self.most[j])
            for j, label in enumerate(LABELS[: self.content.shape[1]])
        }
        try:
            return fertility.blend(needs, products, bags=bags, salt_cap_kg=None if np.isinf(self.salt_cap) else self.salt_cap)
        except InfeasibleError:
            return None

    def rows(self) -> tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]:
        """Rows A x <= b over the amounts spread."""
        finite = np.isfinite(self.most)
        rows = [-self.content.T, self.content.T[finite]]
        limits = [-self.least, self.most[finite]]
        if np.isfinite(self.salt_cap):
            rows.append(self.salt[None, :])
            limits.append(np.array([self.salt_cap]))
        return np.vstack(rows), np.concatenate(limits)

    def highs(self) -> float | None:
        """Cost by `linprog`: what is bought and what comes from the shed, for each product."""
        a, b = self.rows()
        n = len(self.price)
        both = np.hstack([a, a])
        caps = np.hstack([np.eye(n), np.eye(n)])[np.isfinite(self.cap)]
        found = linprog(
            np.concatenate([self.price, np.zeros(n)]),
            A_ub=np.vstack([both, caps]),
            b_ub=np.concatenate([b, self.cap[np.isfinite(self.cap)]]),
            bounds=[(0, None)] * n + [(0, s) for s in self.stock],
            method="highs",
        )
        assert found.status in (0, 2), found.message
        return float(found.fun) if found.status == 0 else None

    def highs_whole(self) -> float | None:
        """Cost by `milp`: bags bought, spread to the last, and what comes from the shed."""
        a, b = self.rows()
        n = len(self.price)
        both = np.hstack([a * self.bag, a])
        caps = np.hstack([np.diag(self.bag), np.eye(n)])[np.isfinite(self.cap)]
        found = milp(
            np.concatenate([self.price * self.bag, np.zeros(n)]),
            constraints=LinearConstraint(np.vstack([both, caps]), -np.inf, np.concatenate([b, self.cap[np.isfinite(self.cap)]])),
            bounds=Bounds(np.zeros(2 * n), np.concatenate([np.full(n, np.inf), self.stock])),
            integrality=np.concatenate([np.ones(n), np.zeros(n)]),
            options={"mip_rel_gap": 0.0},
        )
        assert found.status in (0, 2), found.message
        return float(found.fun) if found.status == 0 else None


def problems(count: int, seed: int, *, most_products: int = 15, most_nutrients: int = 8) -> Iterator[Problem]:
    """Give seeded problems with bounds, caps on use, stock and salt."""
    rng = np.random.default_rng(seed)
    for _ in range(count):
        products, nutrients = int(rng.integers(2, most_products + 1)), int(rng.integers(3, most_nutrients + 1))
        content = np.round(rng.uniform(0, 0.6, (products, nutrients)) * (rng.random((products, nutrients)) < 0.45), 3)
        content /= np.maximum(1.0, content.sum(axis=1, keepdims=True) / 0.95)
        least = np.round(rng.uniform(2, 60, nutrients) * (rng.random(nutrients) < 0.8), 1)
        most = np.where(rng.random(nutrients) < 0.4, np.round(least * rng.uniform(1.05, 2.0, nutrients) + 2, 1), np.inf)
        yield Problem(
            content=content,
            price=np.round(rng.uniform(0.2, 2.0, products), 2),
            least=least,
            most=most,
            salt=np.round(rng.uniform(0.0, 1.2, products), 3),
            salt_cap=float(rng.uniform(60, 400)) if rng.random() < 0.3 else math.inf,
            stock=np.where(rng.random(products) < 0.2, np.round(rng.uniform(5, 60, products)), 0.0),
            cap=np.where(rng.random(products) < 0.2, np.round(rng.uniform(20, 200, products)), np.inf),
            bag=rng.choice([20.0, 22.5, 25.0, 50.0], products),
        )


def test_costs_are_those_of_linprog_on_500_seeded_problems() -> None:
    solved = 0
    for number, problem in enumerate(problems(500, 20270301)):
        ours, theirs = problem.dibble(), problem.highs()
        assert (ours is None) == (theirs is None), f"problem {number}: {ours} beside {theirs}"
        if ours is not None and theirs is not None:
            assert abs(ours.cost - theirs) <= 1e-7 * max(1.0, abs(theirs)), f"problem {number}: {ours.cost} beside {theirs}"
            solved += 1
    assert 150 < solved < 450, f"{solved} of 500 can be mixed: both answers have to be common"


def test_whole_bags_cost_what_milp_finds_on_200_seeded_problems() -> None:
    solved = dearer = 0
    for number, problem in enumerate(problems(200, 20270302, most_products=8, most_nutrients=5)):
        ours, theirs = problem.dibble("whole"), problem.highs_whole()
        assert (ours is None) == (theirs is None), f"problem {number}: {ours} beside {theirs}"
        if ours is not None and theirs is not None:
            assert ours.proven
            assert abs(ours.cost - theirs) <= 1e-7 * max(1.0, abs(theirs)), f"problem {number}: {ours.cost} beside {theirs}"
            assert ours.cost_by_weight <= ours.cost * (1 + 1e-9) + 1e-9
            solved += 1
            dearer += ours.cost_rounded_up is not None and ours.cost_rounded_up > ours.cost + 0.01
    assert solved > 50
    assert dearer > 10, f"rounding each product up was dearer than the best bags {dearer} times"


def shed(**prices: float) -> list[Product]:
    return [Product(like=name.replace("_", " "), price_per_kg=price) for name, price in prices.items()]


@given(
    needs=st.lists(st.floats(0, 80), min_size=3, max_size=3),
    prices=st.lists(st.floats(0.1, 3), min_size=4, max_size=4),
    which=st.integers(0, 2),
    share=st.floats(0, 1),
    factor=st.floats(1, 5),
    area=st.floats(0.01, 100),
)
@settings(max_examples=60, deadline=None)
def test_laws_of_the_bill(needs: list[float], prices: list[float], which: int, share: float, factor: float, area: float) -> None:
    names = ["urea", "DAP", "MOP", "AS"]
    keys = ["n_kg", "p2o5_kg", "k2o_kg"]

    def cost(asked: list[float], paid: list[float]) -> float:
        rounded = [0.0 if kg < 1e-6 else kg for kg in asked]
        products = [Product(like=name, price_per_kg=price) for name, price in zip(names, paid, strict=True)]
        return fertility.blend(dict(zip(keys, rounded, strict=True)), products).cost

    whole = cost(needs, prices)
    slack = 1e-7 * max(1.0, whole)
    fewer = [kg * share if i == which else kg for i, kg in enumerate(needs)]
    assert cost(fewer, prices) <= whole + slack, "a smaller need never costs more"
    dearer = [price * factor if i == which else price for i, price in enumerate(prices)]
    assert cost(needs, dearer) >= whole - slack, "a higher price never lowers the cost"
    assert cost([kg * area for kg in needs], prices) == pytest.approx(whole * area, rel=1e-6, abs=1e-6 * area), "area scales the bill"


def test_manure_is_taken_off_the_need() -> None:
    released = fertility.manure_nitrogen_kg([Manure("cow", 12, 50)])
    mix = fertility.blend({"n_kg": (60, 65)}, shed(urea=0.7), credits_kg={"n_kg": released})
    assert mix.supplied[0]["at_least_kg"] == 60 - released == 42.5
    assert mix.supplied[0]["at_most_kg"] == 47.5


def test_a_mix_explains_itself_and_survives_pickling() -> None:
    mix = fertility.blend({"n_kg": 23, "k2o_kg": 30}, shed(urea=0.66, MOP=0.6))
    steps = str(mix.explain()).splitlines()
    assert steps[0] == "N: weight of each product times its content, with 46 % in urea 50.0 kg = 23.0 kg [guaranteed analysis]"
    assert str(mix).splitlines()[0] == "Spread 110 lb (50 kg) of urea: buy 110 lb (50 kg) for 33.00."
    assert "Each pound of K2O costs 0.45." in mix.sentences()
    assert "Each kilogram of K2O costs 1.00." in mix.sentences(units="si")
    again = pickle.loads(pickle.dumps(mix))
    assert again == mix == Blend.from_json(mix.to_json())
    assert str(again.explain()) == str(mix.explain())
    assert repr(mix).startswith(f"<Blend cost={mix.cost!r} proven=True salt_kg=")


def test_a_conflict_names_the_smallest_set() -> None:
    needs: Needs = {"n_kg": (20, 22), "p2o5_kg": 60, "k2o_kg": 10}
    with pytest.raises(InfeasibleError, match=r"keeps N at most 22\.000 kg, P2O5 at least 60\.000 kg together") as caught:
        fertility.blend(needs, shed(DAP=0.9, MOP=0.6))
    assert "Ease one of these limits, or add a product." in str(caught.value)
    conflict = fertility.blend_conflict(needs, shed(DAP=0.9, MOP=0.6))
    assert conflict is not None
    assert {row["limit"]["nutrient"] for row in conflict.limits} == {"N", "P2O5"}
    assert conflict.smallest
    assert fertility.blend_conflict(needs, shed(DAP=0.9, MOP=0.6, TSP=0.9)) is None


def test_bad_products_and_needs_are_refused_by_name() -> None:
    with pytest.raises(InconsistentError, match=r"the grade 60-50-0 adds to 110.0000 %"):
        Product(name="too rich", n_pct=60, p2o5_pct=50)
    with pytest.raises(OutOfRangeError, match="price_per_kg"):
        Product(like="urea", price_per_kg=-0.5)
    with pytest.raises(UnknownNameError, match=r'product "ureaa" is not known. Did you mean "urea"'):
        Product(like="ureaa")
    with pytest.raises(UnknownNameError, match='Did you mean "price_per_kg"'):
        Product(like="urea", price_kg=0.5)
    with pytest.raises(UnknownNameError, match='nutrient on a label "p" is not known'):
        fertility.blend({"p_kg": 10}, shed(DAP=0.9))
    with pytest.raises(MissingError, match="price"):
        fertility.blend({"n_kg": 10}, [Product(like="urea")])
    with pytest.raises(SeveralError) as caught:
        fertility.blend({"n_kg": (10, 5)}, [Product(like="urea")], salt_cap_kg=-1)
    assert len(caught.value.problems) == 3
    with pytest.raises(TypeError, match="products holds a str: Product is needed"):
        fertility.blend({"n_kg": 10}, ["urea"])  # type: ignore[list-item]
    with pytest.raises(UnknownNameError, match='unit "stone"'):
        fertility.blend({"n_kg": "3 stone"}, shed(urea=0.7))


def test_products_are_read_from_a_file_with_every_fault(tmp_path: Path) -> None:
    file = tmp_path / "shed.toml"
    file.write_text('[[product]]\nlike = "DAP"\nbag = "50 lb"\nprice_per_bag = 30.0\n\n[[product]]\nname = "x"\nn_pct = 120\n')
    with pytest.raises(OutOfRangeError, match=r"shed\.toml, line 6"):
        fertility.read_products(file)
    file.write_text('[[product]]\nlike = "DAP"\nbag = "50 lb"\nprice_per_bag = 30.0\n')
    (dap,) = fertility.read_products(file)
    assert dap.bag_kg == pytest.approx(22.6796185)
    assert eval(repr(dap), {"Product": Product}) == dap


def test_a_mix_that_was_changed_is_refused() -> None:
    made = fertility.blend({"n_kg": 23}, [Product(like="urea", price_per_kg=0.66)])
    with pytest.raises(InconsistentError, match="does not belong to its request"):
        Blend.from_json(made.to_json().replace('"cost":33.0', '"cost":3.0'))
    _, (data,) = made.__reduce__()
    assert b'"cost":33.0' in data
    with pytest.raises(InconsistentError, match="does not belong to its request"):
        Blend._from_bytes(data.replace(b'"cost":33.0', b'"cost":3.0'))
    assert Blend.from_json(made.to_json()) == made


def test_odd_arguments_are_refused_in_words() -> None:
    shed: Any = [Product(like="urea", price_per_kg=0.66)]
    odd: Any = {"n_kg": (1,)}
    with pytest.raises(InconsistentError, match=r"the need of N has 1 numbers\. Give the least"):
        fertility.blend(odd, shed)
    for limit in (-1, 2.5, "many"):
        odd = limit
        with pytest.raises(InconsistentError, match="work_limit is"):
            fertility.blend({"n_kg": 1}, shed, work_limit=odd)
    odd = {1: 2}
    with pytest.raises(InconsistentError, match="1 is no name"):
        fertility.blend(odd, shed)
    with pytest.raises(InconsistentError, match="1 is no name"):
        fertility.SoilTest(measured=odd)
