//! Discharge, rates, evenness and spray loss against printed values and exact arithmetic.
#![allow(clippy::panic, clippy::unwrap_used)] // helpers stand outside of the test functions

mod cases;

use cases::{Case, cases};
use dibble::geom::{Polygon, Round, covered_area_m2};
use dibble::sprinkler::{
    Coarseness, Lattice, Need, Nozzle, NozzleKind, Profile, SprayAir, SprayClimate, Sprinkler, SprinklerInput, Uniformity, Wind,
    adequacy_depth, capacity_l_min, day_of_sets, discharge_l_min, du_from_cu, effective_share, even_spacing_m, lane_uniformity,
    lattice_uniformity, minutes_for, overlapped, published_losses, spray_loss, throw_radius_m, uniformity,
};
use dibble::units::{KPA_PER_PSI, L_PER_GAL, M_PER_FT, System, convert, flow_to_rate_mm_h};

const MM_PER_IN: f64 = 25.4;

fn gpm(nozzle_in: f64, coefficient: f64, psi: f64) -> f64 {
    let nozzle = Nozzle::new(nozzle_in * MM_PER_IN, coefficient).unwrap();
    discharge_l_min(&nozzle, psi * KPA_PER_PSI).unwrap() / L_PER_GAL
}

#[test]
fn theoretical_discharge_is_that_of_the_hydraulic_institutes_table() {
    for case in cases("nozzle", "nozzle_hi_", 32) {
        case.check("gpm", gpm(case.input("d_in"), case.input("c"), case.input("p_psi")), case.want("q_gpm"));
    }
}

#[test]
fn small_straight_nozzles_and_the_smooth_bore_pass_what_their_tables_print() {
    for case in cases("nozzle", "nozzle_small_", 5) {
        let pressures = Case::list(&case.inputs, "p_psi");
        // The 1/8 in column falls once while pressure rises: it is misprinted, and the law is tested against itself.
        let (wanted, tolerance) =
            if case.print_is_wrong { (case.recomputed_list("q_gpm_C0965"), 0.001) } else { (Case::list(&case.expected, "q_gpm"), 0.015) };
        for (psi, want) in pressures.iter().zip(wanted) {
            let computed = gpm(case.input("d_in"), NozzleKind::Straight.coefficient(), *psi);
            case.check_within(&format!("gpm at {psi} psi"), computed, want, tolerance * want);
        }
    }
    for case in cases("nozzle", "smoothbore", 1) {
        let computed = gpm(case.input("d_in"), NozzleKind::Smooth.coefficient(), case.input("p_psi"));
        case.check("gpm", computed, case.want("q_gpm"));
    }
}

#[test]
fn taper_bore_guns_from_memory_pass_and_throw_about_what_their_chart_has() {
    for case in cases("gun", "gun_", 8) {
        let (psi, bore) = (case.input("p_psi"), case.input("d_in"));
        let want = case.want("q_gpm");
        case.check_within("gpm (from memory)", gpm(bore, NozzleKind::Taper.coefficient(), psi), want, 0.03 * want);
        let nozzle = Nozzle::of_kind(bore * MM_PER_IN, NozzleKind::Taper).unwrap();
        let diameter_ft = 2.0 * throw_radius_m(&nozzle, psi * KPA_PER_PSI).unwrap().0 / M_PER_FT;
        let chart = case.want("wetted_d_ft");
        // the rule is stated as a low estimate, 4 to 13 % short
        assert!(diameter_ft < 0.975 * chart && diameter_ft > 0.86 * chart, "{}: {diameter_ft:.0} ft, chart (from memory) {chart}", case.id);
        case.check_within("diameter by the rule", diameter_ft, case.recomputed("d_ft_by_135_sqrt_dh"), 0.1);
    }
}

