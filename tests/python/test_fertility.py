"""From a lab sheet to bags in Python: what comes in, what is refused and how, tables of one's own, laws, records."""

import json
import pickle
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dibble import fertility, units
from dibble.errors import (
    DibbleTypeError,
    FileError,
    InconsistentError,
    MissingError,
    OutOfRangeError,
    SeveralError,
    UnknownNameError,
    UnreadableError,
)
from dibble.fertility import FoliarTest, Ground, LimingMaterial, Product, Recommendation, SoilTest, Tables

KINDS = ["soil", "ph", "lime", "sulfur", "nitrogen", "removal", "foliar", "conversion"]
DATA = Path(__file__).parents[2] / "src/data"


def sheet(**changes: Any) -> SoilTest:
    """Give a lab sheet of an acid, poor block."""
    values: dict[str, Any] = {
        "sample": "Block 3",
        "sampled": "2026-10-05",
        "depth_m": "7 in",
        "cores": 15,
        "ph": 5.2,
        "ph_method": "water",
        "buffer": 6.2,
        "buffer_method": "Mehlich",
        "measured": {"P (element)": "30 lb/acre", "K (element)": "90 lb/acre", "Ca": "1500 lb/acre", "Mg": "120 lb/acre"},
        "extractant": "Mehlich-3",
    }
    return SoilTest(**(values | changes))


def year(test: SoilTest, **changes: Any) -> Recommendation:
    values: dict[str, Any] = {
        "ground": Ground("1200 trees/acre", ring_m="1.2 ft"),
        "today": "2027-03-01",
        "age_years": 3,
        "area_ha": "1.5 acres",
        "soil_table": "rutgers-levels",
        "ph_table": "msu-soil-ph",
        "products": [
            Product(like="urea", bag_kg="50 lb", price_per_bag=24.0),
            Product(like="DAP", bag_kg="50 lb", price_per_bag=30.0),
            Product(like="MOP", bag_kg="50 lb", price_per_bag=28.0),
            Product(like="TSP", bag_kg="50 lb", price_per_bag=31.0),
        ],
    }
    return fertility.recommend(test, "Fraser fir", **(values | changes))


def test_a_lab_sheet_becomes_lime_bags_and_ounces() -> None:
    answer = year(sheet())
    assert answer.status == "usable with assumption"
    assert answer.ask == []
    assert answer.interpretation is not None
    assert {r["nutrient"]: r["class"] for r in answer.interpretation.readings if r["class"]} == {
        "P": "low",
        "K": "medium",
        "Ca": "high",
        "Mg": "medium",
    }
    assert answer.lime is not None
    assert answer.lime.verdict == "lime"
    assert "Magnesium is below the optimum by the soil test: lime with dolomite." in answer.lime.cautions
    assert answer.exchange is not None
    assert answer.exchange.term == "Mehlich"
    assert answer.nitrogen is not None
    assert answer.nitrogen.low.g_per_tree / 28.349523125 == pytest.approx(1.0)
    assert answer.mix is not None
    assert answer.mix["conflicts"] == []
    bags = {row["product"]: row["bags"] for row in answer.mix["blend"]["amounts"] if row["bags"]}  # type: ignore[index]
    assert bags
    first = answer.mix["rounds"][0]["amounts"][0]
    trees = round(1.5 * 1200)
    whole = sum(row["kg"] for row in answer.mix["blend"]["amounts"] if row["product"] == first["product"])  # type: ignore[index]
    assert first["rates"]["g_per_tree"] * trees / 1000 == pytest.approx(whole, rel=1e-3)
    assert any("well" in caution for caution in answer.cautions)
    assert any("not a certified nutrient management plan" in caution for caution in answer.cautions)
    assert "burn" in " ".join(answer.warnings)
    steps = str(answer.explain())
    assert "class of K" in steps
    assert "Mehlich buffer" in steps
    text = str(answer)
    assert "Store it dry" in text
    assert answer._repr_html_().startswith("<pre>Recommendation\n  status: usable with assumption")


