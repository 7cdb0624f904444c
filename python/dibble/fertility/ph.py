"""Lime and sulfur: what a species wants and what a soil needs."""

from __future__ import annotations

from typing import overload

from dibble import _dibble
from dibble._dibble import LimeAdvice, LimeNeed, LimingMaterial, PhTargets, SoilTest, SulfurNeed, Tables
from dibble._types import FinenessRule, Floats, LimeMethod, Number, Numbers, OnError, Quantity, Stage

__all__ = [
    "carbonate_equivalent",
    "carbonate_for_acidity_kg_ha",
    "lime_advice",
    "lime_from_table",
    "lime_requirement",
    "ph_targets",
    "sulfur_need",
]


def ph_targets(species: str, *, tables: Tables | None = None) -> PhTargets:
    """Return what every source wants as pH of a species, side by side. Nothing is chosen.

    Parameters
    ----------
    species : str
        Species, in English.
    tables : Tables, optional
        The tables to look in; the shipped ones if not given.

    Returns
    -------
    PhTargets
        `targets`, and in `ask` what differs.

    Raises
    ------
    UnknownNameError
        A species that no source names; the nearest are offered.

    Examples
    --------
    >>> from dibble import fertility
    >>> wanted = fertility.ph_targets("Fraser fir")
    >>> [(t["table"], t["row"]["low"], t["row"]["high"]) for t in wanted.targets if t["table"].startswith("nc-state")]
    [('nc-state-fraser-fir@web page', 5.5, 5.8)]
    """
    return _dibble.ph_targets(species, tables=tables)


def lime_requirement(
    test: SoilTest,
    target_ph: Number,
    method: LimeMethod,
    *,
    from_memory: bool = False,
    recent_kg_ha: Quantity | None = None,
    recent_months: Number | None = None,
    organic_soil: bool = False,
    ag_lime_factor: Number | None = None,
) -> LimeNeed:
    """Return the lime that brings a soil to a pH by the lab's method; 0, with a note that says why, where none is due.

    Parameters
    ----------
    test : SoilTest
        A test with pH and what the method needs.
    target_ph : float
        pH wanted, not below the soil's.
    method : str
        "Mehlich buffer", "Adams-Evans buffer", "exchangeable acidity" (to pH 6.5 or 7.0), "exchangeable acidity table"
        (to pH 6.0, 6.5 or 7.0), "exchangeable aluminum", "texture" (the last resort); from memory "SMP buffer" and
        "Mehlich 1976".
    from_memory : bool
        Allow the methods that rest on memory.
    recent_kg_ha, recent_months : float, optional
        Lime spread not long ago and the months from spreading to sampling, for the Mehlich buffer's credit.
    organic_soil : bool
        Was it spread on an organic soil?
    ag_lime_factor : float, optional
        Agricultural lime for a unit of pure carbonate, for Adams-Evans; 1.5 if not given.

    Returns
    -------
    LimeNeed
        `rate_kg_ha`, what it is a rate `of`, and for which `depth_m`.

    Raises
    ------
    InconsistentError, MissingError, OutOfRangeError, UnknownNameError
        A target below the soil's pH, a reading that the method needs and the test lacks, the buffer of another method.

    References
    ----------
    The answer names its method's.

    Examples
    --------
    North Carolina's example: pH 4.6, buffer 6.0, target 5.8 take 1.44 tons/acre.

    >>> from dibble import fertility, units
    >>> from dibble.fertility import SoilTest
    >>> test = SoilTest(ph=4.6, buffer=6.0, buffer_method="Mehlich")
    >>> need = fertility.lime_requirement(test, 5.8, "Mehlich buffer")
    >>> round(units.convert(need.rate_kg_ha, "kg/ha", "tons/acre"), 2)
    1.44
    """
    return _dibble.lime_requirement(
        test,
        target_ph,
        method,
        from_memory=from_memory,
        recent_kg_ha=recent_kg_ha,
        recent_months=recent_months,
        organic_soil=organic_soil,
        ag_lime_factor=ag_lime_factor,
    )


