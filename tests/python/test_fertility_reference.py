"""Published values of soil, lime and fertilizer through the Python functions, from the file that the Rust tests read."""

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dibble import fertility, stand, units
from dibble.fertility import Ground, LimingMaterial, Manure, Product, SoilTest, Tables

FILE = tomllib.loads((Path(__file__).parents[1] / "reference/fertility.toml").read_text())
CASES = FILE["case"]
SLICE = 2_000_000 * 0.45359237 / (4046.8564224 * 20 / 3 * 0.0254) / 1000  # g/cm3 of the trade's acre slice

Case = dict[str, Any]


def lb_acre(kg_ha: float) -> float:
    return units.convert(kg_ha, "kg/ha", "lb/acre")


def tons_acre(kg_ha: float) -> float:
    return units.convert(kg_ha, "kg/ha", "tons/acre")


def measured(values: dict[str, Any], extractant: str = "Mehlich-3", **sheet: Any) -> SoilTest:
    return SoilTest(measured=values, form="element", extractant=extractant, **sheet)


def ppm(test: SoilTest, nutrient: str) -> float:
    found = test.ppm(nutrient)
    assert found is not None
    return found


def oxides(given: Case) -> Case:
    (name, weight), *_ = given.items()
    nutrient = name.split("_")[0].capitalize()
    oxide = {"P": "p2o5", "K": "k2o", "Mg": "mgo", "Ca": "cao"}[nutrient]
    return {f"{oxide}_lb": weight / fertility.to_element(nutrient, "oxide", 1.0)}


def lb_from_ppm(given: Case) -> Case:
    return {"lb_per_acre": given["ppm"] * 50.0 / ppm(measured({"K": "50 lb/acre"}), "K")}


def lb_by_depth(given: Case) -> Case:
    test = measured({"K": given["ppm"]}, unit="ppm", depth_m=f"{given['depth_in']} in")
    pounds = lb_acre(test.layer_kg_ha(given["ppm"]))
    return {"lb_per_acre": pounds, "slice_lb": pounds / given["ppm"] * 1e6}


def slice_by_density(given: Case) -> Case:
    kg_ha = units.ppm_to_kg_ha(ppm=1e6, depth_m=given["depth_cm"] / 100, bulk_density_g_cm3=given["bulk_density"])
    return {"slice_lb": lb_acre(kg_ha)}


def meq(nutrient: str) -> Callable[[Case], Case]:
    def found(given: Case) -> Case:
        (charge,) = given.values()
        return {"ppm": ppm(measured({nutrient: f"{charge} meq/100 g"}), nutrient)}

    return found


def clemson(given: Case) -> Case:
    bases = {name: given[f"{name.lower()}_lb_acre"] for name in ("K", "Mg", "Ca", "Na")}
    test = measured(bases, "Mehlich-1", unit="lb/acre", buffer=given["buffer_ph"], buffer_method="Adams-Evans")
    total = fertility.cec_by_summation(test, acidity="Adams-Evans", divisors="rounded")
    charges = {f"{base['nutrient'].lower()}_meq": base["meq"] for base in total.bases}
    return charges | {"h_meq": total.acidity_meq, "cec_meq": total.cec_meq, "base_saturation_pct": total.base_saturation_pct}


def smp_exchange(given: Case) -> Case:
    bases = {name: given[f"{name.lower()}_lb_acre"] for name in ("K", "Mg", "Ca")}
    test = measured(bases, "ammonium acetate", unit="lb/acre", buffer=given["buffer_ph"], buffer_method="SMP")
    total = fertility.cec_by_summation(test, acidity="SMP", divisors="rounded")
    return {"cec_meq": total.cec_meq, "acidity_meq": total.acidity_meq}


def base_shares(given: Case) -> Case:
    bases = {name: given[f"{name.lower()}_ppm"] for name in ("Ca", "Mg", "K", "Na")}
    charge = {"Ca": 200.0, "Mg": 120.0, "K": 390.0, "Na": 230.0}
    acidity = given["cec_meq"] - sum(bases[name] / charge[name] for name in bases)
    test = measured(bases, unit="ppm", exchangeable_acidity_meq=acidity)
    total = fertility.cec_by_summation(test, acidity="measured", divisors="rounded")
    return {f"{base['nutrient'].lower()}_pct": base["share_pct"] for base in total.bases}