def test_what_is_not_known_is_asked_for_and_nothing_is_chosen() -> None:
    answer = fertility.recommend(sheet(), "balsam fir", ground=Ground(2965), today="2027-03-01", age_years=3)
    assert answer.lime is None
    assert any("The sources differ: msu-soil-ph@web page 6-6.5, msu-nutrient-management@2022 5.5-6" in ask for ask in answer.ask)
    old = fertility.recommend(sheet(sampled="2022-05-01"), "Fraser fir", ground=Ground(2965), today="2027-03-01", age_years=3)
    assert old.status == "not usable"
    assert old.needs == []
    assert "Sample again." in old.usability.reasons[0]["words"]


def test_form_unit_and_extractant_are_never_guessed() -> None:
    with pytest.raises(MissingError, match=r"the form of P is missing. Say whether 25 ppm is the element P or the oxide P2O5."):
        SoilTest(measured={"P": "25 ppm"}, extractant="Mehlich-3")
    with pytest.raises(MissingError, match="the extractant of K is missing"):
        SoilTest(measured={"K2O": "120 lb/acre"})
    with pytest.raises(MissingError, match="the unit of Mg is missing"):
        SoilTest(measured={"Mg": 80}, extractant="Mehlich-3")
    with pytest.raises(UnknownNameError, match=r'extractant "Mehlch-3" is not known. Did you mean "Mehlich-3"'):
        SoilTest(measured={"Mg": "80 ppm"}, extractant="Mehlch-3")
    with pytest.raises(SeveralError) as caught:
        SoilTest(measured={"Qq": "1 ppm", "Mg": "many ppm", "K": 10})
    assert [type(p).__name__ for p in caught.value.problems] == ["UnknownNameError", "UnreadableError", "MissingError"]
    element = SoilTest(measured={"P (element)": "10 ppm"}, extractant="Olsen")
    oxide = SoilTest(measured={"P2O5": "22.914 ppm"}, extractant="Olsen")
    assert element.ppm("P") == pytest.approx(oxide.ppm("P"), rel=1e-4)
    with pytest.raises(InconsistentError, match="stands twice in one test"):
        SoilTest(measured={"P2O5": "20 ppm", "P (element)": "10 ppm"}, extractant="Olsen")


def test_lime_index_and_buffer_ph_are_told_apart_and_noted() -> None:
    assert SoilTest(ph=5, buffer=6.2, buffer_method="SMP").assumptions[0]["key"] == "ph_in_water"
    guessed = SoilTest(ph=5, ph_method="water", buffer=62, buffer_method="SMP")
    assert guessed.buffer_ph == 6.2
    assert [a["key"] for a in guessed.assumptions] == ["lime_index_read"]
    said = SoilTest(ph=5, ph_method="water", buffer=62, buffer_method="SMP", lime_index=True)
    assert said.buffer_ph == 6.2
    assert said.assumptions == []
    with pytest.raises(OutOfRangeError, match="buffer pH"):
        SoilTest(ph=5, buffer=8.4, buffer_method="SMP")
    with pytest.raises(OutOfRangeError, match="62"):
        SoilTest(ph=5, buffer=62, buffer_method="SMP", lime_index=False)
    with pytest.raises(MissingError, match="buffer_method is missing"):
        SoilTest(ph=5, buffer=6.2)
    with pytest.raises(OutOfRangeError, match="ph is 62"):
        SoilTest(ph=62)


def test_bad_questions_about_lime_are_refused() -> None:
    with pytest.raises(InconsistentError, match=r"the target pH 5 lies below the soil's pH 5.2, and lime only raises it"):
        fertility.lime_requirement(sheet(), 5.0, "Mehlich buffer")
    with pytest.raises(InconsistentError, match="the buffer of this test is Mehlich and the method holds for Adams-Evans"):
        fertility.lime_requirement(sheet(), 6.0, "Adams-Evans buffer")
    with pytest.raises(UnknownNameError, match=r'lime method "Mehlick buffer" is not known. Did you mean "Mehlich buffer"'):
        fertility.lime_requirement(sheet(), 6.0, "Mehlick buffer")  # type: ignore[arg-type]
    with pytest.raises(MissingError, match=r"ph_table is missing\. The sources differ"):
        fertility.lime_advice(sheet(), "Fraser fir", method="Mehlich buffer")
    with pytest.raises(MissingError, match="recent_kg_ha or recent_months"):
        fertility.lime_requirement(sheet(), 6.0, "Mehlich buffer", recent_kg_ha=1000)
    with pytest.raises(UnknownNameError, match='Did you mean "Fraser fir"'):
        fertility.ph_targets("Frasier fir")
    with pytest.raises(DibbleTypeError, match="target_ph"):
        fertility.lime_requirement(sheet(), "six", "Mehlich buffer")  # type: ignore[arg-type]
    with pytest.raises(DibbleTypeError, match="ground is of class int: a Ground is needed"):
        fertility.nitrogen_need(age_years=2, ground=3, table="msu-fraser-fir")  # type: ignore[arg-type]
    with pytest.raises(MissingError, match="A band needs the distance from row to row"):
        Ground(2965, band_m=1.0)
    with pytest.raises(InconsistentError, match="cover more than the field"):
        Ground(2965, ring_m=1.2)


