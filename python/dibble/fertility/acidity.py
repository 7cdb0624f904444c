"""What water and nitrogen do to the pH over the years."""

from __future__ import annotations

from typing import Any, NamedTuple, overload

import numpy as np

from dibble import _dibble, _gate
from dibble._dibble import WaterLoad
from dibble._types import Floats, Number, Numbers, OnError, Quantity

__all__ = ["AcidYear", "acid_balance", "water_lime_kg_ha", "water_load"]


class AcidYear(NamedTuple):
    """One year of the acid balance, kg/ha of calcium carbonate."""

    acid_kg_ha: float
    """Acid from nitrogen."""
    water_kg_ha: float
    """Lime that the water brought."""
    lime_kg_ha: float
    """Lime spread."""
    balance_kg_ha: float
    """Lime left over (positive) or used up (negative) since the first year."""


@overload
def water_lime_kg_ha(*, irrigation_mm: Number, alkalinity_mg_l: Number, on_error: OnError = ...) -> float: ...
@overload
def water_lime_kg_ha(*, irrigation_mm: Numbers, alkalinity_mg_l: Numbers, on_error: OnError = ...) -> Floats: ...
def water_lime_kg_ha(*, irrigation_mm: Numbers, alkalinity_mg_l: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the lime equivalent that irrigation brings: 1 mm at 1 mg/L is 0.01 kg/ha.

    Parameters
    ----------
    irrigation_mm : float or array-like
        Irrigation, mm.
    alkalinity_mg_l : float or array-like
        Alkalinity of the water, mg/L as CaCO3.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kg/ha of calcium carbonate, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    Examples
    --------
    12 in of water at 200 mg/L bring 544 lb/acre:

    >>> from dibble import fertility, units
    >>> round(units.convert(fertility.water_lime_kg_ha(irrigation_mm=304.8, alkalinity_mg_l=200), "kg/ha", "lb/acre"))
    544
    """
    return _dibble.water_lime_kg_ha(irrigation_mm=irrigation_mm, alkalinity_mg_l=alkalinity_mg_l, on_error=on_error)


def water_load(
    *,
    irrigation_mm: Quantity,
    alkalinity_mg_l: Number,
    ec_ds_m: Number,
    na_mg_l: Number | None = None,
    ca_mg_l: Number | None = None,
    mg_mg_l: Number | None = None,
) -> WaterLoad:
    """Return the lime and salt in a season's irrigation, and whether its salt or sodium calls for care.

    Parameters
    ----------
    irrigation_mm : float or str
        Irrigation of the season, mm, or text, "12 in".
    alkalinity_mg_l : float
        Alkalinity of the water, mg/L as CaCO3.
    ec_ds_m : float
        Electrical conductivity, dS/m.
    na_mg_l, ca_mg_l, mg_mg_l : float, optional
        Sodium, calcium and magnesium, mg/L.

    Returns
    -------
    WaterLoad
        kg/ha, sodium ratio, cautions.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    Examples
    --------
    >>> from dibble import fertility
    >>> load = fertility.water_load(irrigation_mm="12 in", alkalinity_mg_l=200, ec_ds_m=0.5)
    >>> round(load.lime_kg_ha, 1), load.cautions
    (609.6, ["The water limes the ground with 544 lb/acre (610 kg/ha) of carbonate in this season: test the soil's pH each year."])
    """
    return _dibble.water_load(
        irrigation_mm=irrigation_mm,
        alkalinity_mg_l=alkalinity_mg_l,
        ec_ds_m=ec_ds_m,
        na_mg_l=na_mg_l,
        ca_mg_l=ca_mg_l,
        mg_mg_l=mg_mg_l,
    )


def acid_balance(
    *,
    n_kg_ha: Numbers,
    caco3_per_n: Numbers,
    irrigation_mm: Numbers = 0.0,
    alkalinity_mg_l: Numbers = 0.0,
    lime_kg_ha: Numbers = 0.0,
) -> list[AcidYear]:
    """Return the acid of nitrogen against the lime of water and bags, year by year.

    Parameters
    ----------
    n_kg_ha : float or sequence
        Nitrogen spread in each year, kg/ha. All arguments broadcast over the years.
    caco3_per_n : float or sequence
        Calcium carbonate that neutralizes the acid of 1 kg of it, kg: 1.8 for urea, 5.4 for ammonium sulfate (Cornell).
    irrigation_mm, alkalinity_mg_l : float or sequence
        Irrigation, mm, and its alkalinity, mg/L as CaCO3.
    lime_kg_ha : float or sequence
        Lime spread, kg/ha of pure carbonate.

    Returns
    -------
    list of AcidYear
        kg/ha of calcium carbonate.

    Raises
    ------
    OutOfRangeError, InconsistentError, DibbleTypeError
        A value out of range, with its year; shapes that do not fit together.

    References
    ----------
    Cornell, Northeast Certified Crop Adviser study material.

    Examples
    --------
    >>> from dibble import fertility
    >>> years = fertility.acid_balance(n_kg_ha=[150, 150, 150], caco3_per_n=1.8)
    >>> years[-1].balance_kg_ha
    -810.0
    """
    given: list[Any] = [n_kg_ha, caco3_per_n, irrigation_mm, alkalinity_mg_l, lime_kg_ha]
    names = ["n_kg_ha", "caco3_per_n", "irrigation_mm", "alkalinity_mg_l", "lime_kg_ha"]
    columns = [np.atleast_1d(_gate.numbers(name, value)) for name, value in zip(names, given, strict=True)]
    _, years = _gate.broadcast(names, columns)
    return [AcidYear(*year) for year in _dibble.acid_balance(list(zip(*(y.tolist() for y in years), strict=True)))]
