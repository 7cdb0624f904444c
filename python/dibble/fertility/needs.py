"""What a year needs: nitrogen by age or height, the rest by class; what manure and compost bring."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from dibble import _dibble, _gate
from dibble._dibble import Ground, Interpretation, NitrogenNeed, NutrientNeed, Tables
from dibble._types import Day, ManureKind, Number, Quantity
from dibble.fertility._rows import Feeding

__all__ = [
    "Manure",
    "compost_nitrogen_kg",
    "manure_nitrogen_kg",
    "manure_release",
    "nitrogen_cautions",
    "nitrogen_need",
    "nitrogen_season",
    "nutrient_need",
]


class Manure(NamedTuple):
    """One application of manure."""

    kind: ManureKind
    """The animal."""
    dry_matter_pct: float
    """Dry matter, % of the fresh weight."""
    organic_n_kg: float
    """Organic nitrogen that was spread (total less ammonium, by the manure's own test), kg. With kg/ha in, kg/ha out."""
    years_ago: int = 0
    """Seasons since it was spread; 0 for this one."""


def nitrogen_need(
    *,
    age_years: int,
    ground: Ground,
    table: str,
    height_m: Quantity | None = None,
    sale_year: bool = False,
    tables: Tables | None = None,
) -> NitrogenNeed:
    """Return the nitrogen of a year by a named table: for the field, the treated ground and a tree. None in the planting year.

    Parameters
    ----------
    age_years : int
        Growing seasons since planting; 0 in the planting year.
    ground : Ground
        Trees, and where fertilizer lands.
    table : str
        Key of the table; `Tables().index("nitrogen")` lists them.
    height_m : float or str, optional
        Height of the trees, m, or text, for tables by height.
    sale_year : bool
        To be sold this year?
    tables : Tables, optional
        The tables to choose from; the shipped ones if not given.

    Returns
    -------
    NitrogenNeed
        `low` and `high` rates, with the row and the source.

    Raises
    ------
    UnknownNameError, InconsistentError, OutOfRangeError
        No such table, no row for this age and height, a height out of range.

    References
    ----------
    The answer names the table's. None at planting: Michigan State University and Rutgers FS1187.

    Examples
    --------
    Half an ounce a tree, 37.5 lb/acre at 1,200 trees:

    >>> from dibble import fertility
    >>> from dibble.fertility import Ground
    >>> need = fertility.nitrogen_need(age_years=2, ground=Ground("1200 trees/acre"), table="msu-fraser-fir")
    >>> need.low.words()
    '38 lb/acre (42 kg/ha) of field, 38 lb/acre (42 kg/ha) of treated ground, 0.50 oz (14 g) per tree'
    """
    return _dibble.nitrogen_need(age_years=age_years, ground=ground, table=table, height_m=height_m, sale_year=sale_year, tables=tables)


def nitrogen_season(
    *,
    bud_break: Day | None = None,
    texture: str | None = None,
    sale_year: bool = False,
    south: bool = False,
    urea: bool = False,
) -> list[Feeding]:
    """Return the feedings of a season, each with its share of the year's nitrogen and its reason.

    Parameters
    ----------
    bud_break : datetime.date or str, optional
        Usual day of bud break; without it there are no dates.
    texture : str, optional
        Texture class: on sand a second feeding follows.
    sale_year : bool
        To be sold this year? Then half goes out late in summer, for color.
    south : bool
        South of the equator?
    urea : bool
        Does the nitrogen come as urea? It goes out a week earlier.

    Returns
    -------
    list of dict
        `share`, `when`, `date`, `why`, `source`.

    References
    ----------
    Each feeding names its own.

    Examples
    --------
    >>> from dibble import fertility
    >>> [(f["share"], f["date"]) for f in fertility.nitrogen_season(bud_break="2027-05-15", texture="loamy sand")]
    [(0.5, '2027-05-01'), (0.5, '2027-06-12')]
    """
    return _dibble.nitrogen_season(bud_break=bud_break, texture=texture, sale_year=sale_year, south=south, urea=urea)


def nitrogen_cautions(*, urea: bool = False) -> list[str]:
    """Return what to mind when nitrogen goes out.

    Parameters
    ----------
    urea : bool
        Does it come as urea?

    Returns
    -------
    list of str
        Sentences with their sources.

    Examples
    --------
    >>> from dibble import fertility
    >>> fertility.nitrogen_cautions()[-1]
    'None in fall: what resting roots leave is leached by spring.'
    """
    return _dibble.nitrogen_cautions(urea)


def nutrient_need(
    interpretation: Interpretation,
    nutrient: str,
    *,
    ground: Ground,
    lime_due: bool = False,
    removal: str | None = None,
    p2o5_per_ppm_kg_ha: Quantity | None = None,
    k2o_per_ppm_kg_ha: Quantity | None = None,
    build_up_years: Number | None = None,
    rotation_years: Number | None = None,
    tables: Tables | None = None,
) -> NutrientNeed:
    """Return what a year needs of P, K or another nutrient, from its class: P and K as oxides, the others as elements.

    The table's rate where it prints one. Otherwise P and K are built up to the lower edge of the optimum over some years;
    at the optimum only what the harvest takes along is made good, above it nothing. Short magnesium is left to dolomite
    where lime is due.

    Parameters
    ----------
    interpretation : Interpretation
        The soil test by a table.
    nutrient : str
        "P", "K", "Mg", ...
    ground : Ground
        Trees, and where fertilizer lands.
    lime_due : bool
        Is lime due?
    removal : str, optional
        Key of the table of what harvests take along, "christmas-trees-2005"; not made good if not given.
    p2o5_per_ppm_kg_ha, k2o_per_ppm_kg_ha : float or str, optional
        Oxide that raises the soil test by 1 ppm of P or K, kg/ha.
    build_up_years, rotation_years : float, optional
        Years that a build-up is spread over (4), and from planting to sale (8).
    tables : Tables, optional
        The tables that the interpretation was made with; the shipped ones if not given.

    Returns
    -------
    NutrientNeed
        `low` and `high` rates, what they rest on, and why.

    Raises
    ------
    MissingError, UnknownNameError, OutOfRangeError
        No class of that nutrient, a table that is not known, a value out of range.

    References
    ----------
    The answer names its own.

    Examples
    --------
    >>> from dibble import fertility
    >>> from dibble.fertility import Ground, SoilTest
    >>> test = SoilTest(measured={"K (element)": "60 lb/acre"}, extractant="Mehlich-1")
    >>> read = fertility.interpret(test, "uga-evergreen-nursery-coastal")
    >>> need = fertility.nutrient_need(read, "K", ground=Ground("1200 trees/acre"))
    >>> need.weight_of, need.basis
    ('K2O', 'build-up')
    """
    return _dibble.nutrient_need(
        interpretation,
        nutrient,
        ground=ground,
        lime_due=lime_due,
        removal=removal,
        p2o5_per_ppm_kg_ha=p2o5_per_ppm_kg_ha,
        k2o_per_ppm_kg_ha=k2o_per_ppm_kg_ha,
        build_up_years=build_up_years,
        rotation_years=rotation_years,
        tables=tables,
    )


def manure_release(kind: ManureKind, *, dry_matter_pct: Number) -> tuple[float, float, float]:
    """Return the shares of manure's organic nitrogen that are released in the season it is spread, the next and the one after.

    Parameters
    ----------
    kind : {"cow", "poultry", "swine", "horse", "sheep"}
        The animal.
    dry_matter_pct : float
        Dry matter, % of the fresh weight.

    Returns
    -------
    tuple of float
        Fractions.

    Raises
    ------
    UnknownNameError, OutOfRangeError
        An animal that is not known, dry matter outside 0 to 100 %.

    References
    ----------
    Cornell University, CSS 412 module 2.

    Examples
    --------
    >>> from dibble import fertility
    >>> fertility.manure_release("cow", dry_matter_pct=12)
    (0.35, 0.12, 0.05)
    """
    first, second, third = _dibble.manure_release(kind, dry_matter_pct)
    return first, second, third


def manure_nitrogen_kg(applications: Sequence[Manure]) -> float:
    """Return the organic nitrogen that all these applications release this season, in the unit they were given in.

    Ammonium nitrogen is not in it; phosphate and potash show in the next soil test.

    Parameters
    ----------
    applications : sequence of Manure
        This season's and those of the two before.

    Returns
    -------
    float
        kg; a credit for `blend`.

    Raises
    ------
    UnknownNameError, OutOfRangeError
        An animal that is not known, a weight or dry matter out of range.

    References
    ----------
    Cornell University, CSS 412 module 2.

    Examples
    --------
    50 lb of organic N of cow manure in each of three years: 17.5 + 6.0 + 2.5 lb.

    >>> from dibble import fertility
    >>> from dibble.fertility import Manure
    >>> round(fertility.manure_nitrogen_kg([Manure("cow", 12, 50, years_ago) for years_ago in (0, 1, 2)]), 9)
    26.0
    """
    return _dibble.manure_nitrogen(_gate.rows("applications", applications, "Manure(kind, dry_matter_pct, organic_n_kg, years_ago)", 4))


def compost_nitrogen_kg(total_n_kg: Number) -> tuple[float, float]:
    """Return the nitrogen that compost releases in its first season, low and high end: 5 to 10 % of its total.

    Parameters
    ----------
    total_n_kg : float
        Total nitrogen, kg.

    Returns
    -------
    tuple of float
        kg.

    Raises
    ------
    OutOfRangeError
        A weight out of range.

    References
    ----------
    Hartz, as a compost seller's page quotes it.

    Examples
    --------
    >>> from dibble import fertility
    >>> low, high = fertility.compost_nitrogen_kg(950 * 0.02)
    >>> round(low, 2), round(high, 2)
    (0.95, 1.9)
    """
    return _dibble.compost_nitrogen(total_n_kg)