def test_values_below_detection_show_what_the_policy_does() -> None:
    test = SoilTest(measured={"P (element)": "<30 lb/acre", "K (element)": "ND", "Mg": ">400 ppm"}, unit="ppm", extractant="Mehlich-3")
    half = fertility.interpret(test, "rutgers-levels")
    phosphorus = half.reading("P")
    assert phosphorus is not None
    assert phosphorus["class"] == "very low"
    assert phosphorus["possible"] == ["very low", "low"]
    assert dict(phosphorus["by_policy"]) == {"limit": "low", "half": "very low", "zero": "very low", "leave out": None}
    limit = fertility.interpret(test, "rutgers-levels", policy="limit").reading("P")
    assert limit is not None
    assert limit["class"] == "low"
    assert test.ppm("K") is None
    assert test.ppm("K", policy="zero") == 0.0
    assert test.ppm("Zn") is None
    assert [v["ppm"] for v in test.values] == ["<15", "ND", ">400"]


def test_a_conversion_is_made_on_request_and_marked() -> None:
    test = SoilTest(measured={"P (element)": "20 ppm"}, extractant="Bray P1")
    with pytest.raises(InconsistentError, match="nothing is converted silently"):
        fertility.interpret(test, "rutgers-levels")
    both = test.converted("bray-p1-to-mehlich-3")
    assert both.ppm("P", extractant="Mehlich-3") == 27.0
    reading = fertility.interpret(both, "rutgers-levels").reading("P")
    assert reading is not None
    assert "not measured by Mehlich-3: converted by" in (reading["note"] or "")
    with pytest.raises(InconsistentError, match="has 2 editions"):
        SoilTest(measured={"P (element)": "20 ppm"}, extractant="Mehlich-3").converted("mehlich-3-to-bray-p1")


OWN = """
[[table]]
id = "ours"
edition = "2027"
title = "Our consultant"
region = "one farm"
crops = ["any"]
extractant = "Mehlich-3"
unit = "ppm"
edge = "upper class"
cite = { source = "our consultant", provenance = "common practice" }

[[table.nutrient]]
nutrient = "P"
classes = [
  { name = "poor", to = 20, meaning = "short", rate = { low = 40, high = 60, unit = "lb/acre", form = "oxide" } },
  { name = "fine", from = FROM, meaning = "enough" },
]
"""


def test_tables_of_ones_own_stand_beside_ours(tmp_path: Path) -> None:
    file = tmp_path / "ours.toml"
    file.write_text(OWN.replace("FROM", "20"))
    tables = Tables(soil=file)
    assert tables.index("soil")[-1] == {
        "key": "ours@2027",
        "title": "Our consultant",
        "source": "our consultant [common practice]",
        "from_memory": False,
    }
    assert len(tables.index("soil")) == len(Tables().index("soil")) + 1
    test = SoilTest(measured={"P (element)": "12 ppm"}, extractant="Mehlich-3")
    read = fertility.interpret(test, "ours", tables=tables)
    need = fertility.nutrient_need(read, "P", ground=Ground(2965), tables=tables)
    assert need.basis == "rate of the table"
    assert units.convert(need.high.field_kg_ha, "kg/ha", "lb/acre") == pytest.approx(60.0)
    keys = [i.table for i in fertility.compare_tables(test, tables=tables).interpretations]
    assert "ours@2027" in keys
    assert "rutgers-levels@web page" in keys
    assert pickle.loads(pickle.dumps(tables)) == tables
    with pytest.raises(InconsistentError, match='interpretation table "ours@2027" is there already'):
        Tables(soil=[file, file])
    with pytest.raises(UnknownNameError, match='"ours"'):
        fertility.interpret(test, "ours")


