//! Published values about soil, from tests/reference/soil.toml, against the library.

#![allow(clippy::unwrap_used, clippy::panic)]

use dibble::soil::feel::{Band, Group};
use dibble::soil::intake::{self, GreenAmpt, Surface};
use dibble::soil::runoff::{self, Antecedent, Condition, Cover, HydrologicGroup};
use dibble::soil::{Measured, Particles, Soil, TextureClass, published, salinity, texture_class};
use std::collections::HashMap;
use toml::{Table, Value};

const MM_PER_IN: f64 = 25.4;

struct Case {
    id: String,
    place: String,
    provenance: String,
    inputs: Table,
    expected: Table,
    tolerance: Table,
}

impl Case {
    fn input(&self, key: &str) -> f64 {
        number(self.inputs.get(key).unwrap_or_else(|| panic!("{}: no input {key}", self.place)))
    }
    fn word(&self, key: &str) -> &str {
        self.inputs.get(key).and_then(Value::as_str).unwrap_or_else(|| panic!("{}: no word {key}", self.place))
    }
    fn expect(&self, key: &str) -> f64 {
        number(self.expected.get(key).unwrap_or_else(|| panic!("{}: no value {key}", self.place)))
    }
    fn list(&self, key: &str) -> Vec<f64> {
        let value = self.expected.get(key).or_else(|| self.inputs.get(key));
        value.and_then(Value::as_array).unwrap_or_else(|| panic!("{}: no list {key}", self.place)).iter().map(number).collect()
    }
    fn tolerance(&self, key: &str) -> f64 {
        self.tolerance.get(key).map_or(0.0, number)
    }
    fn near(&self, what: &str, got: f64, want: f64, tolerance: f64) {
        assert!((got - want).abs() <= tolerance, "{}: {what} is {got}, not {want} within {tolerance}", self.place);
    }
    fn range_is(&self, what: &str, got: (f64, f64), want: &[f64]) {
        // Values that went through a division by 12 or a product with 25.4 and back differ in the last bits.
        self.near(what, got.0, want[0].min(want[1]), 1e-12);
        self.near(what, got.1, want[0].max(want[1]), 1e-12);
    }
    fn is_from_memory(&self) -> bool {
        self.provenance == "memory"
    }
}

fn number(value: &Value) -> f64 {
    value.as_float().or_else(|| value.as_integer().map(|i| i as f64)).unwrap_or_else(|| panic!("{value} is no number"))
}

/// The cases whose id begins so; as many as stand in the file, so that none is lost unnoticed.
fn cases(prefix: &str, count: usize) -> Vec<Case> {
    let file: Table = include_str!("reference/soil.toml").parse().unwrap();
    let all = file["case"].as_array().unwrap();
    let text = |case: &Value, key: &str| case[key].as_str().unwrap().to_string();
    let table = |case: &Value, key: &str| case.get(key).and_then(Value::as_table).cloned().unwrap_or_default();
    let found: Vec<Case> = all
        .iter()
        .filter(|case| text(case, "id").starts_with(prefix))
        .map(|case| Case {
            id: text(case, "id"),
            place: format!("{}: {}, {}", text(case, "id"), text(case, "source"), text(case, "ref")),
            provenance: text(case, "provenance"),
            inputs: table(case, "inputs"),
            expected: table(case, "expected"),
            tolerance: table(case, "tolerance"),
        })
        .collect();
    assert_eq!(found.len(), count, "cases {prefix}*");
    found
}

#[test]
fn texture_classes_are_those_of_the_soil_survey_manual() {
    for case in cases("tex-", 55).iter().filter(|case| case.inputs.contains_key("sand_pct")) {
        let class = texture_class(case.input("sand_pct"), case.input("clay_pct")).unwrap();
        assert_eq!(class.name(), case.expected["class"].as_str().unwrap(), "{}", case.place);
    }
}

#[test]
fn points_of_the_whole_percent_grid_fall_into_classes_as_in_the_survey_lookup() {
    let mut counts: HashMap<String, f64> = HashMap::new();
    for sand in 0..=100 {
        for clay in 0..=(100 - sand) {
            let class = texture_class(f64::from(sand), f64::from(clay)).unwrap();
            *counts.entry(class.name().replace(' ', "_")).or_default() += 1.0;
        }
    }
    let case = &cases("tex-grid", 1)[0];
    let printed = case.expected["points_per_class"].as_table().unwrap();
    assert_eq!(printed.len(), 12);
    for (class, count) in printed {
        assert_eq!(counts[class], number(count), "{} {class}", case.place);
    }
}