def lime_from_table(test: SoilTest, target_ph: Number, table: str, *, tables: Tables | None = None) -> LimeNeed:
    """Return the lime that a table of rates gives: one of yours, or a shipped one by its key.

    Parameters
    ----------
    test : SoilTest
        A test with pH and what the table is entered with.
    target_ph : float
        pH wanted, one of the table's columns.
    table : str
        Key of the table; `Tables().index("lime")` lists them.
    tables : Tables, optional
        The tables to choose from; the shipped ones if not given.

    Returns
    -------
    LimeNeed
        As of `lime_requirement`.

    Raises
    ------
    InconsistentError, MissingError, UnknownNameError
        As `lime_requirement`; no such table, a target that it does not have, a reading outside its rows.

    Examples
    --------
    >>> from dibble import fertility
    >>> from dibble.fertility import SoilTest
    >>> test = SoilTest(ph=5.5, exchangeable_acidity_meq=5.0)
    >>> fertility.lime_from_table(test, 6.5, "penn-state-turf").of
    'pure calcium carbonate'
    """
    return _dibble.lime_from_table(test, target_ph, table, tables=tables)


def lime_advice(
    test: SoilTest,
    species: str,
    *,
    method: LimeMethod,
    ph_table: str | None = None,
    stage: Stage = "established",
    material: LimingMaterial | None = None,
    fineness: FinenessRule = "New York",
    depth_m: Quantity | None = None,
    cap_kg_ha: Quantity | None = None,
    magnesium_short: bool | None = None,
    from_memory: bool = False,
    recent_kg_ha: Quantity | None = None,
    recent_months: Number | None = None,
    organic_soil: bool = False,
    ag_lime_factor: Number | None = None,
    tables: Tables | None = None,
) -> LimeAdvice:
    """Say what to do about the pH: lime, sulfur or neither, in spreadings, by the target of a named source.

    Parameters
    ----------
    test : SoilTest
        The test.
    species : str
        Species, in English.
    method : str
        The lab's lime method, as for `lime_requirement`.
    ph_table : str, optional
        Key of the table of pH targets; may be left out where all sources agree.
    stage : {"new planting", "established"}
        Before planting lime can be worked in; among trees it stays on the surface.
    material : LimingMaterial, optional
        The lime on offer.
    fineness : {"New York", "Ohio"}
        How its fineness counts.
    depth_m : float or str, optional
        Depth that the lime is worked into, m; 7 in before planting and 4 in among trees if not given.
    cap_kg_ha : float or str, optional
        Most lime in one spreading over living roots; 1 ton/acre if not given (from memory).
    magnesium_short : bool, optional
        Is magnesium short by the soil test? Then lime with dolomite.
    from_memory, recent_kg_ha, recent_months, organic_soil, ag_lime_factor
        As for `lime_requirement`.
    tables : Tables, optional
        The tables of pH targets; the shipped ones if not given.

    Returns
    -------
    LimeAdvice
        `verdict`, `applications`, `cautions`.

    Raises
    ------
    MissingError, UnknownNameError, InconsistentError, OutOfRangeError, InfeasibleError
        Sources that differ and none named, and all that `lime_requirement` refuses.

    Examples
    --------
    >>> from dibble import fertility
    >>> from dibble.fertility import SoilTest
    >>> advice = fertility.lime_advice(SoilTest(ph=5.7), "Fraser fir", method="Mehlich buffer", ph_table="msu-soil-ph")
    >>> advice.verdict
    'do not lime'
    """
    return _dibble.lime_advice(
        test,
        species,
        method=method,
        ph_table=ph_table,
        stage=stage,
        material=material,
        fineness=fineness,
        depth_m=depth_m,
        cap_kg_ha=cap_kg_ha,
        magnesium_short=magnesium_short,
        from_memory=from_memory,
        recent_kg_ha=recent_kg_ha,
        recent_months=recent_months,
        organic_soil=organic_soil,
        ag_lime_factor=ag_lime_factor,
        tables=tables,
    )