def test_a_gap_between_classes_is_refused_with_its_place(tmp_path: Path) -> None:
    file = tmp_path / "gap.toml"
    file.write_text(OWN.replace("FROM", "25"))
    with pytest.raises(InconsistentError) as caught:
        Tables(soil=file)
    assert str(caught.value) == (
        f'{file}, line 2, table ours@2027, P, class "fine": there is a gap: the class before ends at 20 and this one begins at 25. '
        "Let it begin where the other ends."
    )
    file.write_text("[[table]]\nid = 3")
    with pytest.raises(UnreadableError, match=r"gap\.toml, line 2"):
        Tables(soil=file)
    with pytest.raises(FileError, match=r"none\.toml"):
        Tables(ph=tmp_path / "none.toml")
    with pytest.raises(UnknownNameError, match=r'kind of table "soils" is not known. Did you mean "soil"'):
        Tables().index("soils")


@pytest.mark.parametrize("kind", KINDS)
def test_shipped_tables_keep_their_published_schema(kind: str) -> None:
    schema = json.loads(Tables.schema(kind))
    jsonschema.Draft202012Validator.check_schema(schema)
    files = {"ph": "target_ph", "conversion": "extractant_conversions"}
    content = tomllib.loads((DATA / f"{files.get(kind, f'{kind}_tables')}.toml").read_text())
    jsonschema.validate(content, schema)
    content["table"][0]["colour"] = "red"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(content, schema)
    first = Tables().index(kind)[0]["key"]
    assert f"{Tables().get(kind, first)['id']}@" in first


def test_treated_acre_and_field_acre_are_shown_together() -> None:
    ring = Ground("1200 trees/acre", ring_m="1 ft")
    rates = ring.rates(g_per_tree="0.5 oz/tree")
    assert round(units.convert(rates.treated_kg_ha, "kg/ha", "lb/acre")) == 433
    assert units.convert(rates.field_kg_ha, "kg/ha", "lb/acre") == pytest.approx(37.5)
    (warning,) = ring.nitrogen_warnings(g_per_tree="0.5 oz/tree")
    assert "above 4.0: roots may burn" in warning
    assert ring.nitrogen_warnings(g_per_tree=1.0) == []
    with pytest.raises(MissingError, match="one amount is missing"):
        ring.rates(field_kg_ha=1, g_per_tree=2)


def test_pale_trees_are_not_only_hungry() -> None:
    needles = fertility.interpret_foliar(FoliarTest("balsam fir", {"N": 1.9, "P": 0.25}), "balsam-fir-new-brunswick")
    signs = fertility.measured_signs(ph=6.9, species="Fraser fir", ph_table="msu-soil-ph", needles=needles)
    assert signs == ["pH above the range", "nitrogen in range in the needles"]
    found = fertility.rank_pale([*signs, "new needles first", "hard or limy water"])
    assert not found.causes[0]["cured_by_fertilizer"]
    assert "pH above the range" in found.causes[0]["speaks_for"]
    assert all(cause["test"] and cause["source"] for cause in found.causes)
    assert {"drought", "planting"} & {word for cause in found.causes for word in cause["name"].lower().split()}
    with pytest.raises(UnknownNameError, match='Did you mean "yellow tips"'):
        fertility.rank_pale(["yelow tips"])
    with pytest.raises(InconsistentError, match="exclude each other"):
        fertility.rank_pale(["older needles first", "new needles first"])
    assert set(signs) <= set(fertility.pale_signs())


def test_needle_tests_declare_what_does_not_fit() -> None:
    test = FoliarTest("Fraser fir", {"N": "15 mg/g", "K": 0.6}, sampled="2026-07-20", tissue="leader", stand="Christmas trees")
    found = fertility.compare_foliar(test)
    assert found.ask is not None
    assert found.ask.startswith("No table holds for Fraser fir")
    words = " ".join(mismatch for read in found.readings for mismatch in read.mismatches)
    assert "leader" in words
    assert "2026-07-20" in words or "month 7" in words
    with pytest.raises(UnreadableError, match="the value of N"):
        FoliarTest("Fraser fir", {"N": "a lot"})