def humus(given: Case) -> Case:
    share = given.get("mineralisation_pct_per_yr", 2.0) / 100
    total, released = fertility.organic_nitrogen(
        organic_matter_pct=given["om_pct"], depth_m=20 / 3 * 0.0254, bulk_density_g_cm3=SLICE, released_share=share
    )
    return {"total_n_lb_acre": lb_acre(total), "n_release_lb_acre_yr": lb_acre(released)}


def converted(nutrient: str, kind: str) -> Callable[[Case], Case]:
    def found(given: Case) -> Case:
        keys = [row["key"] for row in Tables().index("conversion") if row["key"].startswith(kind)]
        key = next(k for k in keys if math.isclose(Tables().get("conversion", k)["factor"], given["factor"]))
        test = measured({nutrient: given["m3_ppm"]}, unit="ppm").converted(key)
        value = next(v["ppm"] for v in test.values if v["given"].get("converted"))
        return {"lb_per_acre": 2.0 * float(value)}

    return found


def manganese(given: Case) -> Case:
    return {"mnai": fertility.manganese_index(mn_ppm=given["mn_ppm"], ph=given["ph"])}


def mehlich_acidity(given: Case) -> Case:
    test = measured({"Ca": 0, "Mg": 0, "K": 10}, unit="ppm", buffer=given["buffer_ph"], buffer_method="Mehlich")
    return {"ac_meq_100cm3": fertility.cec_by_summation(test, acidity="Mehlich").acidity_meq}


def mehlich(given: Case) -> Case:
    buffer = given.get("buffer_ph") or 6.6 - given["ac_meq_100cm3"] / 4
    recent: Case = {}
    if credit := given.get("residual_credit"):
        # 8 % a month of what was spread: so much of it is left after six months
        recent = {"recent_kg_ha": units.convert(credit / (0.08 * 6), "tons/acre", "kg/ha"), "recent_months": 6}
    test = SoilTest(ph=given["ph"], buffer=buffer, buffer_method="Mehlich")
    need = fertility.lime_requirement(test, given["target_ph"], "Mehlich buffer", **recent)
    return {"tons_per_acre": tons_acre(need.rate_kg_ha), "ac_meq_100cm3": need.explain()[0].value}


def penn_state(given: Case) -> Case:
    test = SoilTest(ph=given["ph"], exchangeable_acidity_meq=given["exch_acidity_meq"])
    return {"lb_cce_per_acre": lb_acre(fertility.lime_requirement(test, 6.5, "exchangeable acidity").rate_kg_ha)}


def adams_evans_acidity(given: Case) -> Case:
    test = measured({"Ca": 0, "Mg": 0, "K": 10}, "Mehlich-1", unit="ppm", buffer=given["buffer_ph"], buffer_method="Adams-Evans")
    return {"h_meq": fertility.cec_by_summation(test, acidity="Adams-Evans").acidity_meq}


def adams_evans(given: Case) -> Case:
    test = SoilTest(ph=given["ph"], buffer=given["buffer_ph"], buffer_method="Adams-Evans")
    need = fertility.lime_requirement(test, given["target_ph"], "Adams-Evans buffer", ag_lime_factor=given["ag_lime_factor"])
    return {"lb_per_acre": lb_acre(need.rate_kg_ha), "mg_per_ha": need.rate_kg_ha / 1000}


def acid_layer(given: Case) -> Case:
    density = given["layer_kg_ha"] / 1e7 / 0.15
    lime = fertility.carbonate_for_acidity_kg_ha(acidity_meq=given["acidity_meq"], depth_m=0.15, bulk_density_g_cm3=density)
    return {"kg_caco3_ha": lime}


def mehlich_1976(given: Case) -> Case:
    test = SoilTest(ph=5.0, buffer=given["buffer_ph"], buffer_method="Mehlich")
    need = fertility.lime_requirement(test, 6.0, "Mehlich 1976", from_memory=True)
    return {"t_per_ha": need.rate_kg_ha / 1000}


def surface_share(given: Case) -> Case:
    need = fertility.lime_from_table(SoilTest(ph=5.0, exchangeable_acidity_meq=5.0), 6.5, "penn-state-turf")
    share = need.for_depth(f"{given['depth_in']} in").rate_kg_ha / need.for_depth("8 in").rate_kg_ha
    return {"tons": given["table_tons_8in"] * share}


