"""The trees: rows and spacing, species and age, and the three surfaces of a block (root disc, strip, alley)."""

from __future__ import annotations

from typing import NamedTuple, overload

from dibble import _dibble
from dibble._dibble import CropDays, Layout, Stand, Surfaces
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["CropDays", "Layout", "Species", "Stand", "Surfaces", "species", "trees_per_hectare"]


class Species(NamedTuple):
    """A species, with what its group says of a stand that was not measured."""

    name: str
    """English name."""
    latin: str
    """Latin name."""
    group: str
    """Group of species that are reckoned alike."""
    height_m: float
    """Height at planting of common transplants, m."""
    slow_years: float
    """Growing seasons of slow growth after planting."""
    slow_growth_m: float
    """Height growth in each of them, m."""
    growth_m: float
    """Height growth a season afterwards, m."""
    taper: float
    """Crown width as a share of height."""
    p: float
    """Depletion fraction at the onset of stress, before adjustment for the day."""
    root_growth_m: float
    """Deepening of the roots in a growing season, m."""
    root_limit_m: float
    """Depth at which roots stop deepening, m."""
    wet_feet: str
    """How the group bears waterlogged soil, in words."""
    source: str
    """Where the values come from."""


def species() -> list[Species]:
    """Return every species that is known, each with the defaults of its group.

    Returns
    -------
    list of Species
        In the order of the table, firs first.

    Examples
    --------
    >>> from dibble import stand
    >>> [s.name for s in stand.species() if s.group == "pine"]
    ['white pine', 'Scotch pine', 'red pine', 'radiata pine']
    """
    return [Species(row["name"], row["latin"], row["group"].pop("name"), **row["group"]) for row in _dibble.species_rows()]


@overload
def trees_per_hectare(*, row_spacing_m: Number, tree_spacing_m: Number, on_error: OnError = ...) -> float: ...
@overload
def trees_per_hectare(*, row_spacing_m: Numbers, tree_spacing_m: Numbers, on_error: OnError = ...) -> Floats: ...
def trees_per_hectare(*, row_spacing_m: Numbers, tree_spacing_m: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the trees per hectare of planted ground, lanes not taken off: 10000 / (row spacing x tree spacing).

    Parameters
    ----------
    row_spacing_m, tree_spacing_m : float or array-like
        Between rows, and between the trees of a row, m.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Trees per hectare, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A spacing out of range.

    Examples
    --------
    6 ft by 6 ft is 1,210 trees to the acre (common practice).

    >>> from dibble import stand
    >>> round(stand.trees_per_hectare(row_spacing_m=6 * 0.3048, tree_spacing_m=6 * 0.3048) * 0.40468564224)
    1210
    """
    return _dibble.trees_per_hectare(row_spacing_m=row_spacing_m, tree_spacing_m=tree_spacing_m, on_error=on_error)
