//! Friction, fittings, suction, power and fuel against printed values and exact arithmetic; the field fact end to end.
#![allow(clippy::panic, clippy::unwrap_used)] // helpers stand outside of the test functions

mod cases;

use cases::{Case, cases};
use dibble::hydraulics::{
    Curve, DarcyPipe, Engine, Fitting, Friction, Hose, HoseInput, KPA_PER_M, Material, NpshInput, Pump, PumpInput, System, SystemInput,
    atmospheric_head_m, brake_kw, darcy_loss_m, duty_point, friction_factor, fuel_per_hour, hazen_williams_loss_m, multi_outlet_factor,
    npsh_available_m, practical_suction_lift_m, surge_kpa, velocity_m_s, water_kw, wave_speed_m_s,
};
use dibble::sprinkler::{Nozzle, NozzleKind};
use dibble::units::{KPA_PER_PSI, L_PER_GAL, M_PER_FT, convert};

const MM_PER_IN: f64 = 25.4;
const MM_PER_FT: f64 = 304.8;
const KW_PER_HP: f64 = 0.745_699_871_582_270_2;

fn psi(head_m: f64) -> f64 {
    head_m * KPA_PER_M / KPA_PER_PSI
}

fn hazen_psi(gpm: f64, bore_in: f64, length_ft: f64, c: f64) -> f64 {
    psi(hazen_williams_loss_m(gpm * L_PER_GAL, bore_in * MM_PER_IN, length_ft * M_PER_FT, c).unwrap())
}

#[test]
fn steel_pipe_loses_what_the_hydraulic_institute_prints() {
    let fifteen_c = convert(60.0, "°F", "°C").unwrap();
    for case in cases("friction", "fric_hi_", 7) {
        let pipe = DarcyPipe {
            flow_l_min: case.input("gpm") * L_PER_GAL,
            bore_mm: case.input("id_in") * MM_PER_IN,
            length_m: 100.0,
            roughness_mm: case.input("eps_ft") * MM_PER_FT,
            water_c: fifteen_c,
        };
        let loss = darcy_loss_m(&pipe).unwrap();
        case.check("ft per 100 ft", loss, case.want("hf_ft_per_100ft"));
        // with the table's own viscosity the arithmetic would be that of the case; ours is 1 % lower
        case.check_within("with ours for the viscosity", loss, case.recomputed("hf_ft_per_100ft"), 0.003 * loss);
        let velocity = velocity_m_s(pipe.flow_l_min, pipe.bore_mm).unwrap() / M_PER_FT;
        case.check_within("ft/s", velocity, case.recomputed("velocity_ft_s"), 1e-6);
        let hazen = hazen_williams_loss_m(pipe.flow_l_min, pipe.bore_mm, 100.0, 140.0).unwrap();
        // the case takes another of the customary forms, which lie up to 1.4 % apart here
        case.check_within("by Hazen and Williams", hazen, case.recomputed("hw_c140"), 0.014 * hazen);
    }
    for case in cases("friction", "darcy_f_", 4) {
        let factor = friction_factor(case.input("re"), case.input("rel_rough")).unwrap();
        case.check("friction factor", factor, case.want("f_colebrook"));
    }
}

#[test]
fn one_form_of_hazen_and_williams_stands_for_the_customary_ones() {
    for case in cases("friction", "hw_constants", 1) {
        let loss_m = hazen_williams_loss_m(
            case.input("gpm") * L_PER_GAL,
            case.input("id_in") * MM_PER_IN,
            case.input("length_ft") * M_PER_FT,
            140.0,
        );
        let loss_ft = loss_m.unwrap() / M_PER_FT;
        case.check("ft", loss_ft, case.want("si_ft"));
        for other in ["cfs_ft", "f2083_ft"] {
            assert!((loss_ft / case.want(other) - 1.0).abs() < 0.013, "{other}: the forms agree within 1.3 %");
        }
    }
}