RECORDS = [
    sheet(),
    Ground(2965, ring_m=0.3),
    Ground(2965, band_m=1.2, row_spacing_m=1.8),
    Ground(2965).rates(g_per_tree=14),
    Product(like="DAP", price_per_kg=1.1, bag_kg=25),
    FoliarTest("Fraser fir", {"N": "15 mg/g", "B": "12 ppm"}, sampled="2026-11-02", tissue="upper third"),
    LimingMaterial("lime", carbonate_equivalent=0.9, pass_20=0.9, pass_60=0.5, pass_100=0.3, price_per_t=40),
    fertility.usability(sheet(), "2027-03-01"),
    fertility.interpret(sheet(), "rutgers-levels"),
    fertility.compare_tables(sheet()),
    fertility.cec_by_summation(sheet(), acidity="Mehlich"),
    fertility.lime_requirement(sheet(), 6.0, "Mehlich buffer"),
    fertility.lime_advice(sheet(), "Fraser fir", method="Mehlich buffer", ph_table="msu-soil-ph"),
    fertility.ph_targets("Fraser fir"),
    fertility.sulfur_need(ph=6.8, target_ph=5.8, texture="silt loam"),
    fertility.water_load(irrigation_mm=300, alkalinity_mg_l=200, ec_ds_m=0.8, na_mg_l=20, ca_mg_l=60, mg_mg_l=20),
    fertility.nitrogen_need(age_years=3, ground=Ground(2965), table="msu-fraser-fir"),
    fertility.nutrient_need(fertility.interpret(sheet(), "rutgers-levels"), "K", ground=Ground(2965)),
    fertility.by_hand(product_g=31, density_kg_m3=740, scoop_ml=30, bag_kg=22.7, trees=1800),
    fertility.spreader(rate_kg_ha=100, swath_m=2, distance_m=50, caught_kg=1.25),
    fertility.interpret_foliar(FoliarTest("balsam fir", {"N": 1.5}), "balsam-fir-new-brunswick"),
    fertility.compare_foliar(FoliarTest("balsam fir", {"N": 1.5})),
    fertility.rank_pale(["yellow tips"]),
    year(sheet()),
]


@pytest.mark.parametrize("record", RECORDS, ids=lambda record: type(record).__name__)
def test_records_survive_json_and_pickle_and_print(record: Any) -> None:
    again = type(record).from_json(record.to_json())
    assert again == record
    assert pickle.loads(pickle.dumps(record)) == record
    assert again.to_dict() == record.to_dict() == json.loads(record.to_json())
    assert str(record)
    assert record._repr_html_().startswith(("<pre>", "<table>"))
    assert (record == object()) is False


@pytest.mark.parametrize("record", RECORDS[:3] + RECORDS[4:7], ids=lambda record: type(record).__name__)
def test_the_repr_of_what_is_given_evaluates(record: Any) -> None:
    names = {"SoilTest": SoilTest, "Ground": Ground, "Product": Product, "FoliarTest": FoliarTest, "LimingMaterial": LimingMaterial}
    assert eval(repr(record), names | {"True": True, "False": False}) == record


def test_newer_records_and_unknown_keys_are_refused() -> None:
    need = fertility.lime_requirement(sheet(), 6.0, "Mehlich buffer")
    newer = need.to_json().replace('"schema":1', '"schema":99')
    with pytest.raises(UnreadableError, match=r"schema 99 is newer than this library reads"):
        type(need).from_json(newer)
    with pytest.raises(UnreadableError, match="unknown field"):
        SoilTest.from_json('{"sampel": "x"}')
    with pytest.raises(OutOfRangeError, match="n_pct"):
        Product.from_json(Product(like="urea").to_json().replace('"n_pct":46.0', '"n_pct":460.0'))


@given(p=st.floats(0, 300), k=st.floats(0, 400), more=st.floats(0, 300))
@settings(max_examples=60, deadline=None)
def test_more_in_the_soil_never_raises_the_rate(p: float, k: float, more: float) -> None:
    def rate(nutrient: str, value: float) -> float:
        test = SoilTest(measured={f"{nutrient} (element)": value}, unit="lb/acre", extractant="Mehlich-3")
        read = fertility.interpret(test, "rutgers-levels")
        return fertility.nutrient_need(read, nutrient, ground=Ground(2965), removal="christmas-trees-2005").high.field_kg_ha

    assert rate("P", p + more) <= rate("P", p) + 1e-9
    assert rate("K", k + more) <= rate("K", k) + 1e-9


