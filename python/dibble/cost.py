"""What a pass costs, what a tree is worth, and how many trees a pass has to save to pay for itself.

Only what a pass itself costs is counted. Money has no unit: it is your own.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, TypedDict

from dibble import _dibble
from dibble._dibble import PassCost, PassWorth, TreeWorth
from dibble._gate import items
from dibble._types import Number
from dibble.errors import DibbleTypeError

__all__ = ["PassCost", "PassWorth", "TreeWorth", "ValueByAge", "pass_cost", "pass_worth", "tree_worth", "value_by_age"]


class ValueByAge(TypedDict):
    """What is lost with a tree of an age."""

    age_years: int
    present: float
    loss: float
    replant: bool


class _Tree(NamedTuple):
    price: Number
    years: Number
    interest: Number
    replant_cost: Number | None
    delay_years: Number
    care_saved: Number


def pass_cost(
    *,
    run_h: Number,
    moves: int = 0,
    move_min: Number = 0.0,
    people: Number = 1.0,
    watch_h: Number = 0.0,
    wage_h: Number = 0.0,
    fuel_per_h: Number = 0.0,
    fuel_price: Number = 0.0,
    water_l: Number = 0.0,
    water_price_m3: Number = 0.0,
    wear_h: Number = 0.0,
    area_m2: Number = 0.0,
    trees: Number = 0.0,
) -> PassCost:
    """Return what a pass costs, in all and by acre-inch, cubic meter, tree and hectare.

    Parameters
    ----------
    run_h : float
        Hours with the water on.
    moves, move_min, people : int, float, float
        Moves, minutes of each, and people that a move takes.
    watch_h, wage_h : float
        Hours of watching besides; what an hour is worth.
    fuel_per_h, fuel_price : float
        Liters an hour (kWh for a motor) and the price of one.
    water_l, water_price_m3 : float
        Water drawn, L, and the price of a cubic meter.
    wear_h : float
        Wear of pump, hose and head in an hour.
    area_m2, trees : float
        Ground and trees that are watered.

    Returns
    -------
    PassCost

    Raises
    ------
    OutOfRangeError, SeveralError
        A value out of range.

    Examples
    --------
    >>> from dibble import cost
    >>> a = cost.pass_cost(
    ...     run_h=8, moves=8, move_min=40, wage_h=18, fuel_per_h=0.73, fuel_price=3.5, water_l=102_790, trees=1240
    ... )
    >>> round(a.total, 2), round(a.labor, 2), round(a.per_acre_inch, 2), round(a.per_tree, 3)
    (116.44, 96.0, 116.44, 0.094)
    """
    return _dibble.pass_cost(
        run_h=run_h,
        moves=moves,
        move_min=move_min,
        people=people,
        watch_h=watch_h,
        wage_h=wage_h,
        fuel_per_h=fuel_per_h,
        fuel_price=fuel_price,
        water_l=water_l,
        water_price_m3=water_price_m3,
        wear_h=wear_h,
        area_m2=area_m2,
        trees=trees,
    )


def tree_worth(
    *,
    price: Number,
    years: Number,
    interest: Number,
    replant_cost: Number | None = None,
    delay_years: Number = 1.0,
    care_saved: Number = 0.0,
) -> TreeWorth:
    """Return what a tree is worth today and what is lost with it.

    Lost is the smaller of its present value less the care saved, and of a replacement's cost with the value of its delay.

    Parameters
    ----------
    price : float
        Price at sale, selling cost taken off.
    years : float
        Years until the sale, 0 to 200.
    interest : float
        A share a year, 0.06 for 6 %.
    replant_cost : float, optional
        Stock and planting of a replacement; None where none can be planted.
    delay_years : float
        Years by which a replacement is sold later.
    care_saved : float
        Present value of the care that a lost tree needs no more.

    Returns
    -------
    TreeWorth

    Raises
    ------
    OutOfRangeError, SeveralError
        A value out of range.

    Examples
    --------
    >>> from dibble import cost
    >>> a = cost.tree_worth(price=30, years=8, interest=0.06, replant_cost=2.20)
    >>> round(a.present, 2), round(a.replaced, 2), round(a.loss, 2)
    (18.82, 17.76, 3.27)
    """
    return _dibble.tree_worth(_Tree(price, years, interest, replant_cost, delay_years, care_saved))


def value_by_age(
    *, price: Number, years: Number, interest: Number, replant_cost: Number | None = None, care_saved: Number = 0.0
) -> list[ValueByAge]:
    """Return what is lost with a tree in each year from planting to sale; a replacement's delay grows by a year each year.

    Parameters
    ----------
    price, years, interest, replant_cost, care_saved
        As `tree_worth`, at planting.

    Returns
    -------
    list of dict
        `age_years`, `present`, `loss` and `replant` of each year.

    Raises
    ------
    OutOfRangeError, SeveralError
        A value out of range.

    Examples
    --------
    >>> from dibble import cost
    >>> [round(v["loss"], 2) for v in cost.value_by_age(price=30, years=2, interest=0.06, replant_cost=2)]
    [3.51, 5.11, 6.81]
    """
    return _dibble.value_by_age(_Tree(price, years, interest, replant_cost, 1.0, care_saved))


def pass_worth(*, cost: Number, trees: Number, loss: Number, saved: Sequence[Number] | None = None) -> PassWorth:
    """Return how many trees a pass has to save to pay for itself.

    Parameters
    ----------
    cost : float
        Cost of the pass.
    trees : float
        Trees that it waters.
    loss : float
        What is lost with one; see `tree_worth`.
    saved : sequence of two floats, optional
        Share of the trees that would die without the pass and live with it, low and high end.

    Returns
    -------
    PassWorth

    Raises
    ------
    OutOfRangeError, InconsistentError, SeveralError
        A value out of range; no trees, or trees that are worth nothing.

    Examples
    --------
    >>> from dibble import cost
    >>> a = cost.pass_worth(cost=116.44, trees=1240, loss=3.27)
    >>> round(a.break_even_trees, 1), round(100 * a.break_even_share, 1)
    (35.6, 2.9)
    """
    return _dibble.pass_worth(cost=cost, trees=trees, loss=loss, saved=None if saved is None else _ends("saved", saved))


def _ends(name: str, given: Sequence[Number]) -> tuple[Number, Number]:
    ends = items(name, given, "two numbers")
    if len(ends) != 2:
        message = f"{name} holds {len(ends)} numbers: two are needed, the low and the high end, as in (0.1, 0.2)."
        raise DibbleTypeError(message, name=name)
    return ends[0], ends[1]