#[test]
fn rates_times_and_capacities_are_those_of_the_trade() {
    for case in cases("application", "app_const", 1) {
        let rate = flow_to_rate_mm_h(L_PER_GAL, convert(1.0, "ft2", "m2").unwrap()).unwrap() / MM_PER_IN;
        case.check("in/h", rate, case.want("rate_in_h"));
    }
    for case in cases("application", "app_gate", 2) {
        let ground = case.input("s1_m") * case.input("s2_m");
        // one of the two is printed as 4.44: its author multiplied by 1,000 in place of 3,600
        case.check("mm/h", flow_to_rate_mm_h(60.0 * case.input("q_lps"), ground).unwrap(), case.want("rate_mm_h"));
    }
    for case in cases("application", "time_gate", 1) {
        case.check("h", minutes_for(case.input("depth_mm"), case.input("rate_mm_h")).unwrap() / 60.0, case.want("hours"));
    }
    let capacity = |case: &Case, depth_in: f64| {
        let area_m2 = convert(case.input("area_ac"), "acre", "m2").unwrap();
        let need = Need { area_m2, gross_mm: depth_in * MM_PER_IN, days: case.input("days"), hours_per_day: case.input("h_per_day") };
        capacity_l_min(&need).unwrap() / L_PER_GAL
    };
    for case in cases("application", "cap_const", 1) {
        case.check("gpm, from memory", capacity(&case, case.input("depth_in")), case.want("q_gpm"));
    }
    for case in cases("application", "cap_neh", 1) {
        case.check("gpm, from memory", capacity(&case, case.input("gross_depth_in")), case.want("q_gpm"));
        let gross = dibble::sprinkler::gross_depth_mm(case.input("net_depth_in"), case.input("efficiency")).unwrap();
        case.check_within("gross depth", gross, case.want("gross_exact_in"), 1e-9);
    }
    for case in cases("spacing", "spacing_nmsu", 1) {
        let (spaces, spacing) = even_spacing_m(case.input("length_ft") * M_PER_FT, case.input("max_spacing_ft") * M_PER_FT).unwrap();
        case.check("spaces", spaces as f64, case.want("spaces"));
        case.check("spacing", spacing / M_PER_FT, case.want("spacing_ft"));
    }
    for case in cases("spacing", "space_gate", 1) {
        case.check("spacing", case.input("fraction") * case.input("wetted_d_m"), case.want("spacing_m"));
    }
    for case in cases("units", "acre_inch", 1) {
        case.check("gallons", convert(1.0, "acre-in", "gal").unwrap(), case.want("gallons"));
        case.check("cubic feet", convert(1.0, "acre-in", "ft3").unwrap(), case.want("cubic_feet"));
    }
}

#[test]
fn spacing_by_wind_is_that_of_the_printed_table() {
    use dibble::sprinkler::{Layout, spacing_fraction};
    for case in cases("spacing", "ks_", 3) {
        for mph in case.word("wind_mph").split('-').map(|w| w.parse::<f64>().unwrap()) {
            let fraction = |layout| spacing_fraction(layout, convert(mph, "mph", "m/s").unwrap()).unwrap().unwrap();
            case.check(&format!("triangles at {mph} mph"), fraction(Layout::Triangular), case.want("k_triangular"));
            case.check(&format!("squares at {mph} mph"), fraction(Layout::Square), case.want("k_square"));
        }
    }
}

#[test]
fn evenness_of_cans_is_that_of_the_published_sets() {
    for case in cases("uniformity", "cu_", 4) {
        let key = if case.inputs.contains_key("catch") { "catch" } else { "catch_mm" };
        let even = uniformity(&Case::list(&case.inputs, key)).unwrap();
        case.check("CU", even.cu_pct, case.want("cu"));
        if case.expected.contains_key("du_lq") {
            case.check("DU", even.du_pct, case.want("du_lq"));
        } else {
            // 21 cans: the quarter is 5.25 of them
            case.check_within("DU", even.du_pct, case.recomputed("du_lq_fractional"), 1e-9);
        }
    }
    // GATE 2023, question 5 (read in study notes): its CU, and DU by the fractional quarter
    let even = uniformity(&[12.0, 15.0, 14.0, 18.0, 16.0, 14.0, 13.0, 17.0, 15.0, 16.0]).unwrap();
    assert!((even.cu_pct - 90.67).abs() < 0.005 && (even.du_pct - 85.33).abs() < 0.005, "GATE 2023 Q5: {even:?}");
}

