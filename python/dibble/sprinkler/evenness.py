"""How even depths are: mean, CU, DU of the low quarter, adequacy.

Every formula takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import NamedTuple, overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["Uniformity", "adequacy_depth", "adequacy_share", "du_from_cu", "uniformity"]


class Uniformity(NamedTuple):
    """How even depths are. Both factors are None when the place that they look at stays dry."""

    mean_mm: float
    min_mm: float
    max_mm: float
    variation: float
    cu_pct: float
    du_pct: float
    scheduling_coefficient: float | None
    low_quarter_factor: float | None


def uniformity(depths_mm: Numbers) -> Uniformity:
    """Return the evenness of depths, each standing for the same ground.

    CU = 100 (1 - Σ|x - m| / (n m)). DU is 100 times the mean of the lowest quarter over the mean; when 4 does not divide n,
    the depth at the border counts with the fraction of it that belongs to the quarter.

    Parameters
    ----------
    depths_mm : array-like
        Depths, mm, 0 to 2000.

    Returns
    -------
    Uniformity
        mean_mm, min_mm, max_mm, variation (standard deviation over mean), cu_pct, du_pct, scheduling_coefficient (mean over
        smallest), low_quarter_factor (100 / DU: on the running time of even coverage planned by the mean alone, never on top
        of depths known tree by tree).

    Raises
    ------
    MissingError, OutOfRangeError, InconsistentError
        No depths, a negative or missing one, or all zero.

    References
    ----------
    Christiansen (1942), California Agricultural Experiment Station Bulletin 670; the example of ten cans (GATE 2023) has
    CU 90.67.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> even = sprinkler.uniformity([12, 15, 14, 18, 16, 14, 13, 17, 15, 16])
    >>> even.mean_mm, round(even.cu_pct, 2), round(even.du_pct, 2)
    (15.0, 90.67, 85.33)
    """
    return Uniformity(**_dibble.uniformity(depths_mm))


def adequacy_share(depths_mm: Numbers, needed_mm: Number) -> float:
    """Return the share of the ground that gets at least what is needed.

    Parameters
    ----------
    depths_mm : array-like
        Depths, mm, each standing for the same ground.
    needed_mm : float
        Depth needed, mm.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    MissingError, OutOfRangeError
        No depths, or a value out of range.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> sprinkler.adequacy_share([10, 14, 19, 25], 14)
    0.75
    """
    return _dibble.adequacy_share(depths_mm, needed_mm)


@overload
def adequacy_depth(cu_pct: Number, share: Number, *, on_error: OnError = ...) -> float: ...
@overload
def adequacy_depth(cu_pct: Numbers, share: Numbers, *, on_error: OnError = ...) -> Floats: ...
def adequacy_depth(cu_pct: Numbers, share: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the depth over the mean that a share of the ground gets at least, if depths are normally distributed.

    An estimate from CU alone: 1 - CV z, with CV = (1 - CU/100) / 0.798.

    Parameters
    ----------
    cu_pct : float or array-like
        CU, 0 to 100 %.
    share : float or array-like
        Share of the ground, 0 to 1.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Fraction of the mean, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    The normal law; Keller and Bliesner's cubic fit (from memory) differs by about one point at most for CU of 70 and above.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> round(sprinkler.adequacy_depth(82, 0.9), 4)  # nine tenths of the ground get at least 71 % of the mean
    0.7109
    """
    return _dibble.adequacy_depth(cu_pct=cu_pct, share=share, on_error=on_error)


@overload
def du_from_cu(cu_pct: Number, *, on_error: OnError = ...) -> float: ...
@overload
def du_from_cu(cu_pct: Numbers, *, on_error: OnError = ...) -> Floats: ...
def du_from_cu(cu_pct: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the DU of the low quarter that belongs to a CU if depths are normally distributed: 100 - 1.593 (100 - CU).

    An estimate; measured fields stray from it by ten points and more.

    Parameters
    ----------
    cu_pct : float or array-like
        CU, 0 to 100 %.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        %, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    The normal law.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> round(sprinkler.du_from_cu(89), 1)
    82.5
    """
    return _dibble.du_from_cu(cu_pct=cu_pct, on_error=on_error)
