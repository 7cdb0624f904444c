"""Salt: how much water must pass the roots to carry it down.

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["applied_mm", "leaching_requirement", "soil_ec_ds_m"]


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


@overload
def applied_mm(*, needed_mm: Number, leaching: Number, on_error: OnError = ...) -> float: ...
@overload
def applied_mm(*, needed_mm: Numbers, leaching: Numbers, on_error: OnError = ...) -> Floats: ...
def applied_mm(*, needed_mm: Numbers, leaching: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the depth to apply so that what is needed is left after leaching: needed / (1 - LR).

    Parameters
    ----------
    needed_mm : float or array-like
        Depth to be left for the roots, mm, 0 to 2000.
    leaching : float or array-like
        Share that drains below them, 0 to below 1.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        mm, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or a share of 1.

    References
    ----------
    FAO-56 p. 180; ASCE Manual 71.

    Examples
    --------
    >>> from dibble import soil
    >>> soil.applied_mm(needed_mm=100, leaching=0.2)
    125.0
    """
    return _dibble.applied_mm(needed_mm=needed_mm, leaching=leaching, on_error=on_error)


@overload
def soil_ec_ds_m(*, water_ec_ds_m: Number, leaching: Number, on_error: OnError = ...) -> float: ...
@overload
def soil_ec_ds_m(*, water_ec_ds_m: Numbers, leaching: Numbers, on_error: OnError = ...) -> Floats: ...
def soil_ec_ds_m(*, water_ec_ds_m: Numbers, leaching: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the conductivity of the saturation extract that irrigation settles at: ECiw (1 + LF) / (5 LF).

    The paper's text rounds it to 1.5 ECiw at 15 to 20 % leaching; the equation gives 1.53 and 1.20.

    Parameters
    ----------
    water_ec_ds_m : float or array-like
        Conductivity of the irrigation water, dS/m, 0 to 60.
    leaching : float or array-like
        Share of the water that drains below the roots, above 0 to 1.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        dS/m, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or no leaching at all: salt would gather without end.

    References
    ----------
    FAO-56 Eq. 93.

    Examples
    --------
    >>> from dibble import soil
    >>> [round(ec, 2) for ec in soil.soil_ec_ds_m(water_ec_ds_m=1, leaching=[0.15, 0.20]).tolist()]
    [1.53, 1.2]
    """
    return _dibble.soil_ec_ds_m(water_ec_ds_m=water_ec_ds_m, leaching=leaching, on_error=on_error)
