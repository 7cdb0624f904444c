"""The shovel test: how much of its available water a soil holds, by how it feels and looks in the hand."""

from __future__ import annotations

from typing import NamedTuple

from dibble import _dibble
from dibble._dibble import Soil
from dibble._types import Number

__all__ = ["FeelDepletion", "feel_depletion", "feel_looks"]


class FeelDepletion(NamedTuple):
    """Water missing below field capacity, as one hole tells it."""

    low_mm: float
    """At the band's wet end."""
    middle_mm: float
    """In the middle of the band."""
    high_mm: float
    """At the band's dry end."""
    deviation_mm: float
    """Standard deviation of one hole, without the reader's own bias."""


def feel_depletion(soil: Soil, band: str, depth_m: Number) -> FeelDepletion:
    """Return the depletion that a band of the feel test means in a depth of soil.

    Parameters
    ----------
    soil : Soil
        The soil.
    band : str
        "dry", "slightly moist", "moist", "wet", "full", or the percent of available water left: "25-50".
    depth_m : float
        Depth of the layer that was felt, m, 0 to 10.

    Returns
    -------
    FeelDepletion
        low_mm, middle_mm, high_mm and deviation_mm.

    Raises
    ------
    UnknownNameError, OutOfRangeError
        A band that is not known, or a depth out of range.

    References
    ----------
    USDA-NRCS, Estimating Soil Moisture by Feel and Appearance, Program Aid 1619 (1998), for bands and groups.

    Examples
    --------
    >>> from dibble.soil import Soil, feel_depletion
    >>> clay_loam = Soil.from_particles(sand_pct=30, clay_pct=35, organic_matter_pct=2.5)  # holds 28.0 mm in 0.2 m
    >>> [round(mm, 1) for mm in feel_depletion(clay_loam, "moist", 0.2)]
    [7.0, 10.5, 14.0, 2.0]
    """
    return FeelDepletion(*_dibble.feel_depletion(soil, band, depth_m))


def feel_looks(band: str, texture: str) -> str:
    """Return what hand and eye find in a band of the feel test, for soils of a texture class.

    Parameters
    ----------
    band : str
        As for `feel_depletion`.
    texture : str
        Texture class, "silt loam".

    Returns
    -------
    str
        A sentence without a full stop.

    Raises
    ------
    UnknownNameError
        A band or a texture class that is not known.

    References
    ----------
    USDA-NRCS Program Aid 1619 (1998); the words are ours.

    Examples
    --------
    >>> from dibble import soil
    >>> soil.feel_looks("moist", "silt loam")
    'a pliable, darker ball; a trace of water on the hand; a weak ribbon'
    """
    return _dibble.feel_looks(band, texture)
