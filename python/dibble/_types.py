"""The types that public functions take and give."""

from __future__ import annotations

import datetime as dt
from typing import Literal, TypeAlias, TypedDict

import numpy as np
import numpy.typing as npt

Number: TypeAlias = float | np.floating | np.integer
"""A scalar: a Python float or int, or a NumPy one. Scalars in, `float` out."""

Numbers: TypeAlias = npt.ArrayLike
"""A scalar, or anything that NumPy reads as an array of floats or integers. An array in, an array out."""

Floats: TypeAlias = npt.NDArray[np.float64]
"""What comes back for arrays: float64, in the shape that the inputs have when broadcast together."""

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

TableKind: TypeAlias = Literal["pandas", "polars", "pyarrow", "dict"]
"""The kind of table to give back."""

UnitSystem: TypeAlias = Literal["si", "us"]
"""SI, or US customary units."""


class Assumed(TypedDict):
    """Something that was taken for granted."""

    key: str
    what: str
    value: str
    unit: str
    source: str
    weight: Literal["little", "some", "much"]
    days: int | None