#[test]
fn lay_flat_at_140_loses_what_the_fire_service_prints_for_two_inches() {
    for case in cases("friction", "firehose_2in_", 7) {
        let (gpm, printed) = (case.input("q_gpm"), case.want("fl_psi"));
        let loss = hazen_psi(gpm, case.input("d_in"), case.input("l_ft"), Material::LayFlat.c());
        // Their law rises with the square of the flow, ours with its 1.852th power: 16 % apart at 50 gpm, 7 % at 200.
        case.check_within("psi", loss, printed, 0.17 * printed);
        case.check_within("psi, recomputed", loss, case.recomputed("hw_c140"), 2e-3 * printed);
        case.check("their law", 8.0 * (gpm / 100.0) * (gpm / 100.0), printed);
    }
    for case in cases("friction", "firehose_c_", 5) {
        // the coefficient that would give their loss at 100 gpm: within the trade's range at 2 and 5 in; at 2.5 and 3 in the
        // hose swells beyond its nominal bore, and two sources print 0.677 and 0.8 for 3 in
        let implied = case.recomputed("implied_hw_c_at_100gpm");
        let at_implied = hazen_psi(100.0, case.input("d_in"), 100.0, implied.min(160.0));
        if implied <= 160.0 {
            case.check_within("psi at the implied coefficient", at_implied, case.want("fl_psi"), 2e-3 * case.want("fl_psi"));
        } else {
            assert!(at_implied > case.want("fl_psi"), "{}: no coefficient in range loses so little at the nominal bore", case.id);
        }
    }
    for case in cases("friction", "firehose_ex_", 4) {
        let flow = case.input("q_gpm") / 100.0;
        case.check("psi of the worked example", case.input("c") * flow * flow * case.input("l_ft") / 100.0, case.want("fl_psi"));
        let ours = hazen_psi(case.input("q_gpm"), case.input("d_in"), case.input("l_ft"), 160.0);
        assert!((ours / case.want("fl_psi") - 1.0).abs() < 0.13, "{}: {ours}", case.id); // swollen 2.5 in hose as C = 160
    }
}

#[test]
fn outlets_fittings_and_materials_have_their_printed_coefficients() {
    for case in cases("friction", "christiansen_f_", 5) {
        let factor = multi_outlet_factor(case.input("n") as usize).unwrap();
        case.check("F", factor, case.want("f_exact"));
        case.check_within("the closed form", factor, case.want("f_formula"), 1e-3);
    }
    for case in cases("friction", "minor_k", 1) {
        for (fitting, key) in [
            (Fitting::GlobeValve, "globe_open"),
            (Fitting::AngleValve, "angle_open"),
            (Fitting::GateValve, "gate_open"),
            (Fitting::GateValveHalf, "gate_half"),
            (Fitting::CheckValve, "swing_check"),
            (Fitting::Elbow90Flanged, "elbow90_flanged"),
            (Fitting::Elbow90, "elbow90_threaded"),
            (Fitting::Elbow45, "elbow45_threaded"),
            (Fitting::TeeRun, "tee_run_threaded"),
            (Fitting::TeeBranch, "tee_branch_threaded"),
            (Fitting::ReturnBend, "return_threaded"),
        ] {
            case.check(fitting.name(), fitting.k(), case.want(key));
        }
    }
    for case in cases("friction", "hw_c_table", 1) {
        for (material, key) in [
            (Material::Aluminum, "aluminium"),
            (Material::Pvc, "pvc"),
            (Material::Polyethylene, "polyethylene"),
            (Material::Steel, "steel_new"),
            (Material::Galvanized, "galvanized"),
        ] {
            let printed = case.expected[key].as_str().unwrap();
            let numbers: Vec<f64> = printed.split([' ', '-', '(', ')']).filter_map(|w| w.parse().ok()).collect();
            let (low, high) = (numbers[0], numbers.get(1).copied().unwrap_or(numbers[0]));
            let c = material.c();
            assert!(c >= low.min(high) && c <= low.max(high), "{material}: {c}, tables print {printed}");
        }
    }
}

