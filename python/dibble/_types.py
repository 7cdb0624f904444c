"""The types that public functions take and give."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from os import PathLike
from typing import Any, Literal, Protocol, TypeAlias, TypedDict

import numpy as np
import numpy.typing as npt


class HasGeoInterface(Protocol):
    """A shape of another package."""

    @property
    def __geo_interface__(self) -> Any:
        """The shape as GeoJSON has it."""


Number: TypeAlias = float | np.floating | np.integer
"""A scalar: a Python float or int, or a NumPy one. Scalars in, `float` out."""

Ends: TypeAlias = Number | tuple[Number, Number]
"""A number that is known, or the low and the high end of one that is not."""

Numbers: TypeAlias = npt.ArrayLike
"""A scalar, or anything that NumPy reads as an array of floats or integers. An array in, an array out."""

Floats: TypeAlias = npt.NDArray[np.float64]
"""What comes back for arrays: float64, in the shape that the inputs have when broadcast together."""

Positions: TypeAlias = npt.ArrayLike | HasGeoInterface | Sequence[HasGeoInterface] | Mapping[str, Any]
"""Meters east and north in the last axis of an array; or points of another package by `__geo_interface__`, or GeoJSON."""

Shape: TypeAlias = npt.ArrayLike | HasGeoInterface | Mapping[str, Any]
"""Corners of an outline, `[n, 2]`; or a polygon of another package by `__geo_interface__`, or GeoJSON."""

OnError: TypeAlias = Literal["raise", "nan"]
"""What an infinite or out-of-range element of an array does: raise, or become NaN."""

Day: TypeAlias = dt.date | np.datetime64 | str
"""A calendar day: `datetime.date`, `numpy.datetime64` in days, or text as 2026-07-14. A time or a zone is refused."""

GapRule: TypeAlias = Literal["refuse", "zero", "mean"]
"""Missing rain and missing days: refuse, or fill the days and take rain as none or as the mean of the days around."""

Reference: TypeAlias = Literal["penman_monteith", "temperature", "given"]
"""Source of reference evapotranspiration: FAO-56 Eq. 6, Eq. 52, or the records' own."""

AlleyCover: TypeAlias = Literal["grass", "clover", "bare"]
"""What grows between the strips."""

LedgerForm: TypeAlias = Literal["layered", "fao56", "fao56 drain first"]
"""Water by layer; or FAO-56 Eq. 71-88 as printed, draining after the day's ET or before it."""

WinterRule: TypeAlias = Literal["refuse", "skip", "ignore"]
"""A winter inside the weather: refuse it, begin after it, or go through it as if the ground were open."""

Record: TypeAlias = Literal["all", "totals"] | Sequence[str]
"""Daily numbers to keep: all, none, or those named."""

TableKind: TypeAlias = Literal["pandas", "polars", "pyarrow", "dict"]
"""The kind of table to give back."""

UnitSystem: TypeAlias = Literal["si", "us"]
"""SI, or US customary units."""


Quantity: TypeAlias = Number | str
"""A number in the unit that the argument's name ends in, or text with a unit of its own: "8 in", "38 lb/acre"."""

Paths: TypeAlias = str | PathLike[str] | Sequence[str | PathLike[str]]
"""A file, or several."""

DetectionPolicy: TypeAlias = Literal["limit", "half", "zero", "leave out"]
"""The number that stands for a value below detection."""

AcidityTerm: TypeAlias = Literal["Adams-Evans", "Mehlich", "SMP", "measured", "none"]
"""How the acidity in a capacity by summation is found."""

LimeMethod: TypeAlias = Literal[
    "Mehlich buffer",
    "Adams-Evans buffer",
    "exchangeable acidity",
    "exchangeable acidity table",
    "exchangeable aluminum",
    "SMP buffer",
    "Mehlich 1976",
    "texture",
]
"""How a lime requirement is found: the lab's method."""

FinenessRule: TypeAlias = Literal["New York", "Ohio"]
"""How the fineness of a lime counts."""

Stage: TypeAlias = Literal["new planting", "established"]
"""Before planting, or among trees."""

ManureKind: TypeAlias = Literal["cow", "poultry", "swine", "horse", "sheep"]
"""The animal that a manure comes from."""

Needs: TypeAlias = Mapping[str, Quantity | tuple[Quantity | None, Quantity | None]]
"""By nutrient ("n_kg"): the least weight, or a pair of least and most, where None is no limit."""

Bags: TypeAlias = Literal["loose", "whole", "opened"]
"""By weight; in whole bags spread to the last; in whole bags of which the rest is kept."""


class Amount(TypedDict):
    """A quantity that was assumed, in the unit of its row: the value, its range, and what it is of."""

    value: float
    range: tuple[float, float] | None
    of: str


class Assumed(TypedDict):
    """Something that was taken for granted."""

    key: str
    what: str
    value: str
    unit: str
    amounts: list[Amount]
    source: str
    weight: Literal["little", "some", "much"]
    days: int | None


class Caution(TypedDict):
    """Something to mind: what, in words (SI), the number, and the limit that it passes."""

    what: dict[str, Any]
    text: str
    value: float
    limit: float
    unit: str


class ShortTree(TypedDict):
    """A tree that does not get its target; `tree` is its place in the list of trees."""

    tree: int
    name: str
    depth_mm: float
    missing_mm: float
    why: str


class Need(TypedDict):
    """What a depletion asks for."""

    due: bool
    net_mm: float
    gross_mm: list[float]


class ReadingOutcome(TypedDict):
    """A reading beside the ledger; shares are of the available water."""

    column: str
    date: str
    from_depth_m: float
    to_depth_m: float
    ledger_available: float
    ledger_sd: float
    reading_available: float
    reading_sd: float | None
    used_available: float
    errors_apart: float
    verdict: Literal["merged", "disagrees", "no_news", "outside"]
    text: str