#[test]
fn a_bare_class_stands_for_the_mean_of_its_region() {
    for case in cases("tex-rep-", 9) {
        let class: TextureClass = case.word("class").parse().unwrap();
        let (sand, clay) = class.typical_sand_clay_pct();
        case.near("sand", sand, case.expect("sand_pct"), case.tolerance("abs"));
        case.near("clay", clay, case.expect("clay_pct"), case.tolerance("abs"));
        case.near("silt", 100.0 - sand - clay, case.expect("silt_pct"), case.tolerance("abs"));
    }
}

#[test]
fn saxton_and_rawls_table_3_is_reproduced() {
    for case in cases("sr-t3-", 11) {
        let om = case.input("om_pct");
        let soil = Soil::from_particles(&Particles {
            density_factor: case.input("density_factor"),
            ..Particles::new(case.input("sand_pct"), case.input("clay_pct"), om)
        })
        .unwrap();
        let (volpct, calc) = (case.tolerance("abs_volpct"), case.tolerance("calc_abs"));
        case.near("wilting point, %", 100.0 * soil.wilting_point(), case.expect("printed_wp_volpct"), volpct);
        case.near("field capacity, %", 100.0 * soil.field_capacity(), case.expect("printed_fc_volpct"), volpct);
        case.near("saturation, %", 100.0 * soil.saturation(), case.expect("printed_sat_volpct"), volpct);
        case.near("conductivity, mm/h", soil.ksat_mm_h(), case.expect("printed_ks_mm_h"), case.tolerance("abs_ks_mm_h"));
        case.near("wilting point", soil.wilting_point(), case.expect("calc_wp"), calc);
        case.near("field capacity", soil.field_capacity(), case.expect("calc_fc"), calc);
        case.near("saturation", soil.saturation(), case.expect("calc_sat"), calc);
        case.near("available", soil.available_water_mm(1.0).unwrap() / 1000.0, case.expect("calc_paw"), calc);
        case.near("conductivity", soil.ksat_mm_h(), case.expect("calc_ks_mm_h"), calc);
        case.near("density", soil.bulk_density_g_cm3(), case.expect("calc_density_g_cm3"), calc);
    }
}

#[test]
fn a_documented_example_of_the_same_equations_agrees_to_its_last_digits() {
    // Its print differs in the last digit (13.8 for 13.7, 12.19 for 12.17), so it is a check of the whole, not a target.
    let case = &cases("sr-doc-example", 1)[0];
    let soil = Soil::from_particles(&Particles::new(100.0 * case.input("sand"), 100.0 * case.input("clay"), case.input("om_pct"))).unwrap();
    let percent = case.tolerance("abs_pct");
    case.near("wilting point, %", 100.0 * soil.wilting_point(), case.expect("printed_wp_pct"), percent);
    case.near("field capacity, %", 100.0 * soil.field_capacity(), case.expect("printed_fc_pct"), percent);
    case.near("saturation, %", 100.0 * soil.saturation(), case.expect("printed_sat_pct"), percent);
    case.near("conductivity", soil.ksat_mm_h(), case.expect("printed_ks_mm_h"), case.tolerance("abs_ks"));
}

#[test]
fn density_and_gravel_change_water_holding_as_the_equations_say() {
    for case in cases("sr-adj-", 3) {
        let given = Particles {
            density_factor: case.input("density_factor"),
            gravel_pct: 100.0 * case.input("gravel_mass_fraction"),
            ..Particles::new(100.0 * case.input("sand"), 100.0 * case.input("clay"), case.input("om_pct"))
        };
        let soil = Soil::from_particles(&given).unwrap();
        let near = |what: &str, got: f64, key: &str| case.near(what, got, case.expect(key), case.tolerance("abs"));
        near("wilting point", soil.wilting_point(), "wp");
        near("field capacity", soil.field_capacity(), "fc");
        near("saturation", soil.saturation(), "sat");
        near("gravel by volume", 1.0 - soil.fine_earth_fraction(), "rv");
        near("density with gravel", soil.bulk_density_g_cm3(), "rho_b");
        near("available with gravel", soil.available_water_mm(1.0).unwrap() / 1000.0, "paw_b");
        near("conductivity with gravel", soil.ksat_mm_h(), "kb");
        let fine = Soil::from_particles(&Particles { gravel_pct: 0.0, ..given }).unwrap();
        near("available of the fine earth", fine.available_water_mm(1.0).unwrap() / 1000.0, "paw");
        near("conductivity of the fine earth", fine.ksat_mm_h(), "ks");
        near("density of the fine earth", fine.bulk_density_g_cm3(), "rho");
    }
}

