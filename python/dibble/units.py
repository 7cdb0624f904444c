"""Units of the trade: quantities written with a unit, and conversions.

Inside dibble everything is SI. gal, oz, acre and ton are the US ones; a ton of 1000 kg is `t` or `tonne`.
"""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

__all__ = [
    "convert",
    "depth_to_volume_l",
    "flow_to_rate_mm_h",
    "kg_ha_to_ppm",
    "parse",
    "ppm_to_kg_ha",
    "volume_to_depth_mm",
]


def parse(text: str, unit: str) -> float:
    """Return the quantity that `text` says, in `unit`.

    Numbers take a decimal point, thousands may be parted by a comma, fractions are read ("1 1/2 in"), and two units of
    one kind add up ("5 ft 6 in").

    Parameters
    ----------
    text : str
        A number and its unit, "500 ft", "0.75 in/h", "2 tons/acre".
    unit : str
        The unit wanted.

    Returns
    -------
    float
        The number in `unit`.

    Raises
    ------
    UnreadableError, MissingError, UnknownNameError
        No number, no unit, a unit that is not known or that measures something else.

    Examples
    --------
    >>> from dibble import units
    >>> units.parse("500 ft", "m")
    152.4
    """
    return _dibble.parse_quantity(text, unit)


@overload
def convert(value: Number, from_unit: str, to_unit: str, *, on_error: OnError = ...) -> float: ...
@overload
def convert(value: Numbers, from_unit: str, to_unit: str, *, on_error: OnError = ...) -> Floats: ...
def convert(value: Numbers, from_unit: str, to_unit: str, *, on_error: OnError = "raise") -> float | Floats:
    """Return `value` of unit `from_unit` in `to_unit`.

    Parameters
    ----------
    value : float or array-like
        NaN in an array means missing and stays NaN.
    from_unit, to_unit : str
        Names ("ft", "acres") or compounds ("lb/acre", "acre-in", "in per week").
    on_error : {"raise", "nan"}
        For elements of an array that are refused.

    Returns
    -------
    float or ndarray
        In the shape of `value`.

    Raises
    ------
    UnreadableError, UnknownNameError
        A number that is not finite, a unit that is not known, or units of different things.

    References
    ----------
    NIST SP 811 (2008), Appendix B.

    Examples
    --------
    >>> from dibble import units
    >>> units.convert(1.0, "in", "mm")
    25.4
    >>> units.convert([32.0, 68.0], "degF", "degC")
    array([ 0., 20.])
    """
    return _dibble.convert(value, from_unit, to_unit, on_error=on_error)