#[test]
fn the_normal_law_gives_adequacy_and_an_estimate_of_du() {
    for case in cases("uniformity", "adequacy_", 3) {
        let (areas, exact) = (Case::list(&case.inputs, "area_percent"), Case::list(&case.expected, "exact_normal"));
        let fit = case.recomputed_list("cubic_fit");
        for ((area, exact), fit) in areas.iter().zip(exact).zip(fit) {
            let depth = 100.0 * adequacy_depth(case.input("cu"), area / 100.0).unwrap();
            case.check(&format!("depth on {area} % of the ground"), depth, exact);
            case.check_within(&format!("cubic fit (from memory) at {area} %"), depth, fit, 1.1);
        }
    }
    for case in cases("uniformity", "normal_law", 1) {
        let slope = du_from_cu(90.0).unwrap() - du_from_cu(89.0).unwrap();
        case.check("slope", slope, case.want("du_slope"));
    }
    for case in cases("uniformity", "scirp2023", 3) {
        // measured pivots do not follow the normal law: what is checked is our estimate, and that it is one
        case.check_within("DU by the normal law", du_from_cu(case.want("cu")).unwrap(), case.recomputed("du_from_cu_normal"), 1e-6);
        let printed = (case.want("sc") - case.recomputed("sc_as_100_over_du")).abs();
        assert!(printed < 0.05, "{}: their scheduling coefficient is 100 / DU", case.id);
    }
}

const RADIUS_M: f64 = 30.0;

fn sprinkler(case: &Case) -> Sprinkler {
    Sprinkler::new(SprinklerInput::new(300.0, RADIUS_M, case.word("profile").parse().unwrap())).unwrap()
}

fn lattice(case: &Case) -> Lattice {
    let diameter = 2.0 * RADIUS_M;
    match case.word("lattice") {
        "square" => Lattice::Square { spacing_m: diameter * case.input("s_over_d") },
        "rectangular" => Lattice::Rectangular { x_m: diameter * case.input("sx_over_d"), y_m: diameter * case.input("sy_over_d") },
        _ => Lattice::Triangular { spacing_m: diameter * case.input("s_over_d") },
    }
}

fn check_evenness(case: &Case, even: &Uniformity, tolerance: f64) {
    case.check_within("CU", even.cu_pct, case.want("cu"), tolerance);
    case.check_within("DU", even.du_pct, case.want("du_lq"), tolerance);
}

#[test]
fn endless_lattices_have_the_evenness_of_converged_sums() {
    for case in cases("grid", "grid_", 47) {
        let sprinkler = sprinkler(&case);
        let even = lattice_uniformity(&sprinkler, lattice(&case), None).unwrap();
        // The disc has steps, which 512 places to a side catch to 0.03; its exact evenness is tested below.
        let tolerance = if *sprinkler.profile() == Profile::Disc { 0.03 } else { case.tolerance(1.0) };
        check_evenness(&case, &even, tolerance);
        let mean = if *sprinkler.profile() == Profile::Disc { 1e-3 } else { 2e-5 };
        let peak = sprinkler.rate_mm_h(peak_at(sprinkler.profile()));
        case.check_within("mean over peak", even.mean_mm / peak, case.want("mean_over_peak"), mean);
        // The ellipse falls with a vertical slope at its rim, so that the least sampled value depends on the sampling.
        let least = if *sprinkler.profile() == Profile::Ellipse { 0.02 } else { 0.01 };
        case.check_within("least over mean", even.min_mm / even.mean_mm, case.want("min_over_mean"), least);
        case.check_within("largest over mean", even.max_mm / even.mean_mm, case.want("max_over_mean"), 0.01);
    }
}