#[test]
fn salt_pulls_as_eq_23_and_24_say_from_memory() {
    let case = &cases("sr-salinity", 1)[0];
    let ec_ds_m = case.input("ec_sat_extract_ds_m");
    let given = Particles::new(100.0 * case.input("sand"), 100.0 * case.input("clay"), case.input("om_pct"));
    let soil = Soil::from_particles(&Particles { ec_ds_m, ..given }).unwrap();
    let tolerance = case.tolerance("abs");
    case.near("at saturation", soil.osmotic_kpa_at(soil.saturation()).unwrap(), case.expect("osmotic_kpa_at_saturation"), tolerance);
    case.near("at field capacity", soil.osmotic_kpa_at(soil.field_capacity()).unwrap(), case.expect("osmotic_kpa_at_fc"), tolerance);
}

#[test]
fn fao56_table_19_is_as_printed() {
    for case in cases("fao56-t19-", 6) {
        let class: TextureClass = case.word("class").parse().unwrap();
        let row = published::fao56_table_19(class).unwrap();
        case.range_is("field capacity", row.field_capacity, &case.list("fc_m3_m3"));
        case.range_is("wilting point", row.wilting_point, &case.list("wp_m3_m3"));
        case.range_is("available", row.available, &case.list("awc_m3_m3"));
        case.range_is("readily evaporable", row.readily_evaporable_mm, &case.list("rew_mm"));
        case.range_is("total evaporable", row.total_evaporable_mm, &case.list("tew_mm"));
        let soil = Soil::from_texture(class, 2.5).unwrap();
        let (low, high) = row.readily_evaporable_mm;
        assert_eq!(soil.readily_evaporable_mm(), 0.5 * (low + high), "{}", case.place);
        let range = soil.available_range();
        assert!(range.low <= row.available.0 && range.high >= row.available.1, "{}: {range:?}", case.place);
    }
}

#[test]
fn other_handbooks_are_quoted_as_printed() {
    let of = |class: TextureClass, om: f64, source: &str| {
        let rows = published::available_by_source(class, om).unwrap();
        let row = rows.iter().find(|row| row.source.contains(source)).unwrap();
        (row.low, row.high)
    };
    // Organic muck has no texture class; its row is kept for reading.
    for case in cases("bc-awsc-", 2).iter().filter(|case| case.id != "bc-awsc-organic-muck") {
        let class = case.word("texture").parse().unwrap();
        let (low, high) = of(class, 2.5, "Okanagan");
        case.range_is("available, cm/m", (100.0 * low, 100.0 * high), &case.list("awsc_cm_per_m"));
    }
    for case in cases("nrcs-r2-awc-", 7) {
        let class = case.word("texture_code").parse().unwrap();
        for (om, key) in [(1.0, "om_lt_1_5pct"), (1.5, "om_1_5_to_5pct"), (5.0, "om_1_5_to_5pct"), (6.0, "om_gt_5pct")] {
            case.range_is("available", of(class, om, "Region 2"), &case.list(&format!("awc_in_per_in_{key}")));
        }
    }
    for case in cases("nrcs-feel-awc-", 3) {
        let class = case.word("group").split(", ").find_map(|word| word.parse::<TextureClass>().ok()).unwrap();
        let (low, high) = Group::of(class).available();
        case.range_is("available, in/ft", (12.0 * low, 12.0 * high), &case.list("awc_in_per_ft"));
    }
}

fn holding(wilting_point: f64, field_capacity: f64) -> Soil {
    Soil::from_measured(&Measured { wilting_point, field_capacity, saturation: 0.5, ksat_mm_h: 10.0, ..Measured::default() }).unwrap()
}

#[test]
fn available_water_of_fao56_example_36() {
    for case in cases("fao56-ex36-", 8) {
        let taw = holding(case.input("wp"), case.input("fc")).available_water_mm(case.input("zr_m")).unwrap();
        case.near("TAW", taw, case.expect("taw_mm"), case.tolerance("abs"));
        case.near("RAW", case.input("p") * taw, case.expect("raw_mm"), case.tolerance("abs"));
    }
}