def material(given: Case) -> LimingMaterial:
    sieves = {f"pass_{mesh}": given[f"pass{mesh}"] / 100 for mesh in (8, 20, 60, 100) if f"pass{mesh}" in given}
    equivalent = given["cce" if "cce" in given else "tnp"] / 100
    return LimingMaterial("lime", carbonate_equivalent=equivalent, moisture=given.get("moisture_pct", 0) / 100, **sieves)


def new_york(given: Case) -> Case:
    return {"env": 100 * material(given).effective_value("New York")}


def ohio(given: Case) -> Case:
    return {"enp_lb_per_ton": 2000 * material(given).effective_value("Ohio")}


def compound(given: Case) -> Case:
    return {"cce": 100 * fertility.carbonate_equivalent(given["material"].replace("MgO", "magnesium oxide"))}


def nitrogen_acid(given: Case) -> Case:
    per_n = fertility.UREA_CACO3_PER_N if given["source"] == "urea" else fertility.AMMONIUM_SULFATE_CACO3_PER_N
    return {"caco3_lb": fertility.acid_balance(n_kg_ha=given["n_lb"], caco3_per_n=per_n)[0].acid_kg_ha}


def sulfur(given: Case) -> Case:
    need = fertility.sulfur_need(**given, free_carbonate=False, living_roots=False)
    per_1000 = units.convert(need.total_kg_ha, "kg/ha", "lb/1000 ft2")
    return {"s_lb_acre": lb_acre(need.total_kg_ha), "s_lb_1000ft2": per_1000}


def simple_sulfur(given: Case) -> Case:
    def rate(texture: str) -> float:
        need = fertility.sulfur_need(ph=6.5, target_ph=6.5 - given["units"], texture=texture)
        return lb_acre(need.others[0]["rate_kg_ha"])

    return {"sand_lb_acre": rate("sand"), "heavy_lb_acre": rate("clay")}


def trees(given: Case) -> float:
    row, tree = (units.convert(float(given[key]), "ft", "m") for key in ("row_ft", "tree_ft"))
    return stand.trees_per_hectare(row_spacing_m=row, tree_spacing_m=tree)


def count(given: Case) -> Case:
    return {"trees_per_acre": units.convert(trees(given), "trees/ha", "trees/acre")}


def spray(given: Case) -> Case:
    volume, flow = f"{given['gal_acre']} gal/acre", f"{given['gpm']} gpm"
    liquid = fertility.liquid_per_tree(volume_l_ha=volume, trees_per_ha="1210 trees/acre", flow_l_min=flow)
    return {"gal_tree": units.convert(liquid.liters, "L", "gal"), "seconds": liquid.seconds}


def ounces_of_nitrogen(given: Case) -> Case:
    rates = Ground(f"{given['trees']} trees/acre").rates(g_per_tree=f"{given['n_oz_tree' if 'n_oz_tree' in given else 'n_oz']} oz/tree")
    return {"n_lb_acre": lb_acre(rates.field_kg_ha), "n_g_tree": rates.g_per_tree, "n_kg_ha": rates.field_kg_ha}


def band(given: Case) -> Case:
    ground = Ground(2500, band_m=f"{given['band_ft']} ft", row_spacing_m=f"{given['row_ft']} ft")
    treated = 43560 * ground.treated_share
    out = {"treated_ft2": treated, "row_length_ft": treated / given["band_ft"]}
    if (rate := given.get("k2o_lb_treated_acre")) is not None:
        out["k2o_lb_field_acre"] = lb_acre(ground.rates(treated_kg_ha=f"{rate} lb/acre").field_kg_ha)
    return out


def tree_by_tree(given: Case) -> Case:
    rate = given.get("n_lb_acre", given.get("p2o5_lb_acre"))
    content = given["pct_n" if "pct_n" in given else "pct_p2o5"]
    g = Ground(trees(given)).rates(field_kg_ha=f"{rate} lb/acre").g_per_tree
    amount = fertility.by_hand(
        product_g=fertility.product_for(nutrient_g=g, content_pct=content), density_kg_m3=f"{given['density_lb_ft3']} lb/ft3"
    )
    products = {"product_g_tree": amount.product_g, "product_oz_tree": amount.product_oz, "product_cups_tree": amount.cups}
    return count(given) | {"nutrient_g_tree": g} | products


def spot(given: Case) -> Case:
    ground = Ground(1000, ring_m=f"{given['radius_ft']} ft")
    square_feet = ground.treated_m2_per_tree / 0.3048**2
    return {"spot_ft2": square_feet, "n_g_tree": ground.rates(treated_kg_ha=f"{given['n_lb_treated_acre']} lb/acre").g_per_tree}


