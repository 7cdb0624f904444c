//! Laws that soil water keeps, the heavy-soil case, and what bad input is told.

#![allow(clippy::unwrap_used, clippy::panic)]

use dibble::soil::intake::{GreenAmpt, PulseLimit, PulseRequest, Step, infiltrate, ponded_infiltration_mm, pulse_plan};
use dibble::soil::runoff::{Antecedent, runoff_mm};
use dibble::soil::{Layer, Measured, Particles, Profile, Soil, TextureClass, WetEnd, feel::Band, intake};
use proptest::prelude::*;

/// Soils over the calibrated triangle, gravel and salt included; combinations that the equations refuse are left out.
fn soils() -> impl Strategy<Value = Soil> {
    (0.0..100.0_f64, 0.0..60.0_f64, 0.0..8.0_f64, 0.9..1.2_f64, 0.0..60.0_f64).prop_filter_map(
        "no usable soil",
        |(sand, clay, om, density, gravel)| {
            let sand_pct = sand * (100.0 - clay) / 100.0;
            Soil::from_particles(&Particles { density_factor: density, gravel_pct: gravel, ..Particles::new(sand_pct, clay, om) }).ok()
        },
    )
}

fn grounds() -> impl Strategy<Value = GreenAmpt> {
    (-1.5..2.0_f64, 20.0..400.0_f64, 0.0..0.45_f64).prop_map(|(log_k, suction_mm, moisture_deficit)| GreenAmpt {
        ksat_mm_h: 10.0_f64.powf(log_k),
        suction_mm,
        moisture_deficit,
    })
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let rate = prop_oneof![Just(0.0), 0.1..60.0_f64];
    prop::collection::vec((rate, 0.0..3.0_f64).prop_map(|(rate_mm_h, duration_h)| Step { rate_mm_h, duration_h }), 1..6)
}