#[test]
fn overlapped_discs_have_the_evenness_of_their_exact_areas() {
    let discs = |case: &Case| case.word("profile") == "disc" && case.word("lattice") != "rectangular";
    for case in cases("grid", "grid_", 47).iter().filter(|c| discs(c)) {
        let s = 2.0 * case.input("s_over_d");
        let (lean, rise) = if case.word("lattice") == "square" { (0.0, s) } else { (0.5 * s, s * 0.75f64.sqrt()) };
        let at = |i: i32, j: i32| Round::disc([f64::from(i) * s + f64::from(j) * lean, f64::from(j) * rise], 1.0).unwrap();
        let all: Vec<Round> = (-8..=8).flat_map(|i| (-6..=6).map(move |j| (i, j))).map(|(i, j)| at(i, j)).collect();
        let cell = Polygon::new(&[[0.0, 0.0], [s, 0.0], [s + lean, rise], [lean, rise]]).unwrap();
        let at_least: Vec<f64> = (1..=12).map(|k| covered_area_m2(&all, k, Some(&cell)).unwrap() / (s * rise)).collect();
        let mean: f64 = at_least.iter().sum();
        // the share of ground at each depth, lowest first
        let exactly = (0..12).map(|k| if k == 0 { 1.0 - at_least[0] } else { at_least[k - 1] - at_least[k] });
        let (mut deviation, mut low, mut room) = (0.0, 0.0, 0.25f64);
        for (depth, share) in exactly.enumerate() {
            deviation += share * (depth as f64 - mean).abs();
            low += 4.0 * depth as f64 * share.min(room);
            room -= share.min(room);
        }
        case.check_within("exact CU", 100.0 * (1.0 - deviation / mean), case.want("cu"), 0.01);
        case.check_within("exact DU", 100.0 * low / mean, case.want("du_lq"), 0.01);
    }
}

fn peak_at(profile: &Profile) -> f64 {
    if *profile == Profile::Ring { 0.7 * RADIUS_M } else { 0.0 }
}

#[test]
fn a_few_cans_in_a_cell_read_what_they_stand_on() {
    for case in cases("grid", "cans_", 14) {
        let even = lattice_uniformity(&sprinkler(&case), lattice(&case), Some(case.input("cans_per_side") as usize)).unwrap();
        check_evenness(&case, &even, case.tolerance(1.0));
    }
}

#[test]
fn lanes_of_a_travelling_head_have_the_evenness_of_chord_integrals() {
    for case in cases("lane", "lane_", 19) {
        let even = lane_uniformity(&sprinkler(&case), 2.0 * RADIUS_M * case.input("lane_over_d")).unwrap();
        check_evenness(&case, &even, case.tolerance(1.0));
        case.check("least over mean", even.min_mm / even.mean_mm, case.want("min_over_mean"));
        case.check("largest over mean", even.max_mm / even.mean_mm, case.want("max_over_mean"));
    }
}

