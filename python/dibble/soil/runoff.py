"""Runoff from a day's rain by curve number, and water to carry salt down. For rain only: a sprinkler's rate is known.

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["curve_number", "leaching_requirement", "runoff_mm"]


@overload
def runoff_mm(rain_mm: Number, curve_number: Number, *, on_error: OnError = ...) -> float: ...
@overload
def runoff_mm(rain_mm: Numbers, curve_number: Numbers, *, on_error: OnError = ...) -> Floats: ...
def runoff_mm(rain_mm: Numbers, curve_number: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the runoff of a day's rain: (P - 0.2 S)^2 / (P + 0.8 S), S = 25400 / CN - 254.

    Parameters
    ----------
    rain_mm : float or array-like
        The day's rain, mm, 0 to 2000.
    curve_number : float or array-like
        Curve number, 1 to 100.
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
    USDA NRCS, NEH 630 ch. 10; TR-55 Table 2-1 prints 2.04 in from 4 in on curve number 80.

    Examples
    --------
    >>> from dibble import soil
    >>> round(soil.runoff_mm(4 * 25.4, 80) / 25.4, 2)
    2.04
    """
    return _dibble.runoff_mm(rain_mm=rain_mm, curve_number=curve_number, on_error=on_error)


@overload
def leaching_requirement(*, water_ec_ds_m: Number, soil_ec_ds_m: Number, on_error: OnError = ...) -> float: ...
@overload
def leaching_requirement(*, water_ec_ds_m: Numbers, soil_ec_ds_m: Numbers, on_error: OnError = ...) -> Floats: ...
def leaching_requirement(*, water_ec_ds_m: Numbers, soil_ec_ds_m: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the share of irrigation water that must drain below the roots to hold the salt down.

    Parameters
    ----------
    water_ec_ds_m : float or array-like
        Conductivity of the irrigation water, dS/m.
    soil_ec_ds_m : float or array-like
        Conductivity of the saturation extract that the plants bear, dS/m.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Fraction, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO Irrigation and Drainage Paper 29 (Ayers and Westcot 1985): ECw / (5 ECe - ECw).

    Examples
    --------
    >>> from dibble import soil
    >>> round(soil.leaching_requirement(water_ec_ds_m=1, soil_ec_ds_m=2), 3)
    0.111
    """
    return _dibble.leaching_requirement(water_ec_ds_m=water_ec_ds_m, soil_ec_ds_m=soil_ec_ds_m, on_error=on_error)


def curve_number(cover: str, condition: str, group: str) -> float:
    """Return the curve number of a cover for average wetness before the rain.

    Parameters
    ----------
    cover : {"woods_grass", "woods", "pasture", "meadow", "brush", "farmstead"}
        What grows on the ground; "woods_grass" is trees over grass, as in tree farms.
    condition : {"poor", "fair", "good"}
        How well the cover holds water.
    group : {"A", "B", "C", "D"}
        Hydrologic soil group: A takes water fast, D hardly.

    Returns
    -------
    float
        1 to 100.

    Raises
    ------
    UnknownNameError
        A word that is not known.

    References
    ----------
    USDA NRCS, TR-55 (1986), Table 2-2c.

    Examples
    --------
    >>> from dibble import soil
    >>> soil.curve_number("woods_grass", "good", "B")
    58.0
    """
    return _dibble.curve_number(cover, condition, group)