def removal(given: Case) -> Case:
    table = Tables().get("removal", "christmas-trees-2005")
    a_tree = {nutrient: 1000 * kg / table["trees_per_ha"] for nutrient, kg in table["kg_ha"].items()}
    oxide = {n: a_tree[n] / fertility.to_element(n, "oxide", 1) for n in ("P", "K")}
    nitrogen = lb_acre(table["kg_ha"]["N"])
    return {"n_g_tree": a_tree["N"], "p2o5_g_tree": oxide["P"], "k2o_g_tree": oxide["K"], "n_lb_acre": nitrogen}


def build_up(given: Case) -> Case:
    def oxide(nutrient: str, optimum_ppm: float, **rule: Any) -> float:
        test = measured({nutrient: optimum_ppm - given[f"d{nutrient.lower()}_ppm"]}, unit="ppm")
        read = fertility.interpret(test, "rutgers-levels")
        need = fertility.nutrient_need(read, nutrient, ground=Ground(2965), build_up_years=1, **rule)
        return lb_acre(need.low.field_kg_ha)

    # Rutgers' optimum begins above 71 lb P and 145 lb K an acre, at 2 lb/acre for 1 ppm
    return {
        "p2o5_lb_acre": oxide("P", 71 / 2),
        "k2o_lb_acre": oxide("K", 145 / 2, k2o_per_ppm_kg_ha=f"{given['k_lb_per_ppm']} lb/acre"),
    }


def spring_manure(given: Case) -> Case:
    organic = given["tons"] * given["org_n_lb_ton"]
    assert fertility.manure_release("cow", dry_matter_pct=12)[0] == given["avail_pct"] / 100
    return {"n_lb_acre": fertility.manure_nitrogen_kg([Manure("cow", 12, organic)])}


def compost(given: Case) -> Case:
    total = given["lb_yd3"] * given["n_pct"] / 100
    low, high = fertility.compost_nitrogen_kg(total)
    return {"total_n_lb_yd3": total, "avail_low": low, "avail_high": high}


def cups(given: Case) -> Case:
    def pounds(lb_ft3: float) -> float:
        return 28.349523125 / 453.59237 / fertility.by_hand(product_g="1 oz", density_kg_m3=f"{lb_ft3} lb/ft3").cups

    names = {"urea": "urea", "dap": "dap", "mop": "mop", "ams": "ams_gran"}
    return {f"{name}_lb_cup": pounds(given[key]) for name, key in names.items()}


def map_then_sulfate(given: Case) -> Case:
    phosphate = Product(name="MAP of the page", n_pct=11, p2o5_pct=55).kg_to_supply("P2O5", given["p2o5"])
    rest = given["n"] - phosphate * 0.11
    return {"map_lb": phosphate, "n_from_map": phosphate * 0.11, "as_lb": Product(like="AS").kg_to_supply("N", rest)}


def rating(region: str) -> Callable[[Case], Case]:
    def found(given: Case) -> Case:
        table = {"coast": "uga-evergreen-nursery-coastal", "pied": "uga-evergreen-nursery-piedmont"}.get(region, "rutgers-levels")
        by = "Mehlich-3" if region == "rutgers" else "Mehlich-1"
        reading = fertility.interpret(measured({given["nutrient"]: f"{given['lb_acre']} lb/acre"}, by), table).reading(given["nutrient"])
        assert reading is not None
        return {"rating": reading["class"]}

    return found