#[test]
fn regressions_of_spray_loss_are_those_printed() {
    let of = |case: &Case, air: SprayAir, author: &str| {
        let (_, each) = published_losses(&air).unwrap();
        let found = each.iter().find(|e| e.source.starts_with(author)).unwrap_or_else(|| panic!("{}: {author}", case.id));
        100.0 * found.loss
    };
    for case in cases("spray_loss", "wdel_", 6) {
        let given = |key: &str, or: f64| if case.inputs.contains_key(key) { case.input(key) } else { or };
        let air = SprayAir {
            wind_m_s: case.input("u_m_s"),
            t_c: given("t_c", 25.0),
            rh_pct: given("rh", 50.0),
            pressure_kpa: given("p_kpa", 300.0),
            nozzle_mm: given("d_mm", 4.0),
            night: case.id == "wdel_e2",
        };
        match case.id.as_str() {
            "wdel_e15" => case.check("loss", of(&case, air, "Playán et al. (2005), E15"), case.want("wdel_percent")),
            "wdel_e2" => case.check("loss", of(&case, air, "Playán et al. (2005), E2"), case.want("wdel_percent")),
            "wdel_e18" => case.check("loss", of(&case, air, "Playán et al. (2005), E18"), case.want("wdel_percent")),
            "wdel_dechmi" => case.check("loss", of(&case, air, "Dechmi"), case.want("wdel_percent")),
            "wdel_facibercero" => case.check("loss", of(&case, air, "Faci and Bercero"), case.want("wdel_percent")),
            "wdel_trimmer" => {
                // The air of the case is given by its vapor pressure deficit of 1.5 kPa.
                let saturation = dibble::air::saturation_vapor_pressure(25.0).unwrap();
                let air = SprayAir { rh_pct: 100.0 * (1.0 - case.input("vpd_kpa") / saturation), ..air };
                let loss = of(&case, air, "Trimmer");
                case.check("loss, wind term 0.14 from memory", loss, case.want("wdel_c014"));
                assert!((loss - case.want("wdel_c040")).abs() > 10.0, "the transcribed 0.4 is a trap");
            }
            other => panic!("no test for {other}"),
        }
    }
    for case in cases("spray_loss", "kb_re", 2) {
        let spray = Coarseness {
            eto_mm: case.input("et0_mm_d"),
            wind_m_s: case.input("wind_km_h") / 3.6,
            pressure_kpa: case.input("p_kpa"),
            nozzle_mm: case.input("nozzle_mm"),
        };
        case.check("effective share, from memory", effective_share(&spray).unwrap(), case.want("re"));
    }
}

#[test]
fn sets_of_the_field_fact_overlap_to_its_rate() {
    // common practice: 0.75 in net in an hour by 80 gpm on sets 93 ft apart
    for case in cases("field", "field_", 3) {
        let net = 1.0 - case.input("ea");
        let flow = case.want("q_gpm") * L_PER_GAL;
        let input = SprinklerInput::new(flow, case.want("radius_ft_135") * M_PER_FT, Profile::Cone);
        let gun = Sprinkler::new(SprinklerInput { spray_loss: net, ..input }).unwrap();
        let spacing_m = case.want("set_spacing_ft") * M_PER_FT;
        let rates = overlapped(&gun, spacing_m * spacing_m).unwrap();
        case.check_within("in/h over the sets", rates.overlapped_mm_h / MM_PER_IN, case.input("depth_in"), 1e-6);
        case.check_within("spacing over diameter", spacing_m / (2.0 * gun.radius_m()), case.want("s_over_d"), 1e-6);
        assert!(rates.own_circle_mm_h / MM_PER_IN < 0.26, "{}: {}", case.id, rates);
        let even = lattice_uniformity(&gun, Lattice::Square { spacing_m }, Some(64)).unwrap();
        case.check_within("mean of the lattice", even.mean_mm / MM_PER_IN, case.input("depth_in"), 1e-3);
    }
}

#[test]
fn the_field_fact_in_plain_numbers_and_why() {
    // common practice: 80 gpm, sets 93 ft apart: 0.75 in net in an hour; alone the circle gets about 0.2 in/h gross, 0.17 net
    let flow = 80.0 * L_PER_GAL;
    let head =
        |spray_loss| Sprinkler::new(SprinklerInput { spray_loss, ..SprinklerInput::new(flow, 112.0 * M_PER_FT, Profile::Cone) }).unwrap();
    let ground = (93.0 * M_PER_FT).powi(2);
    let (gross, net) = (overlapped(&head(0.0), ground).unwrap(), overlapped(&head(0.15), ground).unwrap());
    let inches = |mm_h: f64| (100.0 * mm_h / MM_PER_IN).round() / 100.0;
    assert_eq!((inches(gross.own_circle_mm_h), inches(net.own_circle_mm_h), inches(net.overlapped_mm_h)), (0.2, 0.17, 0.76));
    assert!((net.overlapped_mm_h / MM_PER_IN - 0.75).abs() < 0.01);
    let why = "0.17 in/h (4.2 mm/h) in the circle of one set; each place lies in 4.6 circles on the mean, so an hour at every position \
               brings it 0.76 in (19 mm)";
    assert_eq!(net.words(System::Us), why);
    // eight to ten such sets with 20 to 45 min a move: an 11 to 17 h day
    let day = day_of_sets((8, 10), 60.0, (20.0, 45.0)).unwrap();
    assert_eq!(
        day.to_string(),
        "8 to 10 sets of 60 min and a move of 20 to 45 min before each are a day of 10.7 to 17.5 h: 2.7 to 7.5 h of it are moves"
    );
}