#[test]
fn available_water_of_the_okanagan_apple_example() {
    let case = &cases("bc-mswd-apple", 1)[0];
    let soil = holding(0.10, 0.10 + case.input("awsc_cm_per_m") / 100.0);
    let deficit_cm = soil.available_water_mm(case.input("rooting_depth_m")).unwrap() * case.input("availability_coefficient") / 10.0;
    case.near("deficit, cm", deficit_cm, case.expect("printed_mswd_cm"), case.tolerance("abs_cm"));
    case.near("interval, d", deficit_cm / case.input("peak_et_cm_day"), case.expect("max_interval_days"), case.tolerance("abs_days"));
}

#[test]
fn total_evaporable_water_of_fao56_example_35() {
    let case = &cases("fao56-ex35", 1)[0];
    let tew = holding(case.input("wp"), case.input("fc")).total_evaporable_mm(case.input("ze_m")).unwrap();
    case.near("TEW", tew, case.input("tew_mm"), 0.5); // printed in whole mm
}

#[test]
fn the_feel_chart_follows_from_band_and_holding() {
    let mut seen = 0;
    for case in cases("feel-", 14) {
        let word = case.word("group").split(':').next().unwrap();
        let group: Group = word.parse().unwrap();
        let percent = case.list("percent_available");
        let band = Band::ALL.into_iter().find(|band| band.available() == (percent[0] / 100.0, percent[1] / 100.0)).unwrap();
        let (low, high) = group.depletion_range_mm(band, 0.3048).unwrap();
        let printed = case.list("depletion_in_per_ft");
        let tolerance = case.tolerance("abs_in_per_ft");
        let provenance = if case.provenance.contains("memory") { "from memory" } else { "printed" };
        case.near(&format!("{provenance} most depletion"), high / MM_PER_IN, printed[0], tolerance);
        case.near(&format!("{provenance} least depletion"), low / MM_PER_IN, printed[1], tolerance);
        seen += usize::from(provenance == "printed");
    }
    assert_eq!(seen, 9);
}

fn maximum_rate_rows(from_memory: bool, count: usize) {
    let cases = cases("maxrate-", 21);
    let rows: Vec<&Case> = cases.iter().filter(|case| case.is_from_memory() == from_memory).collect();
    assert_eq!(rows.len(), count);
    for case in rows {
        let soil = case.word("soil");
        let texture = match soil {
            _ if soil.contains("sandy loam") => TextureClass::SandyLoam,
            _ if soil.contains("silt loam") => TextureClass::SiltLoam,
            _ if soil.contains("clay") => TextureClass::ClayLoam,
            _ => TextureClass::Sand,
        };
        let (least, most) = match case.word("slope_pct") {
            "0-5" => (0.0, 5.0),
            "5-8" => (5.01, 8.0),
            "8-12" => (8.01, 12.0),
            _ => (12.01, 100.0),
        };
        for slope_pct in [least, most] {
            for (covered, key) in [(true, "with_cover_in_h"), (false, "bare_in_h")] {
                let ground = Surface { texture, slope_pct, covered, compact_subsoil: soil.contains("compact") };
                let rate = intake::maximum_rate_mm_h(&ground).unwrap();
                case.near(key, rate.rate_mm_h / MM_PER_IN, case.expect(key), 1e-12);
                assert_eq!(rate.from_memory, from_memory, "{}", case.place);
            }
        }
    }
}

#[test]
fn maximum_application_rates_are_as_printed() {
    maximum_rate_rows(false, 9);
}

#[test]
fn maximum_application_rates_from_memory_are_marked_so() {
    maximum_rate_rows(true, 12);
}

#[test]
fn basic_infiltration_is_as_quoted() {
    for case in cases("fao-infil-", 3) {
        let range = intake::basic_infiltration_mm_h(case.word("texture").parse().unwrap()).unwrap();
        case.range_is("mm/h", range, &case.list("basic_infiltration_mm_h"));
    }
}