@given(ph=st.floats(4.5, 6.2), buffer=st.floats(5.4, 6.6), less=st.floats(0, 0.4), target=st.floats(6.2, 6.6))
@settings(max_examples=60, deadline=None)
def test_more_acidity_never_needs_less_lime(ph: float, buffer: float, less: float, target: float) -> None:
    def rate(value: float) -> float:
        test = SoilTest(ph=ph, buffer=value, buffer_method="Mehlich")
        return fertility.lime_requirement(test, target, "Mehlich buffer").rate_kg_ha

    assert rate(buffer - less) >= rate(buffer) - 1e-9


@given(area=st.floats(0.1, 40))
@settings(max_examples=20, deadline=None)
def test_the_block_scales_with_its_area(area: float) -> None:
    one, many = year(sheet(), area_ha=1.0, bags="loose"), year(sheet(), area_ha=area, bags="loose")
    assert one.mix is not None
    assert many.mix is not None
    assert one.mix["blend"] is not None
    assert many.mix["blend"] is not None
    assert many.mix["blend"]["cost"] == pytest.approx(one.mix["blend"]["cost"] * area, rel=1e-6)
    grams = [a["rates"]["g_per_tree"] for a in one.mix["rounds"][0]["amounts"]]
    assert [a["rates"]["g_per_tree"] for a in many.mix["rounds"][0]["amounts"]] == pytest.approx(grams, rel=1e-6)


def test_quantities_with_units_are_converted() -> None:
    registry: Any = pint.UnitRegistry()
    ground = Ground(registry.Quantity(1200, "1 / acre"), ring_m=registry.Quantity(1, "foot"))
    assert ground.trees_per_ha == pytest.approx(Ground("1200 trees/acre").trees_per_ha, rel=1e-5)
    assert ground.rates(g_per_tree=registry.Quantity(0.5, "ounce")).g_per_tree == pytest.approx(14.1747615625)
    urea: Any = {"like": "urea", "bag_kg": registry.Quantity(50, "pound"), "density_low_kg_m3": registry.Quantity(46, "pound / foot ** 3")}
    assert Product(**urea, price_per_bag=24).bag_kg == pytest.approx(22.6796185)
    with pytest.raises(DibbleTypeError, match="cannot be converted to kilogram"):
        Product(like="urea", bag_kg=registry.Quantity(50, "liter"))


def test_formulas_take_columns() -> None:
    lime = fertility.water_lime_kg_ha(irrigation_mm=np.array([100.0, np.nan, 300.0]), alkalinity_mg_l=200)
    assert lime[[0, 2]].tolist() == [200.0, 600.0]
    assert np.isnan(lime[1])
    years = fertility.acid_balance(n_kg_ha=[50, 60], caco3_per_n=5.4, irrigation_mm=100, alkalinity_mg_l=150, lime_kg_ha=[0, 500])
    assert [round(y.balance_kg_ha, 6) for y in years] == [-120.0, 206.0]
    with pytest.raises(InconsistentError, match="year 2"):
        fertility.acid_balance(n_kg_ha=50, caco3_per_n=[1.8, 80])
    with pytest.raises(DibbleTypeError, match="shapes do not fit together"):
        fertility.acid_balance(n_kg_ha=[1, 2], caco3_per_n=[1.8, 1.8, 1.8])


def test_a_class_without_a_number_is_read_by_the_labs_own_table() -> None:
    georgia = "uga-evergreen-nursery-coastal"
    test = SoilTest(measured={"K (element)": "55 lb/acre"}, rated={"Mg": "low"}, extractant="Mehlich-1")
    readings = {r["nutrient"]: r for r in fertility.interpret(test, georgia).readings}
    assert (readings["Mg"]["meaning"], readings["Mg"]["ppm"]) == ("short", None)
    told = SoilTest(measured={"K (element)": "55 lb/acre"}, rated={"Mg": ("sufficient", "enough")}, extractant="Mehlich-1")
    assert {r["nutrient"]: r["meaning"] for r in fertility.interpret(told, georgia).readings}["Mg"] == "enough"
    assert eval(repr(told), {"SoilTest": SoilTest}) == told