def carbonate_equivalent(compound: str) -> float:
    """Return the calcium carbonate equivalent of a pure liming compound, a fraction, from the atomic weights.

    Parameters
    ----------
    compound : str
        "calcium carbonate", "magnesium carbonate", "dolomite", "calcium oxide", "calcium hydroxide", "magnesium oxide".

    Returns
    -------
    float
        1.0 for calcium carbonate.

    Raises
    ------
    UnknownNameError
        A compound that is not known.

    Examples
    --------
    >>> from dibble import fertility
    >>> round(fertility.carbonate_equivalent("magnesium carbonate"), 3), round(fertility.carbonate_equivalent("burnt lime"), 3)
    (1.187, 1.785)
    """
    return _dibble.carbonate_equivalent(compound)


@overload
def carbonate_for_acidity_kg_ha(*, acidity_meq: Number, depth_m: Number, bulk_density_g_cm3: Number, on_error: OnError = ...) -> float: ...
@overload
def carbonate_for_acidity_kg_ha(
    *, acidity_meq: Numbers, depth_m: Numbers, bulk_density_g_cm3: Numbers, on_error: OnError = ...
) -> Floats: ...
def carbonate_for_acidity_kg_ha(
    *, acidity_meq: Numbers, depth_m: Numbers, bulk_density_g_cm3: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the calcium carbonate that neutralizes an acidity in a layer of soil: 50 mg for a meq.

    Parameters
    ----------
    acidity_meq : float or array-like
        Acidity, meq/100 g.
    depth_m : float or array-like
        Depth of the layer, m.
    bulk_density_g_cm3 : float or array-like
        Its density, g/cm3.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kg/ha, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    Examples
    --------
    A 15 cm layer of 2,240,000 kg/ha takes 1,120 kg/ha for 1 meq/100 g:

    >>> from dibble import fertility
    >>> round(fertility.carbonate_for_acidity_kg_ha(acidity_meq=1, depth_m=0.15, bulk_density_g_cm3=2.24 / 1.5))
    1120
    """
    return _dibble.carbonate_for_acidity_kg_ha(
        acidity_meq=acidity_meq, depth_m=depth_m, bulk_density_g_cm3=bulk_density_g_cm3, on_error=on_error
    )


def sulfur_need(
    *,
    ph: Number,
    target_ph: Number,
    texture: str,
    free_carbonate: bool | None = None,
    living_roots: bool = True,
    cap_kg_ha: Quantity | None = None,
    tables: Tables | None = None,
) -> SulfurNeed:
    """Return the sulfur that lowers a pH, split over years where roots live, or the reason why it cannot be done.

    Parameters
    ----------
    ph, target_ph : float
        Soil pH in water, and pH wanted.
    texture : str
        Texture class, or one of "sand", "loam", "clay".
    free_carbonate : bool, optional
        Does the soil fizz with acid? Leave out if nobody has looked.
    living_roots : bool
        Are there trees?
    cap_kg_ha : float or str, optional
        Most sulfur in a year over living roots; 400 lb/acre if not given (from memory).
    tables : Tables, optional
        The tables to use; the shipped ones if not given.

    Returns
    -------
    SulfurNeed
        `verdict`, `total_kg_ha`, `years`, and other sources beside it.

    Raises
    ------
    OutOfRangeError, UnknownNameError, InfeasibleError
        A value out of range, a texture that is not known, a cap that would take more than 50 years.

    References
    ----------
    A Michigan State University table as reproduced by a supplier; extension.org beside it.

    Examples
    --------
    From 6.5 to 5.5 on loam 2,020 - 1,030 = 990 lb/acre, over three years of at most 400:

    >>> from dibble import fertility, units
    >>> need = fertility.sulfur_need(ph=6.5, target_ph=5.5, texture="loam", free_carbonate=False)
    >>> round(units.convert(need.total_kg_ha, "kg/ha", "lb/acre")), need.years
    (990, 3)
    >>> fertility.sulfur_need(ph=7.6, target_ph=5.5, texture="loam", free_carbonate=True).verdict
    'cannot be reached'
    """
    return _dibble.sulfur_need(
        ph=ph,
        target_ph=target_ph,
        texture=texture,
        free_carbonate=free_carbonate,
        living_roots=living_roots,
        cap_kg_ha=cap_kg_ha,
        tables=tables,
    )