#[test]
fn green_ampt_parameters_from_memory() {
    for case in cases("ga-par-", 5) {
        let row = intake::rawls_row(case.word("class").parse().unwrap());
        for (got, key) in [
            (row.porosity, "porosity"),
            (row.effective_porosity, "effective_porosity"),
            (row.suction_mm / 10.0, "suction_cm"),
            (row.conductivity_mm_h / 10.0, "K_cm_h"),
        ] {
            case.near(&format!("{key}, from memory"), got, case.expect(key), 1e-12);
        }
    }
}

fn ground_of(case: &Case) -> GreenAmpt {
    let deficit = match case.inputs.get("dtheta") {
        Some(value) => number(value),
        None => (1.0 - case.input("effective_saturation")) * case.input("theta_e"),
    };
    GreenAmpt { ksat_mm_h: 10.0 * case.input("K_cm_h"), suction_mm: 10.0 * case.input("psi_cm"), moisture_deficit: deficit }
}

#[test]
fn ponding_times_of_the_applied_hydrology_examples_printed_from_memory() {
    for case in cases("ga-pond-", 2) {
        let rate = 10.0 * case.input("rate_cm_h");
        let time = intake::ponding_time_h(rate, &ground_of(&case)).unwrap();
        let printed = case.list("printed_memory");
        case.near("time", time, case.expect("ponding_time_h"), case.tolerance("abs"));
        case.near("depth, cm", time * rate / 10.0, case.expect("infiltrated_cm"), case.tolerance("abs"));
        case.near("printed time, from memory", time, printed[0], case.tolerance("printed_abs"));
        case.near("printed depth, from memory", time * rate / 10.0, printed[1], case.tolerance("printed_abs"));
    }
    let case = &cases("ga-ponded-1h", 1)[0];
    let depth_cm = intake::ponded_infiltration_mm(case.input("t_h"), &ground_of(case)).unwrap() / 10.0;
    case.near("depth, cm", depth_cm, case.expect("F_cm"), case.tolerance("abs"));
    let ground = ground_of(case);
    let rate_cm_h = ground.ksat_mm_h / 10.0 * (1.0 + ground.suction_mm * ground.moisture_deficit / (10.0 * depth_cm));
    case.near("rate, cm/h", rate_cm_h, case.expect("f_cm_h"), case.tolerance("abs"));
}

#[test]
fn ponding_under_a_big_sprinkler_on_half_filled_soils() {
    for case in cases("ga-gun-", 4) {
        let ground = ground_of(&case);
        let rate = 10.0 * case.input("rate_cm_h");
        let time = intake::ponding_time_h(rate, &ground).unwrap();
        match case.expected.get("ponds") {
            Some(ponds) => assert!(!ponds.as_bool().unwrap() && time.is_infinite(), "{}", case.place),
            None => case.near("time", time, case.expect("ponding_time_h"), case.tolerance("abs")),
        }
        // The table that ships holds the same row.
        let row = intake::rawls_row(case.word("class").parse().unwrap());
        assert_eq!((row.suction_mm, row.conductivity_mm_h), (ground.suction_mm, ground.ksat_mm_h), "{}", case.place);
    }
}

#[test]
fn curve_numbers_of_tr_55_table_2_2c() {
    let rows: Vec<Case> = cases("cn-", 30).into_iter().filter(|case| case.inputs.contains_key("cover")).collect();
    assert_eq!(rows.len(), 12);
    for case in rows {
        let word = case.word("cover");
        let cover = match word {
            _ if word.starts_with("woods-grass") => Cover::WoodsGrass,
            _ if word.starts_with("pasture") => Cover::Pasture,
            "brush-weed-grass" => Cover::Brush,
            "farmsteads" => Cover::Farmstead,
            other => other.parse().unwrap(),
        };
        let condition = if word == "farmsteads" { Condition::Fair } else { case.word("condition").parse().unwrap() };
        let printed = case.list("cn_A_B_C_D");
        for (group, want) in HydrologicGroup::ALL.iter().zip(printed) {
            assert_eq!(runoff::curve_number(cover, condition, *group), want, "{} {group}", case.place);
        }
    }
}

#[test]
fn lowest_infiltration_of_the_hydrologic_groups() {
    let case = &cases("hsg-min-infiltration", 1)[0];
    for group in HydrologicGroup::ALL {
        let (low, high) = group.minimum_infiltration_mm_h();
        case.range_is(group.name(), (low / MM_PER_IN, high / MM_PER_IN), &case.list(&format!("{group}_in_h")));
    }
}

