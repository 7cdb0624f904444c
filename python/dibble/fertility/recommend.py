"""The year's lime and nutrients of a block, from its soil test to bags and ounces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dibble import _dibble, _gate, _long
from dibble._dibble import Ground, LimingMaterial, Product, Recommendation, SoilTest, Tables
from dibble._types import Bags, Day, DetectionPolicy, FinenessRule, LimeMethod, Number, Quantity

__all__ = ["recommend"]


def recommend(
    test: SoilTest,
    species: str,
    *,
    ground: Ground,
    today: Day,
    area_ha: Quantity | None = None,
    age_years: int | None = None,
    height_m: Quantity | None = None,
    sale_year: bool = False,
    planting: Day | None = None,
    bud_break: Day | None = None,
    south: bool = False,
    soil_table: str | None = None,
    ph_table: str | None = None,
    nitrogen_table: str | None = None,
    conversions: Sequence[str] = (),
    policy: DetectionPolicy = "half",
    lime_method: LimeMethod | None = None,
    lime_material: LimingMaterial | None = None,
    fineness: FinenessRule = "New York",
    lime_depth_m: Quantity | None = None,
    lime_cap_kg_ha: Quantity | None = None,
    from_memory: bool = False,
    recent_kg_ha: Quantity | None = None,
    recent_months: Number | None = None,
    organic_soil: bool = False,
    ag_lime_factor: Number | None = None,
    p2o5_per_ppm_kg_ha: Quantity | None = None,
    k2o_per_ppm_kg_ha: Quantity | None = None,
    build_up_years: Number | None = None,
    rotation_years: Number | None = None,
    removal: bool = False,
    products: Sequence[Product] | None = None,
    bags: Bags = "opened",
    oversupply: Number = 0.10,
    undersupply: Number = 0.02,
    salt_cap_kg_ha: Quantity | None = None,
    scoop_ml: Quantity | None = None,
    credits_kg_ha: Sequence[tuple[str, str, Quantity]] = (),
    not_before: Day | None = None,
    urea: bool = False,
    water: Mapping[str, float] | None = None,
    irrigation_mm: Quantity | None = None,
    n_cap_kg_ha: Quantity | None = None,
    most_n_g_per_tree: Quantity | None = None,
    tables: Tables | None = None,
    progress: _long.Progress = None,
) -> Recommendation:
    """Return the year's lime and nutrients of a block, to bags and ounces where products are given.

    Where sources disagree and none is named nothing is chosen: the part stays empty, and `ask` says what to name. A test
    that cannot be used gives its reasons and no amounts. Needs that the products cannot meet stand in the mix with the
    limits that clash. Without an area the mix is for a hectare, by weight.

    Parameters
    ----------
    test : SoilTest
        The soil test.
    species : str
        Species, in English.
    ground : Ground
        Trees, and where fertilizer lands.
    today : datetime.date or str
        The day of asking.
    area_ha : float or str, optional
        Area of the block, ha, or text, "1.5 acres", for totals and bags.
    age_years : int, optional
        Growing seasons since planting, 0 in the planting year; leave out before planting.
    height_m : float or str, optional
        Height of the trees, for nitrogen tables by height.
    sale_year : bool
        To be sold this year?
    planting, bud_break : datetime.date or str, optional
        Day of planting, if it is to come; usual day of bud break.
    south : bool
        South of the equator?
    soil_table, ph_table, nitrogen_table : str, optional
        Keys of the tables to use; asked for where they differ.
    conversions : sequence of str
        Keys of conversions between extractants to make.
    policy : {"limit", "half", "zero", "leave out"}
        The number that stands for a value below detection.
    lime_method : str, optional
        The lab's method; by its buffer if not given.
    lime_material : LimingMaterial, optional
        The lime on offer; `fineness` says how its fineness counts.
    fineness : {"New York", "Ohio"}
        Rule for the fineness of the lime.
    lime_depth_m, lime_cap_kg_ha : float or str, optional
        Depth that lime is worked into, and the most in one spreading over living roots.
    from_memory, recent_kg_ha, recent_months, organic_soil, ag_lime_factor
        As for `lime_requirement`.
    p2o5_per_ppm_kg_ha, k2o_per_ppm_kg_ha, build_up_years, rotation_years
        As for `nutrient_need`.
    removal : bool
        Make good what the harvest takes along?
    products : sequence of Product, optional
        What can be bought or lies in the shed; needs stay nutrients without it.
    bags : {"opened", "whole", "loose"}
        How products are bought.
    oversupply : float
        Share by which a nutrient may exceed the upper end of its need.
    undersupply : float
        Share by which a mix in bags may fall short of a need: a soil test is no nearer than that (our judgment).
    salt_cap_kg_ha : float or str, optional
        Most salt, kg/ha of sodium nitrate with the same effect.
    scoop_ml : float or str, optional
        Content of your level scoop, mL.
    credits_kg_ha : sequence of (str, str, float or str)
        What the ground gets anyway: from what, nutrient as labels name it, kg/ha of field.
    not_before : datetime.date or str, optional
        Feedings whose last day comes before this day are over, and what they missed is not made up for.
    urea : bool
        Does the nitrogen come as urea?
    water : mapping, optional
        The irrigation water's test, as for `water_load`: `alkalinity_mg_l`, `ec_ds_m`, ...
    irrigation_mm : float or str, optional
        Irrigation of the year.
    n_cap_kg_ha, most_n_g_per_tree : float or str, optional
        Most nitrogen in a year before a warning: on treated ground (4 lb on 1,000 ft2 if not given), and for a tree.
    tables : Tables, optional
        The tables to use; the shipped ones if not given.
    progress : bool or callable, optional
        As for `blend`; Ctrl-C stops the call.

    Returns
    -------
    Recommendation
        `print` it; `sentences()` has what to buy and what a tree gets.

    Raises
    ------
    UnknownNameError, InconsistentError, OutOfRangeError, MissingError, SeveralError
        A table that is not known or reads nothing of the test, an amount out of range, a faulty product.

    References
    ----------
    Each part of the answer names its own.

    Examples
    --------
    Half an ounce of N for a tree in its second year: 5 bags of urea for a hectare.

    >>> from dibble import fertility
    >>> from dibble.fertility import Ground, Product, SoilTest
    >>> test = SoilTest("Block 3", sampled="2026-10-05", depth_m="7 in", ph=5.6, measured={"Mg": "120 ppm"}, extractant="Mehlich-3")
    >>> urea = Product(like="urea", bag_kg="50 lb", price_per_bag=24.0)
    >>> ground = Ground("1200 trees/acre")
    >>> answer = fertility.recommend(
    ...     test, "Fraser fir", ground=ground, today="2027-03-01", age_years=2, area_ha=1, ph_table="msu-soil-ph", products=[urea]
    ... )
    >>> answer.lime.verdict, answer.nitrogen.low.words()
    ('do not lime', '38 lb/acre (42 kg/ha) of field, 38 lb/acre (42 kg/ha) of treated ground, 0.50 oz (14 g) per tree')
    >>> answer.mix["blend"]["amounts"][0]["bags"]
    4
    >>> print(answer.sentences()[-1])
    Give about 3 weeks before bud break: urea 1.1 oz (31 g) per tree, 2.7 level tablespoons; a bag feeds 743 trees; 4 bags in all.
    """
    with _long.reporting(progress, unit="node") as report:
        return _dibble.recommend(
            test,
            species,
            ground=ground,
            today=today,
            area_ha=area_ha,
            age_years=age_years,
            height_m=height_m,
            sale_year=sale_year,
            planting=planting,
            bud_break=bud_break,
            south=south,
            soil_table=soil_table,
            ph_table=ph_table,
            nitrogen_table=nitrogen_table,
            conversions=_gate.texts("conversions", conversions),
            policy=policy,
            lime_method=lime_method,
            lime_material=lime_material,
            fineness=fineness,
            lime_depth_m=lime_depth_m,
            lime_cap_kg_ha=lime_cap_kg_ha,
            from_memory=from_memory,
            recent_kg_ha=recent_kg_ha,
            recent_months=recent_months,
            organic_soil=organic_soil,
            ag_lime_factor=ag_lime_factor,
            p2o5_per_ppm_kg_ha=p2o5_per_ppm_kg_ha,
            k2o_per_ppm_kg_ha=k2o_per_ppm_kg_ha,
            build_up_years=build_up_years,
            rotation_years=rotation_years,
            removal=removal,
            products=None if products is None else _gate.items("products", products, "Product"),
            bags=bags,
            oversupply=oversupply,
            undersupply=undersupply,
            salt_cap_kg_ha=salt_cap_kg_ha,
            scoop_ml=scoop_ml,
            credits_kg_ha=_gate.rows("credits_kg_ha", credits_kg_ha, "(from, nutrient, kg_ha)", 3),
            not_before=not_before,
            urea=urea,
            water=None if water is None else _gate.figures("water", water),
            irrigation_mm=irrigation_mm,
            n_cap_kg_ha=n_cap_kg_ha,
            most_n_g_per_tree=most_n_g_per_tree,
            tables=tables,
            progress=report,
        )
