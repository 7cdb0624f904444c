"""Effective rain of a month, for climates and planning. Not for single days: the ledger does those.

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["effective_rain_of_month_mm"]


@overload
def effective_rain_of_month_mm(*, rain_mm: Number, use_mm: Number, refill_mm: Number, on_error: OnError = ...) -> float: ...
@overload
def effective_rain_of_month_mm(*, rain_mm: Numbers, use_mm: Numbers, refill_mm: Numbers, on_error: OnError = ...) -> Floats: ...
def effective_rain_of_month_mm(*, rain_mm: Numbers, use_mm: Numbers, refill_mm: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the rain of a month that the root zone can use. For climates and planning, not for single days.

    SF (0.70917 P^0.82416 - 0.11556) 10^(0.02426 ETc), SF = 0.531747 + 0.295164 D - 0.057697 D^2 + 0.003804 D^3, in inches;
    never below 0 nor above the month's rain or use.

    Parameters
    ----------
    rain_mm : float or array-like
        Rain of the month, mm, 0 to 2000.
    use_mm : float or array-like
        Crop evapotranspiration of the month, mm, 0 to 2000.
    refill_mm : float or array-like
        Net depth of one watering (D), mm, 0 to 2000.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        mm, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    USDA-SCS TR-21 (1970); NEH 623 ch. 2.

    Examples
    --------
    3 in of rain in a month that uses 6 in, watered 3 in at a time:

    >>> from dibble import soil
    >>> round(soil.effective_rain_of_month_mm(rain_mm=76.2, use_mm=152.4, refill_mm=76.2) / 25.4, 2)
    2.29
    """
    return _dibble.effective_rain_of_month_mm(rain_mm=rain_mm, use_mm=use_mm, refill_mm=refill_mm, on_error=on_error)