#[test]
fn runoff_of_tr_55_table_2_1() {
    for case in cases("cn-q-P", 14) {
        let rain_mm = case.input("P_in") * MM_PER_IN;
        let printed = case.list("Q_in");
        for (cn, want) in case.list("CN").into_iter().zip(printed) {
            let got = runoff::runoff_mm(rain_mm, cn).unwrap() / MM_PER_IN;
            case.near(&format!("runoff on {cn}, in"), got, want, case.tolerance("abs_in"));
        }
    }
    // P = 7, CN = 50: the table prints 1.68 where the equation gives 1.667.
    let odd = runoff::runoff_mm(7.0 * MM_PER_IN, 50.0).unwrap() / MM_PER_IN;
    assert!((odd - 1.667).abs() < 0.0005, "TR-55 Table 2-1, P 7 CN 50: {odd}");
}

#[test]
fn runoff_from_retention() {
    let case = &cases("cn-q-simple", 1)[0];
    let curve_number = 25_400.0 / (case.input("S_in") * MM_PER_IN + 254.0);
    let runoff = runoff::runoff_mm(case.input("P_in") * MM_PER_IN, curve_number).unwrap() / MM_PER_IN;
    case.near("runoff, in", runoff, case.expect("printed"), case.tolerance("abs"));
    case.near("runoff, in", runoff, case.expect("Q_in"), 0.00005);
}

#[test]
fn curve_numbers_for_dry_and_wet_ground_by_hawkins() {
    let case = &cases("cn-arc-formula-79", 1)[0];
    let cn = case.input("CN_II");
    case.near("dry", Antecedent::Dry.curve_number(cn).unwrap(), case.expect("hawkins_I"), case.tolerance("abs"));
    case.near("wet", Antecedent::Wet.curve_number(cn).unwrap(), case.expect("hawkins_III"), case.tolerance("abs"));
    // McCuen's table is one of two that circulate; Hawkins follows the other, that of NEH 630 (from memory: 85 and 91 for 70
    // and 80 when wet), so against this one he runs up to 2.3 over when dry and up to 4.1 under when wet.
    let table = &cases("cn-arc-mccuen", 1)[0];
    let rows = table.list("CN_II").into_iter().zip(table.list("CN_I").into_iter().zip(table.list("CN_III")));
    for (cn, (dry, wet)) in rows.filter(|(cn, _)| *cn >= 30.0) {
        table.near(&format!("dry {cn}"), Antecedent::Dry.curve_number(cn).unwrap(), dry, 2.3);
        table.near(&format!("wet {cn}"), Antecedent::Wet.curve_number(cn).unwrap(), wet, 4.1);
    }
}

#[test]
fn wetness_classes_by_five_days_of_rain() {
    let case = &cases("cn-arc-rain", 1)[0];
    for (growing, key) in [(false, "dormant_5day_in"), (true, "growing_5day_in")] {
        let lines = case.list(key);
        let class = |inches: f64| Antecedent::by_five_day_rain(inches * MM_PER_IN, growing).unwrap();
        assert_eq!(class(lines[0] - 0.01), Antecedent::Dry, "{}", case.place);
        assert_eq!(class(0.5 * (lines[0] + lines[1])), Antecedent::Average, "{}", case.place);
        assert_eq!(class(lines[1] + 0.01), Antecedent::Wet, "{}", case.place);
    }
}

#[test]
fn effective_rain_of_tr_21() {
    for case in cases("scs-pe-", 2) {
        let [rain, used, refill] = ["P_in_month", "ETc_in_month", "D_in"].map(|key| case.input(key) * MM_PER_IN);
        let effective = dibble::soil::rain::effective_rain_of_month_mm(rain, used, refill).unwrap() / MM_PER_IN;
        case.near("in", effective, case.expect("pe_in"), case.tolerance("abs"));
    }
}

#[test]
fn leaching_of_fao_29_and_asce_71() {
    let case = &cases("fao29-lr", 1)[0];
    let share = salinity::leaching_requirement(case.input("ecw"), case.input("ece")).unwrap();
    case.near("share", share, case.expect("lr"), 5e-7);
    case.near("share", share, case.expect("printed"), case.tolerance("abs"));
    let case = &cases("asce71-lr", 1)[0];
    let applied = salinity::applied_mm(case.input("et"), case.input("lr")).unwrap();
    case.near("applied", applied, case.expect("applied"), case.tolerance("abs"));
}