@overload
def ppm_to_kg_ha(*, ppm: Number, depth_m: Number, bulk_density_g_cm3: Number, on_error: OnError = ...) -> float: ...
@overload
def ppm_to_kg_ha(*, ppm: Numbers, depth_m: Numbers, bulk_density_g_cm3: Numbers, on_error: OnError = ...) -> Floats: ...
def ppm_to_kg_ha(*, ppm: Numbers, depth_m: Numbers, bulk_density_g_cm3: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the nutrient in the sampled layer, kg/ha: ppm * 10 * depth * bulk density.

    Parameters
    ----------
    ppm : float or array-like
        Concentration in the soil, mg/kg.
    depth_m : float or array-like
        Sampled depth, m.
    bulk_density_g_cm3 : float or array-like
        Bulk density, g/cm3.
    on_error : {"raise", "nan"}
        For elements of an array that are out of range.

    Returns
    -------
    float or ndarray
        kg/ha, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A number outside its permitted range.

    Examples
    --------
    >>> from dibble import units
    >>> units.ppm_to_kg_ha(ppm=10.0, depth_m=0.2, bulk_density_g_cm3=1.3)
    26.0
    """
    return _dibble.ppm_to_kg_ha(ppm=ppm, depth_m=depth_m, bulk_density_g_cm3=bulk_density_g_cm3, on_error=on_error)


@overload
def kg_ha_to_ppm(*, kg_ha: Number, depth_m: Number, bulk_density_g_cm3: Number, on_error: OnError = ...) -> float: ...
@overload
def kg_ha_to_ppm(*, kg_ha: Numbers, depth_m: Numbers, bulk_density_g_cm3: Numbers, on_error: OnError = ...) -> Floats: ...
def kg_ha_to_ppm(*, kg_ha: Numbers, depth_m: Numbers, bulk_density_g_cm3: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the concentration in the soil, ppm (mg/kg); the inverse of `ppm_to_kg_ha`.

    Parameters
    ----------
    kg_ha : float or array-like
        Nutrient in the sampled layer, kg/ha.
    depth_m : float or array-like
        Sampled depth, m, above zero.
    bulk_density_g_cm3 : float or array-like
        Bulk density, g/cm3.
    on_error : {"raise", "nan"}
        For elements of an array that are out of range.

    Returns
    -------
    float or ndarray
        mg/kg, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A number outside its permitted range.

    Examples
    --------
    >>> from dibble import units
    >>> round(units.kg_ha_to_ppm(kg_ha=26.0, depth_m=0.2, bulk_density_g_cm3=1.3), 9)
    10.0
    """
    return _dibble.kg_ha_to_ppm(kg_ha=kg_ha, depth_m=depth_m, bulk_density_g_cm3=bulk_density_g_cm3, on_error=on_error)


@overload
def depth_to_volume_l(*, depth_mm: Number, area_m2: Number, on_error: OnError = ...) -> float: ...
@overload
def depth_to_volume_l(*, depth_mm: Numbers, area_m2: Numbers, on_error: OnError = ...) -> Floats: ...
def depth_to_volume_l(*, depth_mm: Numbers, area_m2: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the liters of water that stand `depth_mm` deep on an area: 1 mm on 1 m2 is 1 L.

    Parameters
    ----------
    depth_mm : float or array-like
        Depth of water, mm.
    area_m2 : float or array-like
        Area, m2.
    on_error : {"raise", "nan"}
        For elements of an array that are out of range.

    Returns
    -------
    float or ndarray
        Liters, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A number outside its permitted range.

    Examples
    --------
    >>> from dibble import units
    >>> units.depth_to_volume_l(depth_mm=9.5, area_m2=2.0)
    19.0
    """
    return _dibble.depth_to_volume_l(depth_mm=depth_mm, area_m2=area_m2, on_error=on_error)


@overload
def volume_to_depth_mm(*, volume_l: Number, area_m2: Number, on_error: OnError = ...) -> float: ...
@overload
def volume_to_depth_mm(*, volume_l: Numbers, area_m2: Numbers, on_error: OnError = ...) -> Floats: ...
def volume_to_depth_mm(*, volume_l: Numbers, area_m2: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the depth in mm of liters of water spread over an area; the inverse of `depth_to_volume_l`.

    Parameters
    ----------
    volume_l : float or array-like
        Volume of water, L.
    area_m2 : float or array-like
        Area, m2.
    on_error : {"raise", "nan"}
        For elements of an array that are out of range.

    Returns
    -------
    float or ndarray
        mm, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A number outside its permitted range.

    Examples
    --------
    >>> from dibble import units
    >>> units.volume_to_depth_mm(volume_l=19.0, area_m2=2.0)
    9.5
    """
    return _dibble.volume_to_depth_mm(volume_l=volume_l, area_m2=area_m2, on_error=on_error)


@overload
def flow_to_rate_mm_h(*, flow_l_min: Number, area_m2: Number, on_error: OnError = ...) -> float: ...
@overload
def flow_to_rate_mm_h(*, flow_l_min: Numbers, area_m2: Numbers, on_error: OnError = ...) -> Floats: ...
def flow_to_rate_mm_h(*, flow_l_min: Numbers, area_m2: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the application rate, mm/h, of a flow over an area (the trade's 96.25 gpm / ft2, in in/h).

    Parameters
    ----------
    flow_l_min : float or array-like
        Flow, L/min.
    area_m2 : float or array-like
        Area that it wets, m2.
    on_error : {"raise", "nan"}
        For elements of an array that are out of range.

    Returns
    -------
    float or ndarray
        mm/h, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A number outside its permitted range.

    Examples
    --------
    >>> from dibble import units
    >>> round(units.flow_to_rate_mm_h(flow_l_min=227.1, area_m2=594.6), 1)  # 60 gpm every 80 ft by 80 ft: 0.90 in/h
    22.9
    """
    return _dibble.flow_to_rate_mm_h(flow_l_min=flow_l_min, area_m2=area_m2, on_error=on_error)
