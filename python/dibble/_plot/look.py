"""How drawings look: dark on white, one color that stays apart from it in grey, marks and dashes that tell lines apart."""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

from dibble.errors import MissingError, UnknownNameError
from dibble.units import convert

INK, WATER, PALE = "#1a1a1a", "#2b6a99", "#b9b9b9"

# What a drawing shows in SI, and in US customary units.
_UNITS = {
    "depth": ("mm", "in"),
    "flow": ("L/min", "gpm"),
    "head": ("m", "ft"),
    "length": ("m", "ft"),
    "pressure": ("kPa", "psi"),
    "rate": ("mm/h", "in/h"),
}


class Scale(NamedTuple):
    """What a number in SI is multiplied by, and the unit that it then has."""

    by: float
    unit: str


def pyplot() -> Any:
    """Import matplotlib, or say that it is missing."""
    try:
        import matplotlib.pyplot as plt
    except ImportError as error:
        message = "matplotlib is missing. Drawings need it: pip install dibble[plot]."
        raise MissingError(message) from error
    return plt


def scale(quantity: Literal["depth", "flow", "head", "length", "pressure", "rate"], units: str) -> Scale:
    """Give the unit in which a quantity is drawn."""
    if units not in ("si", "us"):
        message = f'units "{units}" is not known. Known are: si, us.'
        raise UnknownNameError(message, name="units", value=units)
    si, us = _UNITS[quantity]
    return Scale(1.0, si) if units == "si" else Scale(float(convert(1.0, si, us)), us)


def bare(*axes: Any) -> None:
    """Leave only the axes that carry numbers."""
    for each in axes:
        each.spines[["top", "right"]].set_visible(False)
