"""Published ranges of water holding by texture class. Sources disagree, on clay most of all: that is what they are for."""

from __future__ import annotations

from typing import NamedTuple

from dibble import _dibble
from dibble._types import Number

__all__ = ["AvailableRange", "TypicalWater", "available_by_source", "fao56_table_19"]


class AvailableRange(NamedTuple):
    """Available water of a texture class as one source has it, m3/m3."""

    low: float
    high: float
    source: str


class TypicalWater(NamedTuple):
    """A row of FAO-56 Table 19: low and high of each."""

    field_capacity: tuple[float, float]
    """m3/m3."""
    wilting_point: tuple[float, float]
    """m3/m3."""
    available: tuple[float, float]
    """m3/m3."""
    readily_evaporable_mm: tuple[float, float]
    total_evaporable_mm: tuple[float, float]
    """Of a surface layer 0.10 m deep."""


def available_by_source(texture: str, *, organic_matter_pct: Number = 2.5) -> list[AvailableRange]:
    """Return the available water of a texture class as each source has it, to be shown side by side.

    Parameters
    ----------
    texture : str
        Texture class, "silt loam".
    organic_matter_pct : float
        Organic matter, %, 0 to 8; one of the sources goes by it.

    Returns
    -------
    list of AvailableRange
        low and high in m3/m3 of fine earth, source.

    Raises
    ------
    OutOfRangeError, UnknownNameError
        Organic matter out of range, or a class that is not known.

    References
    ----------
    Each answer names its own.

    Examples
    --------
    Sources disagree on clay by a factor of two:

    >>> from dibble import soil
    >>> clay = soil.available_by_source("clay")
    >>> round(min(row.low for row in clay), 2), round(max(row.high for row in clay), 2)
    (0.12, 0.25)
    """
    return [AvailableRange(*row) for row in _dibble.available_by_source(texture, organic_matter_pct)]


def fao56_table_19(texture: str) -> TypicalWater | None:
    """Return the row of FAO-56 Table 19 for a texture class.

    Parameters
    ----------
    texture : str
        Texture class, "silt loam".

    Returns
    -------
    TypicalWater or None
        None for sandy clay loam, clay loam and sandy clay, which the table does not have.

    Raises
    ------
    UnknownNameError
        A class that is not known.

    References
    ----------
    FAO-56 Table 19, p. 144; the evaporable water of sand and clay and the row of silt are from memory.

    Examples
    --------
    >>> from dibble import soil
    >>> row = soil.fao56_table_19("silt loam")
    >>> row.available if row else None
    (0.13, 0.19)
    """
    row = _dibble.fao56_table_19(texture)
    return None if row is None else TypicalWater(*row)