/// What the air's drag takes off a drop's speed, over that speed, 1/s. Fukui's law (1980), from memory.
fn drag(d: f64, v: f64, air: f64, water: f64, nu: f64) -> f64 {
    let re = v * d / nu;
    let c = if re <= 128.0 {
        33.3 / re - 0.0033 * re + 1.2
    } else if re <= 1440.0 {
        72.2 / re - 5.56e-5 * re + 0.48
    } else {
        0.45
    };
    0.75 * air / water * c * v / d
}

/// Flight of one drop with the full drag of the air, by fourth order Runge-Kutta steps of half a millisecond: where it
/// lands, and when.
fn flight(case: &Case, wind: [f64; 2]) -> [f64; 3] {
    let [d_mm, air, water, nu, g] = ["d_mm", "rho_air", "rho_water", "nu_air", "g"].map(|key| case.input(key));
    let slope = |s: [f64; 6]| {
        let v = [s[3] - wind[0], s[4] - wind[1], s[5]];
        let k = drag(d_mm / 1000.0, (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt(), air, water, nu);
        [s[3], s[4], s[5], -k * v[0], -k * v[1], -k * v[2] - g]
    };
    let step = |s: [f64; 6], by: [f64; 6], h: f64| std::array::from_fn(|i| s[i] + h * by[i]);
    let (angle, h) = (case.input("angle_deg").to_radians(), 5e-4);
    let mut s = [0.0, 0.0, case.input("h0_m"), case.input("v0_m_s") * angle.cos(), 0.0, case.input("v0_m_s") * angle.sin()];
    let mut time = 0.0;
    loop {
        let k1 = slope(s);
        let k2 = slope(step(s, k1, 0.5 * h));
        let k3 = slope(step(s, k2, 0.5 * h));
        let k4 = slope(step(s, k3, h));
        let next: [f64; 6] = std::array::from_fn(|i| s[i] + h / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]));
        if next[2] <= 0.0 {
            let share = s[2] / (s[2] - next[2]);
            return [s[0] + share * (next[0] - s[0]), s[1] + share * (next[1] - s[1]), time + share * h];
        }
        (s, time) = (next, time + h);
    }
}

#[test]
fn the_guess_for_wind_is_half_of_what_a_computed_drop_drifts() {
    for case in cases("ballistic", "drop_", 4) {
        let wind = case.input("wind_m_s");
        let [calm, _, time] = flight(&case, [0.0, 0.0]);
        case.check("calm range", calm, case.want("calm_m"));
        case.check("time", time, case.want("time_s"));
        case.check("downwind", flight(&case, [wind, 0.0])[0], case.want("downwind_m"));
        case.check("upwind", flight(&case, [-wind, 0.0])[0], case.want("upwind_m"));
        case.check("across the wind", flight(&case, [0.0, wind])[1], case.want("crosswind_drift_m"));
        // the guess: half of the largest drop's, whose jet does not hold together at all; smaller drops drift farther
        let guessed = Wind::guess(wind, 270.0, 30.0).unwrap().0.input().drift_m / 30.0;
        let drifted = (case.want("downwind_m") - case.want("upwind_m")) / 2.0 / calm;
        let share = guessed / drifted;
        assert!(if case.input("d_mm") < 4.0 { share < 0.5 } else { (0.4..0.5).contains(&share) }, "{}: {share}", case.id);
    }
    for case in cases("ballistic", "vterm_", 4) {
        let d = case.input("d_mm") / 1000.0;
        // the speed at which drag holds the weight, by halving
        let (mut slow, mut fast) = (0.1, 20.0);
        for _ in 0..60 {
            let v = 0.5 * (slow + fast);
            if drag(d, v, 1.204, 998.2, 1.516e-5) * v < 9.806_65 { slow = v } else { fast = v }
        }
        case.check_within("falling speed", slow, case.want("v_m_s"), 1e-3 * case.want("v_m_s")); // theirs has buoyancy
        // drops of 3 mm and more flatten and fall more slowly than the law for spheres says
        let measured = case.recomputed("gunn_kinzer_memory");
        assert!((slow / measured - 1.0).abs() < 0.12, "{}: {slow} m/s, measured (from memory) {measured}", case.id);
    }
}