# The beginning that the ids of a family share, longest first.
WAYS: dict[str, Callable[[Case], Case]] = {
    "conv-ppm-lbacre-depth": lb_by_depth,
    "conv-ppm-lbacre": lb_from_ppm,
    "conv-": oxides,
    "furrow-slice-notes": slice_by_density,
    "meq-ca": meq("Ca"),
    "meq-mg": meq("Mg"),
    "meq-k": meq("K"),
    "meq-al": meq("Al"),
    "cec-clemson": clemson,
    "cec-smp-style": smp_exchange,
    "base-sat-page": base_shares,
    "om-": humus,
    "extract-m3-to-old-p": converted("P", "mehlich-3-to-bray-p1"),
    "extract-m3-to-old-k": converted("K", "mehlich-3-to-acetate-k"),
    "extract-m3-to-old-ca": converted("Ca", "mehlich-3-to-acetate-ca"),
    "extract-m3-to-old-mg": converted("Mg", "mehlich-3-to-acetate-mg"),
    "rutgers-mn": manganese,
    "lime-ncda-acidity": mehlich_acidity,
    "lime-ncda": mehlich,
    "lime-psu-6.5": penn_state,
    "acidity-adams-evans": adams_evans_acidity,
    "lime-adams-evans": adams_evans,
    "lime-meq-kgha": acid_layer,
    "lime-mehlich-1976": mehlich_1976,
    "lime-depth-tristate": surface_share,
    "env-ny-medium": new_york,
    "enp-ohio-formula": ohio,
    "cce-caco3": compound,
    "cce-MgCO3": compound,
    "cce-CaMg(CO3)2": compound,
    "cce-MgO": compound,
    "nacid-urea": nitrogen_acid,
    "nacid-as": nitrogen_acid,
    "sulfur-simple": simple_sulfur,
    "sulfur-sand": sulfur,
    "sulfur-loam": sulfur,
    "sulfur-clay": sulfur,
    "fert-map-as": map_then_sulfate,
    "tree-count": count,
    "tree-gal": spray,
    "tree-n-msu": ounces_of_nitrogen,
    "tree-oz-metric": ounces_of_nitrogen,
    "tree-spot": spot,
    "tree-": tree_by_tree,
    "band-": band,
    "manure-cornell": spring_manure,
    "compost": compost,
    "bulk-cups": cups,
    "buildup": build_up,
    "removal-per-tree": removal,
    "rate-uga-coast": rating("coast"),
    "rate-uga-pied": rating("pied"),
    "rate-rutgers": rating("rutgers"),
}

# What no function of the Python side computes by itself; the Rust tests have them.
ELSEWHERE = {
    "extract-same-soil-cornell": "below, as a refusal",
    "lime-smp": "below, from memory",
    "env-ny-rate": "a division by the value of env-ny-medium",
    "cce-psu-garden": "a division by the equivalent",
    "enp-ohio-cost": "a division by the effective value",
    "aglime-factor-uga": "a mean of five limes",
    "nacid-theory": "a limit that is not used",
    "sulfur-rhs": "another source, beside the table",
    "fert-17-7-0": "a batch of old materials",
    "fert-ibdu": "old materials",
    "small-area": "units",
    "needled-evergreen": "units",
    "organic-jim": "old materials",
    "bulk-urea-quart": "a density",
    "bulk-an-pint": "densities",
    "removal-spacing": "a plantation's own count of trees",
    "pine-p": "a table for pine forests, in words of response",
}


LOOSER = {
    # the notes round Ca to 200 ppm in a meq; the atomic weight gives 200.39
    "meq-ca-notes": 4 * 0.5,
    # the notes take 9 g for an equivalent of Al; the atomic weight gives 8.994
    "meq-al-notes": 0.2,
}


def way(case_id: str) -> Callable[[Case], Case] | None:
    fitting = [beginning for beginning in WAYS if case_id.startswith(beginning)]
    return WAYS[max(fitting, key=len)] if fitting else None


COMPUTED = [case for case in CASES if way(case["id"])]


def test_every_case_is_computed_or_named() -> None:
    rest = [case["id"] for case in CASES if not way(case["id"]) and not case["id"].startswith(tuple(ELSEWHERE))]
    assert not rest
    assert len(COMPUTED) > 85


@pytest.mark.parametrize("case", COMPUTED, ids=[case["id"] for case in COMPUTED])
def test_published_value(case: Case) -> None:
    compute = way(case["id"])
    assert compute is not None
    found = compute(case["inputs"])
    keys = found.keys() & case["expected"].keys()
    assert keys, f"{case['id']}: nothing to compare"
    memory = " (from memory)" if case["provenance"] == "memory" else ""
    for key in keys:
        ours, printed = found[key], case["expected"][key]
        where = f"{case['id']}{memory}: {case['source']} prints {key} {printed}, not {ours}"
        if isinstance(printed, str):
            assert ours == printed, where
            continue
        tolerance = LOOSER.get(case["id"], case["abs_tolerance"][key])
        if case["status"] == "ok":
            # recomputed rows end at ten places
            assert abs(ours - printed) <= max(tolerance, 1e-9 * abs(printed)) + 1e-9, where
        else:
            right = case["recomputed"][key]
            # atomic weights of another year
            assert abs(ours - right) <= 1e-5 * abs(right), f"{case['id']}: {key} is {right}, not {ours}"
            assert abs(ours - printed) > tolerance, f"{case['id']}: the misprint {printed} of {case['source']} was followed"


