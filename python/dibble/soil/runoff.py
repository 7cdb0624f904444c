"""Runoff from a day's rain by curve number. For rain only: a sprinkler's rate and place are known, see `intake`.

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import Literal, TypeAlias, overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

Antecedent: TypeAlias = Literal["dry", "average", "wet"]
HydrologicGroup: TypeAlias = Literal["A", "B", "C", "D"]

__all__ = [
    "antecedent_by_five_day_rain",
    "curve_number",
    "curve_number_when",
    "hydrologic_group",
    "minimum_infiltration_mm_h",
    "retention_mm",
    "runoff_mm",
]


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


@overload
def retention_mm(curve_number: Number, *, on_error: OnError = ...) -> float: ...
@overload
def retention_mm(curve_number: Numbers, *, on_error: OnError = ...) -> Floats: ...
def retention_mm(curve_number: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the potential retention of a curve number: S = 25400 / CN - 254.

    Parameters
    ----------
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
    USDA NRCS, NEH 630 ch. 10: 2.50 in for curve number 80.

    Examples
    --------
    >>> from dibble import soil
    >>> round(soil.retention_mm(80) / 25.4, 2)
    2.5
    """
    return _dibble.retention_mm(curve_number=curve_number, on_error=on_error)


@overload
def curve_number_when(*, average: Number, antecedent: Antecedent, on_error: OnError = ...) -> float: ...
@overload
def curve_number_when(*, average: Numbers, antecedent: Antecedent, on_error: OnError = ...) -> Floats: ...
def curve_number_when(*, average: Numbers, antecedent: Antecedent, on_error: OnError = "raise") -> float | Floats:
    """Return the curve number for another wetness before the rain.

    CN / (2.281 - 0.01281 CN) when dry, CN / (0.427 + 0.00573 CN) when wet. Two tables of these circulate that differ by up
    to 4 on the wet side; the formulas follow the NEH 630 one within 2.

    Parameters
    ----------
    average : float or array-like
        Curve number for average wetness, 1 to 100.
    antecedent : {"dry", "average", "wet"}
        How wet the ground is before the rain.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Curve number, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, UnknownNameError
        A curve number out of range, or a word that is not known.

    References
    ----------
    Hawkins, Hjelmfelt and Zevenbergen (1985), J. Irrig. Drain. Eng. 111(4):330-340; NEH 630 Table 10-1 prints 63 and 91 for
    80 (from memory), within 2.

    Examples
    --------
    >>> from dibble import soil
    >>> [round(soil.curve_number_when(average=80, antecedent=wetness), 1) for wetness in ("dry", "average", "wet")]
    [63.7, 80.0, 90.4]
    """
    return _dibble.curve_number_when(average=average, antecedent=antecedent, on_error=on_error)


def antecedent_by_five_day_rain(rain_mm: Number, *, growing_season: bool) -> Antecedent:
    """Return how wet the ground counts as by the rain of the five days before. NEH-4 withdrew these classes in 1993.

    Parameters
    ----------
    rain_mm : float
        Rain of the five days before, mm, 0 to 2000.
    growing_season : bool
        Limits of 1.4 and 2.1 in; else, in the dormant season, of 0.5 and 1.1 in.

    Returns
    -------
    {"dry", "average", "wet"}
        For `curve_number_when`.

    Raises
    ------
    OutOfRangeError
        Rain out of range.

    References
    ----------
    USDA SCS, NEH-4, as quoted.

    Examples
    --------
    >>> from dibble import soil
    >>> soil.antecedent_by_five_day_rain(40, growing_season=True), soil.antecedent_by_five_day_rain(40, growing_season=False)
    ('average', 'wet')
    """
    return _dibble.antecedent_by_five_day_rain(rain_mm, growing_season)


def hydrologic_group(texture: str) -> HydrologicGroup:
    """Return the hydrologic soil group of a texture class where nothing else is known.

    Parameters
    ----------
    texture : str
        Texture class, "silt loam".

    Returns
    -------
    {"A", "B", "C", "D"}
        A takes water fast, D hardly. Silt, which the source does not list, goes with silt loam.

    Raises
    ------
    UnknownNameError
        A class that is not known.

    References
    ----------
    USDA NRCS, TR-55 (1986), Appendix A.

    Examples
    --------
    >>> from dibble import soil
    >>> soil.hydrologic_group("silt loam"), soil.hydrologic_group("clay")
    ('B', 'D')
    """
    return _dibble.hydrologic_group(texture)


def minimum_infiltration_mm_h(group: str) -> tuple[float, float]:
    """Return the lowest rate, low and high, at which soils of a hydrologic group take water when wet.

    Parameters
    ----------
    group : {"A", "B", "C", "D"}
        Hydrologic soil group.

    Returns
    -------
    tuple of float
        Low and high, mm/h.

    Raises
    ------
    UnknownNameError
        A group that is not known.

    References
    ----------
    USDA SCS: 0.30-0.45, 0.15-0.30, 0.05-0.15 and 0-0.05 in/h.

    Examples
    --------
    >>> from dibble import soil
    >>> [round(rate / 25.4, 2) for rate in soil.minimum_infiltration_mm_h("B")]
    [0.15, 0.3]
    """
    return _dibble.minimum_infiltration_mm_h(group)
