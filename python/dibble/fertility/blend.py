"""Products, and the cheapest mix of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from os import PathLike

from dibble import _dibble, _gate, _long
from dibble._dibble import Blend, BlendConflict, Product
from dibble._types import Bags, Needs, Number, Quantity

__all__ = ["blend", "blend_conflict", "products", "read_products"]


def products() -> list[Product]:
    """Return the shipped materials: generic, without price. `Product(like="urea", price_per_kg=0.7)` starts from one.

    Returns
    -------
    list of Product
        With their sources.

    Examples
    --------
    >>> from dibble import fertility
    >>> [(p.name, p.grade) for p in fertility.products() if "phosphate" in p.name]
    [('monoammonium phosphate', '11-52-0'), ('diammonium phosphate', '18-46-0'), ('triple superphosphate', '0-46-0')]
    """
    return _dibble.shipped_products()


def read_products(path: str | PathLike[str]) -> list[Product]:
    r"""Return the products of a TOML file, `[[product]]` after `[[product]]`.

    Keys are the arguments of `Product`; weights may be written with a unit (`bag = "50 lb"`, `on_hand`, `max`), and
    `like = "urea"` starts from a shipped material.

    Parameters
    ----------
    path : path-like
        The file.

    Returns
    -------
    list of Product
        In the order of the file.

    Raises
    ------
    FileError, UnreadableError, SeveralError
        A file that cannot be read, or all that is wrong with it, each with its line.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> from dibble import fertility
    >>> file = pathlib.Path(tempfile.mkdtemp()) / "shed.toml"
    >>> _ = file.write_text('[[product]]\nlike = "urea"\nname = "Urea, 50 lb"\nbag = "50 lb"\nprice_per_bag = 24.0\n')
    >>> [p.name for p in fertility.read_products(file)]
    ['Urea, 50 lb']
    """
    return _dibble.read_products(path)


def blend(
    needs: Needs,
    products: Sequence[Product],
    *,
    bags: Bags = "loose",
    oversupply: Number | None = None,
    undersupply: Number | None = None,
    salt_cap_kg: Quantity | None = None,
    credits_kg: Mapping[str, Quantity] | None = None,
    work_limit: int | None = None,
    progress: _long.Progress = None,
) -> Blend:
    """Return the cheapest mix that meets the needs, with what each of them costs.

    Of mixes that cost the same the lightest is taken, and of those the one with the most of the product whose name comes
    first; `ties` lists what could vary. Every solution is checked against the request.

    Parameters
    ----------
    needs : mapping
        By nutrient as labels name it ("n_kg", "p2o5_kg", "k2o_kg", "mg_kg", ...): the least weight, or a pair of least and
        most, where None is no limit. kg, or text with its unit, "60 lb".
    products : sequence of Product
        With prices, bags and stock.
    bags : {"loose", "whole", "opened"}
        By weight; in whole bags that are spread to the last; in whole bags of which the rest is kept.
    oversupply : float, optional
        Share by which a need may be exceeded, 0.10 for 10 %, where it names no upper limit.
    undersupply : float, optional
        Share by which a mix in bags may fall short of a need, 0.02 for 2 %, so that no bag is bought for a crumb; it says by
        how much each need is missed. None if left out.
    salt_cap_kg : float or str, optional
        Most salt, kg of sodium nitrate with the same effect.
    credits_kg : mapping, optional
        What comes from elsewhere (manure, compost), by nutrient; taken off the needs.
    work_limit : int, optional
        Most branch-and-bound nodes of a mix in bags; the best mix found by then is given, with a bound.
    progress : bool or callable, optional
        True draws a bar (needs tqdm), a function is called with (done, total), for a mix in bags; Ctrl-C stops it.

    Returns
    -------
    Blend
        `cost`, `amounts_kg`, `shadow_prices`; `print` it, or `sentences()`.

    Raises
    ------
    InfeasibleError
        No mix keeps all limits: names the smallest set that conflicts and how far each could be kept.
    OutOfRangeError, MissingError, InconsistentError, UnknownNameError, SeveralError
        A value out of range, a product without price, all problems at once.

    Examples
    --------
    The last pound of potash costs what its share of muriate does:

    >>> from dibble import fertility
    >>> from dibble.fertility import Product
    >>> shed = [Product(like="urea", price_per_kg=0.66), Product(like="MOP", price_per_kg=0.6)]
    >>> mix = fertility.blend({"n_kg": 23, "k2o_kg": (30, 40)}, shed)
    >>> {name: round(kg, 1) for name, kg in mix.amounts_kg.items()}, round(mix.cost, 2)
    ({'urea': 50.0, 'potassium chloride': 50.0}, 63.0)
    >>> [round(price, 6) for price in mix.shadow_prices["k2o_kg"]]
    [1.0, 1.0]
    """
    with _long.reporting(progress, unit="node") as report:
        return _dibble.blend(
            _gate.mapping("needs", needs, "weights by nutrient"),
            _gate.items("products", products, "Product"),
            bags=bags,
            oversupply=oversupply,
            undersupply=undersupply,
            salt_cap_kg=salt_cap_kg,
            credits_kg=None if credits_kg is None else _gate.mapping("credits_kg", credits_kg, "weights by nutrient"),
            work_limit=work_limit,
            progress=report,
        )


def blend_conflict(
    needs: Needs,
    products: Sequence[Product],
    *,
    bags: Bags = "loose",
    oversupply: Number | None = None,
    undersupply: Number | None = None,
    salt_cap_kg: Quantity | None = None,
    credits_kg: Mapping[str, Quantity] | None = None,
) -> BlendConflict | None:
    """Return why no mix keeps all limits: the smallest set that conflicts; None where there is a mix.

    Parameters
    ----------
    needs, products, bags, oversupply, undersupply, salt_cap_kg, credits_kg
        As for `blend`.

    Returns
    -------
    BlendConflict or None
        The limits, and the nearest that a mix comes to each.

    Raises
    ------
    OutOfRangeError, MissingError, InconsistentError, UnknownNameError, SeveralError
        As `blend`, without the conflict.

    Examples
    --------
    >>> from dibble import fertility
    >>> from dibble.fertility import Product
    >>> conflict = fertility.blend_conflict({"k2o_kg": 30}, [Product(like="urea", price_per_kg=0.66)])
    >>> conflict.limits[0]["limit"] if conflict else None
    {'limit': 'at_least', 'nutrient': 'K2O'}
    """
    return _dibble.blend_conflict(
        _gate.mapping("needs", needs, "weights by nutrient"),
        _gate.items("products", products, "Product"),
        bags=bags,
        oversupply=oversupply,
        undersupply=undersupply,
        salt_cap_kg=salt_cap_kg,
        credits_kg=None if credits_kg is None else _gate.mapping("credits_kg", credits_kg, "weights by nutrient"),
    )
