"""By hand and by spreader: grams, ounces, level scoops, cups, bags, and what a spreader test says."""

from __future__ import annotations

from typing import NamedTuple, overload

from dibble import _dibble
from dibble._dibble import HandAmount, SpreaderReading
from dibble._types import Floats, Number, Numbers, OnError, Quantity

__all__ = ["Liquid", "by_hand", "liquid_per_tree", "product_for", "spreader"]


class Liquid(NamedTuple):
    """Liquid for one tree."""

    liters: float
    seconds: float
    """At the nozzle."""


@overload
def product_for(*, nutrient_g: Number, content_pct: Number, on_error: OnError = ...) -> float: ...
@overload
def product_for(*, nutrient_g: Numbers, content_pct: Numbers, on_error: OnError = ...) -> Floats: ...
def product_for(*, nutrient_g: Numbers, content_pct: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the product that carries a weight of a nutrient: the nutrient over its content.

    Parameters
    ----------
    nutrient_g : float or array-like
        Nutrient, g.
    content_pct : float or array-like
        Its content in the product, %, above 0 to 100.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        g, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A weight out of range, a product with none of the nutrient or more than all.

    Examples
    --------
    >>> from dibble import fertility
    >>> round(fertility.product_for(nutrient_g=22.5, content_pct=46), 1)
    48.9
    """
    return _dibble.product_for(nutrient_g=nutrient_g, content_pct=content_pct, on_error=on_error)


def by_hand(
    *,
    product_g: Quantity,
    density_kg_m3: Quantity,
    scoop_ml: Quantity | None = None,
    bag_kg: Quantity | None = None,
    trees: int | None = None,
) -> HandAmount:
    """Return an amount for a tree as ounces, volume, cups, level scoops, trees to a bag and bags.

    A cup is not a weight: granules run from 13 to 23 oz in a pint, so the product's density is needed.

    Parameters
    ----------
    product_g : float or str
        Product for one tree, g, or text, "2 oz".
    density_kg_m3 : float or str
        Loose bulk density of the product, kg/m3, or text, "46 lb/ft3".
    scoop_ml : float or str, optional
        Content of your level scoop, mL.
    bag_kg : float or str, optional
        Weight of a bag, kg, or text, "50 lb".
    trees : int, optional
        Trees to be fed.

    Returns
    -------
    HandAmount
        `words()` says it in a sentence.

    Raises
    ------
    OutOfRangeError, MissingError
        A value out of range, nothing to give.

    Examples
    --------
    48.9 g of urea at 46 lb/ft3 are 1.72 oz or 0.28 cup, and 1,000 trees take three 50-lb bags:

    >>> from dibble import fertility
    >>> amount = fertility.by_hand(product_g=48.9, density_kg_m3="46 lb/ft3", bag_kg="50 lb", trees=1000)
    >>> round(amount.product_oz, 2), round(amount.cups, 2), amount.trees_per_bag, amount.bags
    (1.72, 0.28, 463, 3)
    >>> amount.words()
    '1.7 oz (49 g) per tree, 0.28 level cups; a bag feeds 463 trees; 3 bags in all'
    """
    return _dibble.by_hand(product_g=product_g, density_kg_m3=density_kg_m3, scoop_ml=scoop_ml, bag_kg=bag_kg, trees=trees)


def spreader(*, rate_kg_ha: Quantity, swath_m: Quantity, distance_m: Quantity, caught_kg: Quantity) -> SpreaderReading:
    """Return the rate of a spreader from a catch test: caught weight over swath times distance.

    Parameters
    ----------
    rate_kg_ha : float or str
        Rate wanted on the ground that is spread, kg/ha, or text, "200 lb/acre".
    swath_m, distance_m : float or str
        Width that it spreads, and distance walked or driven, m, or text, "100 ft".
    caught_kg : float or str
        What was caught, kg, or text, "2.5 lb".

    Returns
    -------
    SpreaderReading
        `spreads_kg_ha`, and the factor `open_by`.

    Raises
    ------
    OutOfRangeError, MissingError
        A value out of range, nothing caught, no rate wanted.

    Examples
    --------
    >>> from dibble import fertility
    >>> read = fertility.spreader(rate_kg_ha=100, swath_m=2, distance_m=50, caught_kg=1.25)
    >>> read.should_catch_kg, read.spreads_kg_ha, read.open_by
    (1.0, 125.0, 0.8)
    """
    return _dibble.spreader(rate_kg_ha=rate_kg_ha, swath_m=swath_m, distance_m=distance_m, caught_kg=caught_kg)


def liquid_per_tree(*, volume_l_ha: Quantity, trees_per_ha: Quantity, flow_l_min: Quantity) -> Liquid:
    """Return the liters for a tree and the seconds at the nozzle.

    Parameters
    ----------
    volume_l_ha : float or str
        Volume for a hectare, L/ha, or text, "100 gal/acre".
    trees_per_ha : float or str
        Trees in a hectare, or text, "1210 trees/acre".
    flow_l_min : float or str
        Flow of the nozzle, L/min, or text, "0.3 gpm".

    Returns
    -------
    Liquid
        `liters` and `seconds`.

    Raises
    ------
    OutOfRangeError, MissingError
        A value out of range, no flow.

    Examples
    --------
    >>> from dibble import fertility
    >>> liquid = fertility.liquid_per_tree(volume_l_ha="100 gal/acre", trees_per_ha="1210 trees/acre", flow_l_min="0.3 gpm")
    >>> round(liquid.liters, 2), round(liquid.seconds)
    (0.31, 17)
    """
    return Liquid(*_dibble.liquid_per_tree(volume_l_ha=volume_l_ha, trees_per_ha=trees_per_ha, flow_l_min=flow_l_min))
