"""Stands unlike the table's: thinner, of closing leaves, of two covers, in a single row (FAO-56 chapters 9 and 10).

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = ["adjusted_for_sparse_cover", "stomatal_factor", "two_cover_kc", "windbreak_kc"]


@overload
def adjusted_for_sparse_cover(*, kc: Number, cover: Number, dense_cover: Number, on_error: OnError = ...) -> float: ...
@overload
def adjusted_for_sparse_cover(*, kc: Numbers, cover: Numbers, dense_cover: Numbers, on_error: OnError = ...) -> Floats: ...
def adjusted_for_sparse_cover(*, kc: Numbers, cover: Numbers, dense_cover: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return a mid-season coefficient for less cover than the table's crop has: K - (1 - sqrt(cover / dense cover)), not below 0.

    Parameters
    ----------
    kc : float or array-like
        Mid-season coefficient, adjusted for climate, 0 to 2.5.
    cover, dense_cover : float or array-like
        Both fractions of ground, or both leaf area indices, 0 to 15.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Coefficient, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or `cover` above `dense_cover`.

    References
    ----------
    FAO-56 Eq. 94-96; Example 40 takes off 0.23 with cover 0.5 of 0.85.

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(1.22 - crop.adjusted_for_sparse_cover(kc=1.22, cover=0.5, dense_cover=0.85), 2)
    0.23
    """
    return _dibble.adjusted_for_sparse_cover(kc=kc, cover=cover, dense_cover=dense_cover, on_error=on_error)


@overload
def stomatal_factor(
    *, t_c: Number, elevation_m: Number, wind_2m_m_s: Number, leaf_resistance_s_m: Number, on_error: OnError = ...
) -> float: ...
@overload
def stomatal_factor(
    *, t_c: Numbers, elevation_m: Numbers, wind_2m_m_s: Numbers, leaf_resistance_s_m: Numbers, on_error: OnError = ...
) -> Floats: ...
def stomatal_factor(
    *, t_c: Numbers, elevation_m: Numbers, wind_2m_m_s: Numbers, leaf_resistance_s_m: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the factor on the coefficient of plants that close their leaves more than field crops.

    (D + g (1 + 0.34 u_2)) / (D + g (1 + 0.34 u_2 r_l / 100)), with D the slope of saturation pressure and g the
    psychrometric constant.

    Parameters
    ----------
    t_c : float or array-like
        Mean air temperature, deg C, -90 to 60.
    elevation_m : float or array-like
        Elevation above sea level, m, -450 to 6000.
    wind_2m_m_s : float or array-like
        Wind speed at 2 m, m/s, 0 to 60.
    leaf_resistance_s_m : float or array-like
        Resistance of a leaf, s/m, 20 to 2000; 100 for field crops.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Factor, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 102; Example 43 has 0.67 for olives of 420 s/m (0.70 of 1.04).

    Examples
    --------
    >>> from dibble.et import crop
    >>> round(crop.stomatal_factor(t_c=25, elevation_m=0, wind_2m_m_s=2, leaf_resistance_s_m=420), 2)
    0.67
    """
    return _dibble.stomatal_factor(
        t_c=t_c, elevation_m=elevation_m, wind_2m_m_s=wind_2m_m_s, leaf_resistance_s_m=leaf_resistance_s_m, on_error=on_error
    )


@overload
def two_cover_kc(
    *,
    tall_cover: Number,
    short_cover: Number,
    tall_height_m: Number,
    short_height_m: Number,
    tall_kc: Number,
    short_kc: Number,
    on_error: OnError = ...,
) -> float: ...
@overload
def two_cover_kc(
    *,
    tall_cover: Numbers,
    short_cover: Numbers,
    tall_height_m: Numbers,
    short_height_m: Numbers,
    tall_kc: Numbers,
    short_kc: Numbers,
    on_error: OnError = ...,
) -> Floats: ...
def two_cover_kc(
    *,
    tall_cover: Numbers,
    short_cover: Numbers,
    tall_height_m: Numbers,
    short_height_m: Numbers,
    tall_kc: Numbers,
    short_kc: Numbers,
    on_error: OnError = "raise",
) -> float | Floats:
    """Return the coefficient of two covers that grow together, weighted by ground times height.

    Parameters
    ----------
    tall_cover, short_cover : float or array-like
        Fraction of the ground under each, 0 to 1; together at most 1.
    tall_height_m, short_height_m : float or array-like
        Height of each, m, 0 to 120.
    tall_kc, short_kc : float or array-like
        Coefficient of each, 0 to 2.5.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Coefficient, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, fractions that add to more than 1, or two covers without extent.

    References
    ----------
    FAO-56 Eq. 104; Example 46 prints 1.14.

    Examples
    --------
    >>> from dibble.et import crop
    >>> maize = dict(tall_cover=0.3, tall_height_m=2, tall_kc=1.2)
    >>> round(crop.two_cover_kc(**maize, short_cover=0.7, short_height_m=0.3, short_kc=0.95), 2)
    1.14
    """
    return _dibble.two_cover_kc(
        tall_cover=tall_cover,
        short_cover=short_cover,
        tall_height_m=tall_height_m,
        short_height_m=short_height_m,
        tall_kc=tall_kc,
        short_kc=short_kc,
        on_error=on_error,
    )


@overload
def windbreak_kc(*, stomatal_factor: Number, height_m: Number, width_m: Number, on_error: OnError = ...) -> float: ...
@overload
def windbreak_kc(*, stomatal_factor: Numbers, height_m: Numbers, width_m: Numbers, on_error: OnError = ...) -> Floats: ...
def windbreak_kc(*, stomatal_factor: Numbers, height_m: Numbers, width_m: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the coefficient of a single row that the wind reaches from the side: min(1.2 + F_r h / width, 2.5).

    Parameters
    ----------
    stomatal_factor : float or array-like
        From `stomatal_factor`, 0 to 1.
    height_m : float or array-like
        Plant height, m, 0 to 120.
    width_m : float or array-like
        Width of the row, m, 0.1 to 100.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Coefficient, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    FAO-56 Eq. 105, p. 200.

    Examples
    --------
    >>> from dibble.et import crop
    >>> crop.windbreak_kc(stomatal_factor=1, height_m=10, width_m=4)
    2.5
    """
    return _dibble.windbreak_kc(stomatal_factor=stomatal_factor, height_m=height_m, width_m=width_m, on_error=on_error)