#[test]
fn equivalent_lengths_of_a_pump_chart_are_of_the_size_of_the_coefficients() {
    for case in cases("friction", "equiv_len", 1) {
        let bore_mm = case.input("id_in") * MM_PER_IN;
        let per_ft = hazen_williams_loss_m(300.0, bore_mm, M_PER_FT, 100.0).unwrap(); // the chart is for old steel
        for (fitting, key) in [(Fitting::GlobeValve, "globe_ft"), (Fitting::TeeBranch, "tee_branch_ft"), (Fitting::GateValve, "gate_ft")] {
            let k = dibble::hydraulics::fitting_loss_m(fitting.k(), 300.0, bore_mm).unwrap();
            let ratio = k / (per_ft * case.want(key));
            assert!((0.5..1.6).contains(&ratio), "{key}: {ratio:.2} (coefficients stray by 20 to 50 %)");
        }
    }
}

#[test]
fn suction_follows_the_table_and_not_its_misprint() {
    for case in cases("pump", "suction_", 6) {
        let elevation_m = case.input("elev_ft") * M_PER_FT;
        let head_ft = atmospheric_head_m(elevation_m).unwrap() / M_PER_FT;
        let want = if case.print_is_wrong { case.recomputed("isa_ft_water") } else { case.want("atm_ft_water") };
        case.check("ft of water", head_ft, want);
        if case.print_is_wrong {
            assert!((head_ft - case.want("atm_ft_water")).abs() > 1.0, "{}: the printed head is a slip", case.id);
        }
        let lift_ft = practical_suction_lift_m(elevation_m, 15.0).unwrap() / M_PER_FT;
        case.check_within("practical lift", lift_ft, case.want("practical_lift_ft"), 1e-9);
    }
    // the air loses 1.2 ft of head for each 1,000 ft, not the 2 ft that circulate
    let loss = (atmospheric_head_m(0.0).unwrap() - atmospheric_head_m(1000.0 * M_PER_FT).unwrap()) / M_PER_FT;
    assert!((loss - 1.2).abs() < 0.05, "{loss} ft per 1,000 ft");
    for case in cases("pump", "npsha", 1) {
        let input = NpshInput {
            elevation_m: case.input("elev_ft") * M_PER_FT,
            water_c: convert(60.0, "°F", "°C").unwrap(),
            suction_lift_m: case.input("lift_ft") * M_PER_FT,
            suction_loss_m: case.input("hf_ft") * M_PER_FT,
        };
        case.check("ft", npsh_available_m(&input).unwrap() / M_PER_FT, case.want("npsha_ft"));
    }
}

#[test]
fn power_and_fuel_are_those_of_the_trade() {
    for case in cases("pump", "whp", 1) {
        let kw = water_kw(case.input("q_gpm") * L_PER_GAL, case.input("h_ft") * M_PER_FT).unwrap();
        // the round 3960 takes 8.333 lb to the gallon, 0.15 % less than water of 1000 kg/m3
        case.check_within("hp", kw / KW_PER_HP, case.want("hp"), 0.002 * case.want("hp"));
    }
    let engines = [(Engine::Gasoline, "gasoline"), (Engine::Diesel, "diesel"), (Engine::Propane, "propane")];
    for case in cases("energy", "purdue", 1) {
        for (engine, name) in engines {
            let hp_h = engine.kwh_per_unit() * L_PER_GAL / KW_PER_HP;
            case.check_within(name, hp_h, case.want(&format!("{name}_hph_per_gal")), 1e-9);
        }
        case.check_within("electric", Engine::Electric.kwh_per_unit() / KW_PER_HP, case.want("electric_hph_per_kwh"), 1e-9);
    }
    for case in cases("energy", "nppc", 2).iter().filter(|c| c.id == "nppc") {
        // Nebraska's criteria (from memory) are for large, well-kept engines: ours lie below by up to an eighth
        for (engine, name) in engines {
            let hp_h = engine.kwh_per_unit() * L_PER_GAL / KW_PER_HP;
            let criterion = case.want(&format!("{name}_bhph_gal"));
            assert!(hp_h <= criterion && hp_h > 0.87 * criterion, "{name}: {hp_h}, criterion (from memory) {criterion}");
            let ratio = case.want(&format!("{name}_whph_gal")) / criterion;
            case.check_within("pump efficiency of the criteria (from memory)", ratio, case.input("pump_eff"), 0.01);
        }
    }
    for case in cases("energy", "nppc_rating", 1) {
        // fuel goes with the inverse of the rating
        for (rating, extra) in Case::list(&case.inputs, "rating").iter().zip(Case::list(&case.expected, "extra_fuel_percent")) {
            let more = fuel_per_hour(Engine::Diesel, 10.0 / rating).unwrap() / fuel_per_hour(Engine::Diesel, 10.0).unwrap() - 1.0;
            case.check("extra fuel", 100.0 * more, extra);
        }
    }
}

