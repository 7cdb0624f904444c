"""The types that public functions take and give."""

from __future__ import annotations

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


class Assumed(TypedDict):
    """Something that was taken for granted."""

    key: str
    what: str
    value: str
    unit: str
    source: str
    weight: Literal["little", "some", "much"]
    days: int | None
