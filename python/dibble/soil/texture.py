"""The USDA texture triangle."""

from __future__ import annotations

from typing import Any, overload

import numpy as np
import numpy.typing as npt

from dibble import _dibble
from dibble._types import Number, Numbers, OnError

__all__ = ["texture_class"]


@overload
def texture_class(sand_pct: Number, clay_pct: Number, *, on_error: OnError = ...) -> str: ...
@overload
def texture_class(sand_pct: Numbers, clay_pct: Numbers, *, on_error: OnError = ...) -> npt.NDArray[np.str_]: ...
def texture_class(sand_pct: Numbers, clay_pct: Numbers, *, on_error: OnError = "raise") -> Any:
    """Return the USDA texture class of a fine earth (below 2 mm), silt being what sand and clay leave.

    Parameters
    ----------
    sand_pct, clay_pct : float or array-like
        Percent by mass of the fine earth. NaN in an array means missing.
    on_error : {"raise", "nan"}
        For elements of an array that are out of range: raise, or leave their class empty.

    Returns
    -------
    str or ndarray of str
        In the broadcast shape; "" where an element is missing.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A percentage outside 0 to 100, or sand and clay that add to more than 100.

    References
    ----------
    USDA Soil Survey Manual, ch. 3.

    Examples
    --------
    >>> from dibble import soil
    >>> soil.texture_class(40, 20)
    'loam'
    >>> soil.texture_class([40, 20, 92], [20, 55, 3]).tolist()
    ['loam', 'clay', 'sand']
    """
    number = _dibble.texture_number(sand_pct, clay_pct, on_error=on_error)
    if isinstance(number, float):
        return _dibble.TEXTURES[int(number)]
    names = np.array([*_dibble.TEXTURES, ""])
    return names[np.where(np.isnan(number), len(_dibble.TEXTURES), number).astype(np.intp)]