def table(name: str) -> dict[str, Any]:
    return next(t for t in FILE["table"] if t["id"] == name)


def test_the_38_rows_of_the_turf_table() -> None:
    rows = table("psu-turf-lime")["rows"]
    assert len(rows) == 38
    for acidity, *rates in rows:
        for target, printed in zip((7.0, 6.5, 6.0), rates, strict=True):
            test = SoilTest(ph=4.5, exchangeable_acidity_meq=acidity)
            need = fertility.lime_requirement(test, target, "exchangeable acidity table")
            assert units.convert(need.rate_kg_ha, "kg/ha", "lb/1000 ft2") == pytest.approx(printed, abs=1e-6), (acidity, target)


def test_smp_rows_from_memory_are_off_until_asked_for() -> None:
    for buffer, _, to_7, to_65, to_6, organic in table("smp-lime")["rows"]:
        test = SoilTest(ph=4.5, buffer=buffer, buffer_method="SMP")
        for target, tons in ((7.0, to_7), (6.5, to_65), (6.0, to_6)):
            need = fertility.lime_requirement(test, target, "SMP buffer", from_memory=True)
            assert tons_acre(need.rate_kg_ha) == pytest.approx(tons, abs=1e-9), f"SMP {buffer} to {target} (from memory)"
        need = fertility.lime_from_table(test, 5.2, "smp-organic", tables=Tables(from_memory=True))
        assert tons_acre(need.rate_kg_ha) == pytest.approx(organic, abs=1e-9), f"SMP {buffer}, organic soils (from memory)"
    with pytest.raises(ValueError, match="written down from memory and nobody has checked it"):
        fertility.lime_requirement(SoilTest(ph=5, buffer=6.2, buffer_method="SMP"), 6.5, "SMP buffer")


def test_ranges_of_two_tables_of_one_university_stand_side_by_side() -> None:
    for name, key in (("ph-msu-page", "msu-soil-ph"), ("ph-msu-2022", "msu-nutrient-management")):
        for names, low, high in table(name)["rows"]:
            species = {"balsam/Canaan fir": "Canaan fir", "Black Hills/white spruce": "white spruce"}.get(names, names)
            target = next(t for t in fertility.ph_targets(species).targets if t["table"].startswith(key))
            assert (target["row"]["low"], target["row"]["high"]) == (low, high), (name, species)


def test_nitrogen_of_fraser_fir_by_year() -> None:
    ground = Ground("1200 trees/acre")
    rows = table("n-msu-fraser")["rows"]
    for (name, low, high), (age, sale) in zip(rows, [(0, False), (1, False), (2, False), (3, False), (6, False), (7, True)], strict=True):
        need = fertility.nitrogen_need(age_years=age, sale_year=sale, ground=ground, table="msu-fraser-fir")
        assert need.low.g_per_tree / 28.349523125 == pytest.approx(low), name
        if isinstance(high, float):
            assert need.high is not None
            assert need.high.g_per_tree / 28.349523125 == pytest.approx(high), name
        else:
            assert need.high is None, name


def test_needles_of_balsam_fir() -> None:
    rows = {item: (low, high) for item, low, high in table("foliar-balsam-nb")["rows"]}
    assert rows["N %"] == (1.67, 2.0)
    for nitrogen, standing in ((1.66, "below"), (1.67, "within"), (2.0, "within"), (2.01, "above")):
        read = fertility.interpret_foliar(fertility.FoliarTest("balsam fir", {"N": nitrogen}), "balsam-fir-new-brunswick")
        assert read.lines[0]["standing"] == standing


def test_one_soil_by_four_extractants_is_not_averaged() -> None:
    case = next(c for c in CASES if c["id"] == "extract-same-soil-cornell")
    names = {"morgan": "Morgan", "modified_morgan": "modified Morgan", "mehlich3": "Mehlich-3", "bray1": "Bray P1"}
    tests = [measured({"P": f"{case['expected'][key]} lb/acre"}, by) for key, by in names.items()]
    with pytest.raises(ValueError, match=r"P was extracted in 4 ways .* and their mean means nothing"):
        fertility.mean_ppm(tests, "P")
    with pytest.raises(ValueError, match="nothing is converted silently"):
        fertility.interpret(tests[0], "rutgers-levels")