/// The system of a field case with the nozzle that passes its flow at its pressure.
fn field(case: &Case) -> System {
    let hose = HoseInput {
        friction: Friction::HazenWilliams { c: case.input("hw_c") },
        ..HoseInput::new(case.input("hose_ft") * M_PER_FT, case.input("hose_in") * MM_PER_IN)
    };
    let flow = case.want("q_gpm") * L_PER_GAL;
    // "minor" losses of the case, 2 psi, as velocity heads in the hose
    let velocity = velocity_m_s(flow, hose.bore_mm).unwrap();
    let other_k = case.input("minor_psi") * KPA_PER_PSI / KPA_PER_M / (velocity * velocity / (2.0 * KPA_PER_M));
    let nozzle = Nozzle::new(case.want("nozzle_d_in") * MM_PER_IN, case.input("nozzle_cd")).unwrap();
    let rated = Curve::Rated { flow_l_min: flow, head_m: case.want("tdh_ft") * M_PER_FT, power_kw: None };
    let pump = Pump::new(PumpInput { efficiency: Some(0.55), ..PumpInput::new(rated) }).unwrap();
    let input = SystemInput::new(pump, vec![Hose::new(HoseInput { other_k, ..hose }).unwrap()], nozzle, case.input("rise_ft") * M_PER_FT);
    System::new(SystemInput { suction_lift_m: case.input("suction_ft") * M_PER_FT, engine: Some(Engine::Gasoline), ..input }).unwrap()
}

#[test]
fn a_sudden_stop_strikes_as_printed() {
    for case in cases("pump", "hammer_", 1) {
        let wave = case.recomputed("implied_a_ft_s") * M_PER_FT;
        for (speed, printed) in Case::list(&case.inputs, "v_ft_s").into_iter().zip(Case::list(&case.expected, "dp_psi")) {
            // theirs takes g as 32 ft/s2: 0.5 % less
            case.check_within("psi", surge_kpa(speed * M_PER_FT, wave).unwrap() / KPA_PER_PSI, printed, 6e-3 * printed);
        }
    }
    for case in cases("pump", "wave_", 3) {
        let wave = wave_speed_m_s(case.input("e_pa") / 1e9, case.input("d_over_t")).unwrap();
        case.check("m/s", wave, case.want("a_m_s"));
        // theirs takes 999 kg/m3, ours 1000 as everywhere
        case.check_within("kPa for each m/s", surge_kpa(1.0, wave).unwrap(), case.want("dp_kpa_per_m_s"), 1.1e-3 * wave);
    }
}