#[test]
fn spacings_that_are_advised_from_memory_are_even_enough() {
    let head = |profile| Sprinkler::new(SprinklerInput::new(300.0, RADIUS_M, profile)).unwrap();
    for case in cases("spacing", "spacing_christiansen", 1) {
        // the triangle, the parabola, the flat curve and the hollow one; the first of the five has no profile here
        let profiles = [Profile::Cone, Profile::Parabola, Profile::Ellipse, Profile::Ring];
        let (square, triangular) = (Case::list(&case.expected, "square"), Case::list(&case.expected, "triangular"));
        for (profile, (square, triangular)) in profiles.into_iter().zip(square.into_iter().zip(triangular).skip(1)) {
            let spacing = |percent: f64| percent / 100.0 * 2.0 * RADIUS_M;
            let on = |lattice| lattice_uniformity(&head(profile.clone()), lattice, None).unwrap().cu_pct;
            let (a, b) = (on(Lattice::Square { spacing_m: spacing(square) }), on(Lattice::Triangular { spacing_m: spacing(triangular) }));
            assert!(a > 84.0 && b > 80.0, "{} from memory: {profile:?} has CU {a:.0} and {b:.0} %", case.id);
        }
    }
    for case in cases("spacing", "spacing_towpath", 1) {
        for key in ["percent_low", "percent_high"] {
            for percent in Case::list(&case.expected, key) {
                let even = lane_uniformity(&head(Profile::Ellipse), percent / 100.0 * 2.0 * RADIUS_M).unwrap().cu_pct;
                assert!(even > 84.0, "{} from memory: lanes at {percent} % have CU {even:.0} %", case.id);
            }
        }
    }
}

#[test]
fn losses_and_rates_of_published_trials_are_of_the_size_of_ours() {
    for case in cases("efficiency", "ea_climate", 1) {
        // an application efficiency holds unevenness too, so the spray alone loses less than what it leaves
        let share = Case::list(&case.expected, "ea_percent");
        let loss = |climate| spray_loss(climate).0;
        assert!(loss(SprayClimate::Humid).high < 1.0 - share[3] / 100.0, "{} from memory", case.id);
        assert!(loss(SprayClimate::Dry).high < 1.0 - share[1] / 100.0, "{} from memory", case.id);
    }
    for case in cases("uniformity", "tpn2014", 1) {
        let ground = case.input("s1_ft") * case.input("s2_ft") * convert(1.0, "ft2", "m2").unwrap();
        let rate = flow_to_rate_mm_h(case.recomputed("net_gpm_per_sprinkler_interior") * L_PER_GAL, ground).unwrap() / MM_PER_IN;
        case.check_within("in/h among others", rate, case.want("rate_interior_in_h"), 0.005);
        // the abstract calls this \"150 percent more\"; it is half more
        let ratio = case.want("rate_edge_in_h") / case.want("rate_interior_in_h");
        case.check_within("edge over interior", ratio, case.recomputed("ratio"), 0.005);
    }
}