proptest! {
    #[test]
    fn drier_soil_holds_its_water_tighter(soil in soils(), straight in any::<bool>(), a in 0.001..1.0_f64, b in 0.001..1.0_f64) {
        let soil = if straight { soil.with_wet_end(WetEnd::StraightLine).unwrap_or(soil) } else { soil };
        let (dry, wet) = (a.min(b) * soil.saturation(), a.max(b) * soil.saturation());
        prop_assert!(soil.tension_at(dry).unwrap() >= soil.tension_at(wet).unwrap());
        prop_assert!(soil.conductivity_mm_h(dry).unwrap() <= soil.conductivity_mm_h(wet).unwrap());
        prop_assert!(soil.conductivity_mm_h(wet).unwrap() <= soil.ksat_mm_h() * (1.0 + 1e-12));
    }

    #[test]
    fn tension_and_water_content_are_each_others_inverse(soil in soils(), straight in any::<bool>(), log_kpa in 0.0..4.9_f64) {
        let soil = if straight { soil.with_wet_end(WetEnd::StraightLine).unwrap_or(soil) } else { soil };
        let tension = 10.0_f64.powf(log_kpa);
        let water = soil.water_content_at(tension).unwrap();
        prop_assert!(water <= soil.saturation());
        if water < soil.saturation() {
            prop_assert!((soil.tension_at(water).unwrap() / tension - 1.0).abs() < 1e-9);
        }
        for (water, kpa) in [(soil.field_capacity(), 33.0), (soil.wilting_point(), 1500.0)] {
            prop_assert!((soil.tension_at(water).unwrap() / kpa - 1.0).abs() < 1e-9);
            prop_assert!((soil.water_content_at(kpa).unwrap() / water - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn a_soil_and_a_profile_come_back_from_json_bit_for_bit(soil in soils(), tension in 12.0..50.0_f64, straight in any::<bool>()) {
        let soil = if straight { soil.with_wet_end(WetEnd::StraightLine).unwrap_or(soil) } else { soil };
        let soil = soil.with_field_capacity_at(tension).unwrap_or(soil);
        let back: Soil = serde_json::from_str(&serde_json::to_string(&soil).unwrap()).unwrap();
        prop_assert_eq!(&back, &soil);
        let profile = Profile::layered(vec![Layer { to_depth_m: 0.25, soil }, Layer { to_depth_m: 1.1, soil }]).unwrap();
        let back: Profile = serde_json::from_str(&serde_json::to_string(&profile).unwrap()).unwrap();
        prop_assert_eq!(back, profile);
    }

    #[test]
    fn water_of_a_profile_is_the_sum_of_its_pieces(soil in soils(), other in soils(), edge in 0.05..1.0_f64, a in 0.0..2.0_f64, b in 0.0..2.0_f64) {
        let profile = Profile::layered(vec![Layer { to_depth_m: edge, soil }, Layer { to_depth_m: 1.2, soil: other }]).unwrap();
        let (a, b) = (a.min(b), a.max(b));
        let between: f64 = profile.pieces(a, b).unwrap().iter().map(|(z, s)| s.available_water_mm(*z).unwrap()).sum();
        let (to_a, to_b) = (profile.available_water_mm(a).unwrap(), profile.available_water_mm(b).unwrap());
        prop_assert!((to_b - to_a - between).abs() < 1e-9);
        prop_assert!(profile.drainage_limit_mm_h(a).unwrap() <= profile.drainage_limit_mm_h(b).unwrap());
        let bands: Vec<f64> = Band::ALL.iter().map(|band| band.depletion(&soil, b).unwrap().middle_mm).collect();
        prop_assert!(bands.windows(2).all(|pair| pair[0] >= pair[1]));
    }

    #[test]
    fn water_is_taken_in_runs_off_or_stands(ground in grounds(), steps in steps(), storage in 0.0..6.0_f64) {
        let all = infiltrate(&steps, &ground, storage).unwrap();
        prop_assert!((all.applied_mm - all.infiltrated_mm - all.runoff_mm - all.standing_mm).abs() < 1e-9 * all.applied_mm.max(1.0), "{all:?}");
        prop_assert!(all.infiltrated_mm >= 0.0 && all.runoff_mm >= 0.0 && all.standing_mm >= 0.0 && all.standing_mm <= storage);
        let hours: f64 = steps.iter().map(|step| step.duration_h).sum();
        prop_assert!(all.infiltrated_mm <= ponded_infiltration_mm(hours, &ground).unwrap() * (1.0 + 1e-9) + 1e-9);
        // More room on the surface never lets more run off.
        prop_assert!(infiltrate(&steps, &ground, storage + 1.0).unwrap().runoff_mm <= all.runoff_mm + 1e-9);
    }

    #[test]
    fn cutting_a_step_in_two_changes_nothing(ground in grounds(), steps in steps(), storage in 0.0..6.0_f64, cut in 0.05..0.95_f64) {
        let halves: Vec<Step> = steps.iter().flat_map(|s| [cut, 1.0 - cut].map(|share| Step { duration_h: share * s.duration_h, ..*s })).collect();
        let (whole, cut) = (infiltrate(&steps, &ground, storage).unwrap(), infiltrate(&halves, &ground, storage).unwrap());
        prop_assert!((whole.infiltrated_mm - cut.infiltrated_mm).abs() < 1e-6, "{whole:?} {cut:?}");
        prop_assert!((whole.runoff_mm - cut.runoff_mm).abs() < 1e-6);
    }

    #[test]
    fn a_pulse_plan_puts_exactly_its_depth_in_without_runoff(
        ground in grounds(), depth in 0.5..40.0_f64, depletion in 0.5..40.0_f64, rate in 2.0..50.0_f64, storage in 0.0..5.0_f64, within in 0.5..72.0_f64,
    ) {
        let plan = pulse_plan(&PulseRequest { depth_mm: depth, depletion_mm: depletion, rate_mm_h: rate, ground, storage_mm: storage, within_h: within }).unwrap();
        prop_assert!(plan.depth_mm <= depth.min(depletion));
        prop_assert!((plan.depth_mm + plan.short_mm - depth).abs() < 1e-9);
        prop_assert!(plan.elapsed_h <= within * (1.0 + 1e-9) + 1e-9);
        let on = |minutes: f64| Step { rate_mm_h: rate, duration_h: minutes / 60.0 };
        let pause = |minutes: f64| Step { rate_mm_h: 0.0, duration_h: minutes / 60.0 };
        let steps: Vec<Step> = plan.pulses.iter().flat_map(|pulse| [on(pulse.on_min), pause(pulse.soak_min)]).collect();
        let done = infiltrate(&steps, &ground, storage * (1.0 + 1e-9)).unwrap();
        prop_assert!(done.runoff_mm < 1e-9, "{plan:?} {done:?}");
        prop_assert!((done.infiltrated_mm - plan.depth_mm).abs() < 1e-6, "{plan:?} {done:?}");
        prop_assert!((60.0 * plan.elapsed_h - plan.pulses.iter().map(|p| p.on_min + p.soak_min).sum::<f64>()).abs() < 1e-6);
        if plan.limit == PulseLimit::None {
            prop_assert_eq!(plan.depth_mm, depth);
        }
        if rate <= ground.ksat_mm_h {
            prop_assert!(plan.pulses.len() <= 1);
        }
        // A last pulse under five minutes stands only where the ground would not take five in its place.
        let free = plan.limit != PulseLimit::Time && 2.0 * plan.elapsed_h < within;
        if let [first @ .., before, last] = plan.pulses.as_slice()
            && free
            && last.on_min < 5.0 - 1e-9
            && before.on_min + last.on_min > 10.0
        {
            let steps: Vec<Step> = (first.iter().map(|p| (p.on_min, p.soak_min)))
                .chain([(before.on_min + last.on_min - 5.0, 1e4), (5.0, 1e4)])
                .flat_map(|(on_min, soak_min)| [on(on_min), pause(soak_min)])
                .collect();
            prop_assert!(infiltrate(&steps, &ground, storage).unwrap().runoff_mm > 0.0, "{plan:?}");
        }
    }

    #[test]
    fn a_crumb_takes_from_the_pulse_before_it(rate in 10.0..40.0_f64, crumb_min in 0.5..4.9_f64) {
        // slow ground with hollows: what two pulses can give, and a crumb more than the first can
        let ground = GreenAmpt { ksat_mm_h: 1.0, suction_mm: 200.0, moisture_deficit: 0.1 };
        let asked = |depth_mm: f64| PulseRequest { depth_mm, depletion_mm: depth_mm, rate_mm_h: rate, ground, storage_mm: 3.0, within_h: 100.0 };
        let first = pulse_plan(&asked(30.0)).unwrap().pulses[0];
        let plan = pulse_plan(&asked(first.depth_mm + crumb_min * rate / 60.0)).unwrap();
        let on: Vec<f64> = plan.pulses.iter().map(|p| p.on_min).collect();
        prop_assert_eq!(on.len(), 2);
        prop_assert!(on[1] >= 5.0_f64.min(0.5 * (on[0] + on[1])) - 1e-9, "{on:?}");
        prop_assert!((on[0] + on[1] - first.on_min - crumb_min).abs() < 1e-9);
    }

    #[test]
    fn runoff_lies_between_nothing_and_the_rain_and_rises_with_rain_and_curve_number(
        a in 0.0..300.0_f64, b in 0.0..300.0_f64, cn in 1.0..100.0_f64, other in 1.0..100.0_f64,
    ) {
        let (small, large) = (a.min(b), a.max(b));
        let runoff = runoff_mm(large, cn).unwrap();
        prop_assert!(runoff >= 0.0 && runoff <= large);
        prop_assert!(runoff_mm(small, cn).unwrap() <= runoff + 1e-12);
        prop_assert!(runoff_mm(large, cn.min(other)).unwrap() <= runoff_mm(large, cn.max(other)).unwrap() + 1e-12);
        prop_assert!(Antecedent::Dry.curve_number(cn).unwrap() <= cn + 1e-12 && Antecedent::Wet.curve_number(cn).unwrap() >= cn - 1e-12);
    }
}

/// The equation f = K (1 + psi n / F) taken in short strides, with hollows: a second way to the same answer.
fn by_short_strides(steps: &[Step], ground: &GreenAmpt, storage_mm: f64) -> (f64, f64) {
    const STRIDE_H: f64 = 2.0e-5;
    let (mut taken, mut standing, mut runoff) = (1e-9_f64, 0.0_f64, 0.0_f64);
    for step in steps {
        let strides = (step.duration_h / STRIDE_H).round() as usize;
        for _ in 0..strides {
            let supply = standing + step.rate_mm_h * STRIDE_H;
            let able = ground.ksat_mm_h * (1.0 + ground.suction_mm * ground.moisture_deficit / taken) * STRIDE_H;
            let into = supply.min(able);
            taken += into;
            standing = supply - into;
            runoff += (standing - storage_mm).max(0.0);
            standing = standing.min(storage_mm);
        }
    }
    (taken, runoff)
}

#[test]
fn steps_agree_with_the_equation_taken_in_short_strides() {
    let step = |rate_mm_h: f64, duration_h: f64| Step { rate_mm_h, duration_h };
    let clay = GreenAmpt { ksat_mm_h: 0.57, suction_mm: 316.3, moisture_deficit: 0.12 };
    let loam = GreenAmpt { ksat_mm_h: 6.0, suction_mm: 89.0, moisture_deficit: 0.2 };
    let rows: [(Vec<Step>, GreenAmpt, f64); 6] = [
        (vec![step(19.0, 1.0)], clay, 0.0),
        (vec![step(19.0, 0.3), step(0.0, 0.5), step(19.0, 0.3), step(0.0, 2.0)], clay, 2.0),
        // Water stands and goes down under a lighter rate until it is gone.
        (vec![step(30.0, 0.4), step(7.0, 3.0)], loam, 5.0),
        // Water stands, goes down under a lighter rate, and rises again under the same rate until it runs off.
        (vec![step(30.0, 0.6), step(12.0, 2.0)], loam, 5.0),
        (vec![step(3.0, 1.0), step(40.0, 0.5), step(5.0, 1.0), step(12.0, 1.0)], loam, 1.0),
        (vec![step(25.0, 1.0), step(10.0, 2.0)], GreenAmpt { moisture_deficit: 0.0, ..loam }, 3.0),
    ];
    for (steps, ground, storage) in rows {
        let exact = infiltrate(&steps, &ground, storage).unwrap();
        let (taken, runoff) = by_short_strides(&steps, &ground, storage);
        // Strides of 0.07 s leave some thousandths of a millimeter.
        assert!((exact.infiltrated_mm - taken).abs() < 0.01, "{steps:?}: {exact:?}, strides {taken}");
        assert!((exact.runoff_mm - runoff).abs() < 0.01, "{steps:?}: {exact:?}, strides {runoff}");
    }
}

#[test]
fn the_heavy_soil_case() {
    // Clay of Saxton and Rawls' Table 3 (25 % sand, 50 % clay), 35 % of the available water of 0.2 m gone.
    let clay = Soil::from_particles(&Particles::new(25.0, 50.0, 2.5)).unwrap();
    let depletion_mm = 0.35 * clay.available_water_mm(0.2).unwrap();
    assert_eq!(format!("{depletion_mm:.1}"), "8.6"); // not the 19 mm of an hour under a big sprinkler

    let water = clay.field_capacity() - 0.35 * (clay.field_capacity() - clay.wilting_point());
    let conductivity = intake::conductivity(&clay, None).unwrap();
    assert_eq!(
        (format!("{:.2}", conductivity.low_mm_h), format!("{:.2}", conductivity.value_mm_h), format!("{:.2}", conductivity.high_mm_h)),
        ("0.30".into(), "0.57".into(), "1.14".into())
    );
    // One hour at 19 mm/h: share taken in at the table's K, at half the saturated K, at the saturated K.
    let shares: Vec<String> = [conductivity.low_mm_h, conductivity.value_mm_h, conductivity.high_mm_h]
        .iter()
        .map(|&k| {
            let ground = GreenAmpt::of(&clay, water, k).unwrap();
            assert_eq!((ground.suction_mm, format!("{:.2}", ground.moisture_deficit)), (316.3, "0.12".into()));
            let hour = infiltrate(&[Step { rate_mm_h: 19.0, duration_h: 1.0 }], &ground, 0.0).unwrap();
            format!("{:.0} %", 100.0 * hour.share())
        })
        .collect();
    assert_eq!(shares, ["26 %", "36 %", "51 %"]);

    // The plan for half the saturated K on a 3 % slope: the usable depth, and how long it takes.
    let plan = pulse_plan(&PulseRequest {
        depth_mm: 19.0,
        depletion_mm,
        rate_mm_h: 19.0,
        ground: GreenAmpt::of(&clay, water, conductivity.value_mm_h).unwrap(),
        storage_mm: intake::surface_storage_mm(3.0).unwrap(),
        within_h: 24.0,
    })
    .unwrap();
    assert_eq!((plan.depth_mm, plan.limit), (depletion_mm, PulseLimit::Depletion));
    assert_eq!(plan.pulses.len(), 2);
    assert_eq!((format!("{:.0}", plan.on_min), format!("{:.1}", plan.elapsed_h)), ("27".into(), "1.5".into()));
}

#[test]
fn plans_say_what_limits_them() {
    let request = PulseRequest {
        depth_mm: 10.0,
        depletion_mm: 12.0,
        rate_mm_h: 19.0,
        ground: GreenAmpt { ksat_mm_h: 0.3, suction_mm: 316.3, moisture_deficit: 0.12 },
        storage_mm: 2.0,
        within_h: 24.0,
    };
    assert_eq!(pulse_plan(&request).unwrap().limit, PulseLimit::None);
    assert_eq!(pulse_plan(&PulseRequest { within_h: 1.0, ..request }).unwrap().limit, PulseLimit::Time);
    assert_eq!(pulse_plan(&PulseRequest { depletion_mm: 4.0, ..request }).unwrap().limit, PulseLimit::Depletion);
    // Smooth steep ground: water goes in until it first stands, then no pulse helps.
    let steep = pulse_plan(&PulseRequest { storage_mm: 0.0, ..request }).unwrap();
    assert_eq!((steep.limit, steep.pulses.len(), format!("{:.2}", steep.depth_mm)), (PulseLimit::Intake, 1, "0.61".into()));
    // Sand takes all in one set.
    let sand = GreenAmpt { ksat_mm_h: 60.0, suction_mm: 50.0, moisture_deficit: 0.3 };
    let plain = pulse_plan(&PulseRequest { ground: sand, ..request }).unwrap();
    assert!(!plain.is_pulsed() && plain.limit == PulseLimit::None);
    assert!((plain.on_min - 60.0 * 10.0 / 19.0).abs() < 1e-9 && (60.0 * plain.elapsed_h - plain.on_min).abs() < 1e-9);
    // Nothing lacking, nothing given.
    let full = pulse_plan(&PulseRequest { depletion_mm: 0.0, ..request }).unwrap();
    assert_eq!((full.pulses.len(), full.depth_mm, full.limit), (0, 0.0, PulseLimit::Depletion));
}

#[test]
fn the_straight_wet_end_reads_a_sand_at_20_kpa_far_wetter_than_the_power_law() {
    let sand = Soil::from_texture(TextureClass::Sand, 2.5).unwrap();
    let line = sand.with_wet_end(WetEnd::StraightLine).unwrap();
    let (power, straight) = (sand.water_content_at(20.0).unwrap(), line.water_content_at(20.0).unwrap());
    assert_eq!((format!("{power:.3}"), format!("{straight:.3}")), ("0.093".into(), "0.236".into()));
    // Both meet at 33 kPa and drier.
    assert_eq!(sand.water_content_at(200.0).unwrap(), line.water_content_at(200.0).unwrap());
}

fn message<T: std::fmt::Debug>(result: dibble::Result<T>) -> String {
    result.unwrap_err().to_string()
}

#[test]
fn measured_values_out_of_order_are_refused() {
    let good = Measured { wilting_point: 0.12, field_capacity: 0.30, saturation: 0.46, ksat_mm_h: 12.0, ..Measured::default() };
    assert!(Soil::from_measured(&good).is_ok());
    assert_eq!(
        message(Soil::from_measured(&Measured { field_capacity: 0.10, ..good })),
        "field_capacity 0.1 is not above wilting_point 0.12. A soil holds more water at field capacity than at wilting: check that the two are not exchanged and that both are m3/m3."
    );
    assert_eq!(
        message(Soil::from_measured(&Measured { saturation: 0.25, ..good })),
        "saturation 0.25 is not between field_capacity 0.3 and 1. Saturation is the pore space, commonly 0.35 to 0.60 m3/m3."
    );
    assert_eq!(
        message(Soil::from_measured(&Measured { bulk_density_g_cm3: Some(1.7), ..good })),
        "saturation 0.46 is more than the pore space 0.358 that bulk_density_g_cm3 1.7 leaves. Check both; pore space is 1 - density / 2.65."
    );
    assert_eq!(
        message(Soil::from_measured(&Measured { field_capacity: 30.0, ..good })),
        "field_capacity is 30: volumetric water content must be from 0 to 1. Give m3 of water per m3 of soil, 0.30 for 30 %."
    );
    assert_eq!(
        message(Soil::from_measured(&Measured { ksat_mm_h: f64::NAN, ..good })),
        "ksat_mm_h is NaN mm/h: saturated hydraulic conductivity must be from 0.001 to 10000 mm/h. Give mm per hour; 1 in/h is 25.4 mm/h."
    );
    let silty = Particles::new(0.0, 0.0, 0.0);
    assert_eq!(
        message(Soil::from_particles(&silty).unwrap().with_wet_end(WetEnd::StraightLine)),
        "air enters this soil at 34.9 kPa, which leaves no straight line below 33 kPa. Keep the power law."
    );
    let soil = Soil::from_measured(&good).unwrap();
    assert_eq!(
        message(soil.with_wet_end(WetEnd::StraightLine)),
        "the air entry tension of a measured soil is missing. The straight line ends there: keep the power law, or describe the soil by its particles."
    );
    assert_eq!(
        message(soil.tension_at(0.5)),
        "water_content 0.5 is more than the soil holds when saturated, 0.460. Check the probe's calibration, or give this soil's measured saturation."
    );
}

#[test]
fn particles_out_of_range_or_packed_beyond_their_pores_are_refused() {
    assert_eq!(
        message(Soil::from_particles(&Particles::new(60.0, 55.0, 2.5))),
        "sand_pct 60 and clay_pct 55 add to 115 %, more than 100. Give percent by mass of the fine earth (below 2 mm); sand, silt and clay together are 100."
    );
    assert_eq!(
        message(Soil::from_particles(&Particles::new(30.0, 35.0, 12.0))),
        "organic_matter_pct is 12 %: organic matter must be from 0 to 8 %. Percent by mass; the equations hold to 8 %. Peat and muck need measured water holding."
    );
    let packed = Particles { density_factor: 1.3, ..Particles::new(30.0, 35.0, 2.5) };
    assert_eq!(
        message(Soil::from_particles(&packed)),
        "the pedotransfer equations give no usable soil for sand_pct 30, clay_pct 35, organic_matter_pct 2.5, density_factor 1.3 (wilting point 0.218, field capacity 0.327, saturation 0.320). Give measured water holding, or check the density factor (1 is normal, 1.1 dense, 1.2 hard)."
    );
    assert_eq!(
        message(Soil::from_texture(TextureClass::Clay, 2.5).unwrap().with_field_capacity_at(1.0)),
        "field_capacity_tension_kpa 1 is wetter than air entry: this soil is still saturated there. Field capacity is commonly taken at 10 kPa on sands and at 33 kPa elsewhere."
    );
}

#[test]
fn intake_and_runoff_refuse_what_cannot_be() {
    let ground = GreenAmpt { ksat_mm_h: 5.0, suction_mm: 100.0, moisture_deficit: 0.2 };
    assert_eq!(
        message(intake::ponding_time_h(-1.0, &ground)),
        "rate_mm_h is -1 mm/h: application rate must be from 0 to 1000 mm/h. Give mm per hour; 1 in/h is 25.4 mm/h."
    );
    assert_eq!(
        message(infiltrate(&[Step { rate_mm_h: 5.0, duration_h: 1.0 }, Step { rate_mm_h: 5.0, duration_h: -1.0 }], &ground, 0.0)),
        "step 2: duration_h is -1 h: duration must be from 0 to 10000 h. Give hours."
    );
    assert_eq!(
        message(intake::ponding_time_h(10.0, &GreenAmpt { moisture_deficit: 12.0, ..ground })),
        "moisture_deficit is 12: fraction must be from 0 to 1. Give a fraction from 0 to 1, 0.35 for 35 %."
    );
    assert_eq!(
        message(runoff_mm(-2.0, 70.0)),
        "rain_mm is -2 mm: rain must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm. Rain cannot be negative."
    );
    assert_eq!(
        message(runoff_mm(20.0, 0.0)),
        "curve_number is 0: curve number must be from 1 to 100. NEH 630 ch. 9 lists them by cover and soil group."
    );
}

#[test]
fn json_with_an_unknown_key_or_an_impossible_soil_is_refused() {
    let soil: Soil = serde_json::from_str(r#"{"origin":{"texture":{"texture":"Clay-Loam","organic_matter_pct":2.5}}}"#).unwrap();
    assert_eq!(soil.texture(), TextureClass::ClayLoam);
    let unknown = r#"{"origin":{"texture":{"texture":"clay loam","organic_matter_pct":2.5}},"colour":"red"}"#;
    assert!(serde_json::from_str::<Soil>(unknown).unwrap_err().to_string().contains("unknown field `colour`"));
    let exchanged = r#"{"origin":{"measured":{"wilting_point":0.3,"field_capacity":0.2,"saturation":0.5,"ksat_mm_h":4}}}"#;
    assert!(serde_json::from_str::<Soil>(exchanged).unwrap_err().to_string().contains("field_capacity 0.2 is not above wilting_point 0.3"));
}