#[test]
fn the_field_fact_in_plain_numbers() {
    // common practice: 80 gpm at 60 psi through 0.60 in, 500 ft of 2 in lay-flat: 25 to 27 psi in the hose, 4.5 water hp
    let hose = HoseInput::new(500.0 * M_PER_FT, 50.8);
    let psi = |loss_m: f64| loss_m * KPA_PER_M / KPA_PER_PSI;
    let loss = psi(Hose::new(hose.clone()).unwrap().loss_m(80.0 * L_PER_GAL, 15.0).unwrap());
    assert!((25.0..27.6).contains(&loss), "80 gpm through 500 ft of 2 in: {loss:.1} psi");
    // two acres a day by eight sets of an hour, 0.75 in net at 0.85: 41 psi
    let acre_in = convert(2.0 * 0.75 / 0.85, "acre-in", "gal").unwrap();
    let flow = acre_in / (8.0 * 60.0);
    assert!((flow - 99.8).abs() < 0.1, "{flow} gpm");
    let more = psi(Hose::new(hose.clone()).unwrap().loss_m(flow * L_PER_GAL, 15.0).unwrap());
    assert!((more - 41.0).abs() < 0.5, "{flow:.0} gpm through the same hose: {more:.1} psi");
    let nozzle = Nozzle::new(0.60 * MM_PER_IN, NozzleKind::Taper.coefficient()).unwrap();
    let pump = Pump::new(PumpInput::new(Curve::Rated { flow_l_min: 80.0 * L_PER_GAL, head_m: 224.0 * M_PER_FT, power_kw: None })).unwrap();
    // rise, suction and fittings
    let lift = 22.0;
    let duty = duty_point(&System::new(SystemInput::new(pump, vec![Hose::new(hose).unwrap()], nozzle, lift * M_PER_FT)).unwrap()).unwrap();
    let (gpm, at_nozzle) = (duty.flow_l_min / L_PER_GAL, duty.nozzle_pressure_kpa / KPA_PER_PSI);
    assert!((gpm - 80.0).abs() < 1.5 && (at_nozzle - 60.0).abs() < 3.0, "{gpm:.1} gpm at {at_nozzle:.1} psi");
    let hp = duty.water_kw / KW_PER_HP;
    assert!((hp - 4.5).abs() < 0.1, "{hp:.2} water horsepower");
}

#[test]
fn the_field_fact_holds_from_pump_to_nozzle() {
    // common practice: 80 gpm at 60 psi through 0.60 in at the end of 500 ft of 2 in lay-flat, about 25-27 psi lost in it
    for case in cases("field", "field_", 3) {
        let system = field(&case);
        let duty = duty_point(&system).unwrap();
        // psi and ft of head differ by up to 0.1 % between the case's factors and 1000 kg/m3
        let close = |what: &str, computed: f64, key: &str| case.check_within(what, computed, case.want(key), 1e-3 * case.want(key));
        close("gpm", duty.flow_l_min / L_PER_GAL, "q_gpm");
        case.check_within("nozzle psi", duty.nozzle_pressure_kpa / KPA_PER_PSI, case.input("nozzle_psi"), 0.1);
        let hose = hazen_psi(case.want("q_gpm"), case.input("hose_in"), case.input("hose_ft"), case.input("hw_c"));
        close("psi lost in the hose", hose, "hose_loss_psi_hw");
        let fire_service = 8.0 * (case.want("q_gpm") / 100.0).powi(2) * case.input("hose_ft") / 100.0;
        case.check_within("psi lost by the fire service's law", fire_service, case.want("hose_loss_psi_c8"), 1e-6);
        close("ft/s", duty.velocity_m_s[0] / M_PER_FT, "velocity_ft_s");
        close("psi at the pump", duty.pump_pressure_kpa / KPA_PER_PSI, "pump_psi");
        close("ft of head", duty.pump_head_m / M_PER_FT, "tdh_ft");
        // 3960 against 1000 kg/m3: 0.15 %
        let whp = duty.water_kw / KW_PER_HP;
        case.check_within("water horsepower", whp, case.want("whp"), 2.5e-3 * whp);
        case.check_within("shaft horsepower", duty.brake_kw / KW_PER_HP, case.want("bhp_at_55pct"), 2.5e-3 * whp / 0.55);
        case.check_within("brake", brake_kw(duty.water_kw, 0.55).unwrap(), duty.brake_kw, 1e-12);
        let gallons = duty.fuel_per_hour.unwrap() / L_PER_GAL;
        case.check_within("gal of gasoline an hour", gallons, case.want("gasoline_gal_h"), 2.5e-3 * gallons);
        assert!(duty.cautions.iter().any(|c| c.text.starts_with("water runs at")), "{}: above the usual 5 ft/s", case.id);
    }
}
