//! Published tables and worked examples of FAO-56, through the public functions, at printed precision.
//!
//! Examples 35 and 38 (the daily balances) are worked by the ledger's tests; rows from memory by the unit tests
//! beside their constants.

#![allow(clippy::unwrap_used, clippy::panic)]

use dibble::air::{self, HumidityRange, Psychrometer, Ventilation};
use dibble::et::crop::{self, BareSoilWetting, CoverFromKcb, DripCover, EvaporationShare, SparseCover, Texture};
use dibble::et::{self, DailyInput, HourlyForm, HourlyInput, Surface};
use dibble::sun::{self, HourSun, LongwaveDay, RangeDay};
use std::collections::{BTreeMap, BTreeSet};

#[derive(serde::Deserialize)]
struct File {
    case: Vec<Case>,
}

#[derive(serde::Deserialize)]
struct Case {
    id: String,
    source: String,
    #[serde(rename = "ref")]
    place: String,
    kind: String,
    provenance: String,
    inputs: toml::Table,
    expect: BTreeMap<String, f64>,
    tol: BTreeMap<String, f64>,
    #[serde(default)]
    looser_tol: BTreeMap<String, f64>,
    why: Option<String>,
    #[serde(default)]
    exclude: BTreeSet<String>,
}

impl Case {
    fn get(&self, key: &str) -> f64 {
        let value = self.inputs.get(key).unwrap_or_else(|| panic!("{} has no input {key}", self.id));
        value.as_float().or_else(|| value.as_integer().map(|i| i as f64)).unwrap()
    }

    /// Every printed value has to be among the computed ones.
    fn check(&self, computed: &[(&str, f64)]) {
        assert!(self.looser_tol.is_empty() || self.why.is_some(), "{}: a looser tolerance without a reason", self.id);
        for (key, printed) in self.expect.iter().filter(|(key, _)| !self.exclude.contains(*key)) {
            let Some((_, value)) = computed.iter().find(|(name, _)| name == key) else { panic!("{}: {key} is not computed", self.id) };
            let tolerance = self.looser_tol.get(key).unwrap_or_else(|| &self.tol[key]) * (1.0 + 1e-9);
            assert!(
                (value - printed).abs() <= tolerance,
                "{key} is {value}, printed {printed} within {tolerance}: {}, {} ({}, {})",
                self.source,
                self.place,
                self.id,
                self.provenance
            );
        }
    }
}

/// The cases of one kind; an empty list would test nothing.
fn cases(kind: &str) -> Vec<Case> {
    let file: File = toml::from_str(include_str!("reference/et.toml")).unwrap();
    let found: Vec<Case> = file.case.into_iter().filter(|case| case.kind == kind).collect();
    assert!(!found.is_empty() && found.iter().all(|case| case.provenance != "memory"), "{kind}");
    found
}

fn day_of_year(case: &Case) -> f64 {
    f64::from(dibble::Date::new(2026, case.get("month") as u32, case.get("day") as u32).unwrap().day_of_year())
}

#[test]
fn every_kind_of_case_is_read_by_some_test() {
    let file: File = toml::from_str(include_str!("reference/et.toml")).unwrap();
    let here = include_str!("et_reference.rs");
    for kind in file.case.iter().map(|case| case.kind.as_str()).collect::<BTreeSet<_>>() {
        let elsewhere = ["ex35", "ex38", "asce_const"].contains(&kind);
        assert!(elsewhere || here.contains(&format!("cases(\"{kind}\")")), "{kind}");
    }
}

#[test]
fn tables_of_pressure_saturation_slope_and_wind() {
    for case in cases("table21") {
        case.check(&[("P", air::atmospheric_pressure(case.get("z")).unwrap())]);
    }
    for case in cases("table22") {
        case.check(&[("gamma", air::psychrometric_constant(case.get("z")).unwrap())]);
    }
    for case in cases("table23") {
        case.check(&[("es", air::saturation_vapor_pressure(case.get("T")).unwrap())]);
    }
    for case in cases("table24") {
        case.check(&[("Delta", air::vapor_pressure_slope(case.get("T")).unwrap())]);
    }
    for case in cases("table29") {
        case.check(&[("factor", air::wind_at_2m(1.0, case.get("z")).unwrap())]);
    }
}

#[test]
fn tables_of_days_and_radiation() {
    for case in cases("table25") {
        case.check(&[("J", day_of_year(&case))]);
    }
    for case in cases("table26") {
        case.check(&[("Ra", sun::extraterrestrial_radiation(case.get("lat"), case.get("J")).unwrap())]);
    }
    for case in cases("table28") {
        case.check(&[("sT4", sun::black_body_radiation(case.get("T")).unwrap())]);
    }
}

#[test]
fn examples_1_to_6_air() {
    for case in cases("ex01") {
        case.check(&[("mm", et::evaporation_equivalent_mm(case.get("MJ") * case.get("frac")).unwrap())]);
    }
    for case in cases("ex02") {
        let z = case.get("z");
        case.check(&[("P", air::atmospheric_pressure(z).unwrap()), ("gamma", air::psychrometric_constant(z).unwrap())]);
    }
    for case in cases("ex03") {
        let (tmin, tmax) = (case.get("Tmin"), case.get("Tmax"));
        let e = |t| air::saturation_vapor_pressure(t).unwrap();
        let es = air::mean_saturation_vapor_pressure(tmin, tmax).unwrap();
        case.check(&[("e_Tmax", e(tmax)), ("e_Tmin", e(tmin)), ("es", es), ("e_Tmean", e((tmin + tmax) / 2.0))]);
    }
    for case in cases("ex04") {
        assert_eq!(case.get("apsy"), Ventilation::Aspirated.coefficient());
        let pressure_kpa = air::atmospheric_pressure(case.get("z")).unwrap();
        let reading = Psychrometer { dry_c: case.get("Tdry"), wet_c: case.get("Twet"), pressure_kpa, ventilation: Ventilation::Aspirated };
        let ea = air::vapor_pressure_from_psychrometer(&reading).unwrap();
        case.check(&[("P", pressure_kpa), ("e_Twet", air::saturation_vapor_pressure(reading.wet_c).unwrap()), ("ea", ea)]);
    }
    for case in cases("ex05") {
        let day = HumidityRange {
            tmin_c: case.get("Tmin"),
            tmax_c: case.get("Tmax"),
            rh_min_pct: case.get("RHmin"),
            rh_max_pct: case.get("RHmax"),
        };
        let ea17 = air::vapor_pressure_from_rh_range(&day).unwrap();
        let ea19 = air::vapor_pressure_from_rh_mean(day.tmin_c, day.tmax_c, (day.rh_min_pct + day.rh_max_pct) / 2.0).unwrap();
        case.check(&[
            ("e_Tmin", air::saturation_vapor_pressure(day.tmin_c).unwrap()),
            ("e_Tmax", air::saturation_vapor_pressure(day.tmax_c).unwrap()),
            ("ea17", ea17),
            ("ea19", ea19),
            ("vpd", air::mean_saturation_vapor_pressure(day.tmin_c, day.tmax_c).unwrap() - ea17),
        ]);
    }
}

#[test]
fn examples_7_to_9_sun() {
    for case in cases("ex07") {
        let deg = case.get("sign") * (case.get("d") + case.get("m") / 60.0);
        case.check(&[("deg", deg), ("rad", deg.to_radians())]);
    }
    for case in cases("ex08") {
        let (lat, j) = (case.get("lat"), day_of_year(&case));
        let (phi, delta): (f64, f64) = (lat.to_radians(), sun::declination(j).unwrap());
        let ra = sun::extraterrestrial_radiation(lat, j).unwrap();
        case.check(&[
            ("J", j),
            ("dr", sun::inverse_distance(j).unwrap()),
            ("delta", delta),
            ("omega_s", sun::sunset_angle(lat, j).unwrap()),
            ("sinsin", phi.sin() * delta.sin()),
            ("coscos", phi.cos() * delta.cos()),
            ("Ra", ra),
            ("Ra_mm", et::evaporation_equivalent_mm(ra).unwrap()),
            ("N", sun::daylight_hours(lat, j).unwrap()),
        ]);
    }
}

#[test]
fn examples_10_to_15_radiation_and_wind() {
    for case in cases("ex10") {
        let (lat, j) = (case.get("lat"), day_of_year(&case));
        let n = case.get("n_month_h") / case.get("days");
        let (tmin, tmax, ea) = (case.get("Tmin"), case.get("Tmax"), case.get("ea"));
        let ra = sun::extraterrestrial_radiation(lat, j).unwrap();
        let rs = sun::solar_from_sunshine(n, lat, j).unwrap();
        let rso = sun::clear_sky_radiation_near_sea_level(ra).unwrap();
        let day = LongwaveDay { tmin_c: tmin, tmax_c: tmax, vapor_pressure_kpa: ea, solar_mj_m2: rs, clear_sky_mj_m2: rso };
        let (rnl, rns) = (sun::net_longwave_daily(&day).unwrap(), sun::net_shortwave(rs).unwrap());
        let mm = |mj| et::evaporation_equivalent_mm(mj).unwrap();
        case.check(&[
            ("J", j),
            ("Ra", ra),
            ("N", sun::daylight_hours(lat, j).unwrap()),
            ("n", n),
            ("Rs", rs),
            ("Rs_mm", mm(rs)),
            ("Rso", rso),
            ("sT4max", sun::black_body_radiation(tmax).unwrap()),
            ("sT4min", sun::black_body_radiation(tmin).unwrap()),
            ("f_hum", 0.34 - 0.14 * ea.sqrt()),
            ("Rs_Rso", rs / rso),
            ("f_cloud", 1.35 * rs / rso - 0.35),
            ("Rnl", rnl),
            ("Rnl_mm", mm(rnl)),
            ("Rns", rns),
            ("Rn", rns - rnl),
            ("Rn_mm", mm(rns - rnl)),
        ]);
    }
    for case in cases("ex14") {
        let z = case.get("z");
        case.check(&[("factor", air::wind_at_2m(1.0, z).unwrap()), ("u2", air::wind_at_2m(case.get("uz"), z).unwrap())]);
    }
    for case in cases("ex15") {
        let day = RangeDay {
            tmin_c: case.get("Tmin"),
            tmax_c: case.get("Tmax"),
            latitude_deg: case.get("lat"),
            elevation_m: 0.0,
            day_of_year: case.get("J"),
            k_rs: case.get("kRs"),
        };
        let rs = sun::solar_from_range(&day).unwrap();
        case.check(&[
            ("J", f64::from(dibble::Date::new(2026, 7, 15).unwrap().day_of_year())),
            ("Ra", sun::extraterrestrial_radiation(day.latitude_deg, day.day_of_year).unwrap()),
            ("Rs", rs),
            ("Rs_mm", et::evaporation_equivalent_mm(rs).unwrap()),
        ]);
    }
}

/// The sheet of Examples 17 and 18, from the finished input on.
fn daily_sheet(day: &DailyInput, g: f64) -> Vec<(&'static str, f64)> {
    let t = (day.tmin_c + day.tmax_c) / 2.0;
    let (delta, gamma) = (air::vapor_pressure_slope(t).unwrap(), air::psychrometric_constant(day.elevation_m).unwrap());
    let (u2, ea) = (day.wind_2m_m_s, day.vapor_pressure_kpa);
    let es = air::mean_saturation_vapor_pressure(day.tmin_c, day.tmax_c).unwrap();
    let ra = sun::extraterrestrial_radiation(day.latitude_deg, day.day_of_year).unwrap();
    let rso = sun::clear_sky_radiation(ra, day.elevation_m).unwrap();
    let rs = day.solar_mj_m2;
    let long = LongwaveDay { tmin_c: day.tmin_c, tmax_c: day.tmax_c, vapor_pressure_kpa: ea, solar_mj_m2: rs, clear_sky_mj_m2: rso };
    let (rnl, rns) = (sun::net_longwave_daily(&long).unwrap(), sun::net_shortwave(rs).unwrap());
    let rn = rns - rnl;
    let (st4max, st4min) = (sun::black_body_radiation(day.tmax_c).unwrap(), sun::black_body_radiation(day.tmin_c).unwrap());
    let below = delta + gamma * (1.0 + 0.34 * u2);
    let w900 = 900.0 / (t + 273.0) * u2;
    vec![
        ("u2", u2),
        ("ea", ea),
        ("J", day.day_of_year),
        ("Tmean", t),
        ("Delta", delta),
        ("P", air::atmospheric_pressure(day.elevation_m).unwrap()),
        ("gamma", gamma),
        ("one_034u2", 1.0 + 0.34 * u2),
        ("f_Delta", delta / below),
        ("f_gamma", gamma / below),
        ("w900", w900),
        ("e_Tmax", air::saturation_vapor_pressure(day.tmax_c).unwrap()),
        ("e_Tmin", air::saturation_vapor_pressure(day.tmin_c).unwrap()),
        ("es", es),
        ("vpd", es - ea),
        ("Ra", ra),
        ("N", sun::daylight_hours(day.latitude_deg, day.day_of_year).unwrap()),
        ("Rs", rs),
        ("Rso", rso),
        ("Rs_Rso", rs / rso),
        ("Rns", rns),
        ("sT4max", st4max),
        ("sT4min", st4min),
        ("sT4mean", (st4max + st4min) / 2.0),
        ("f_hum", 0.34 - 0.14 * ea.sqrt()),
        ("f_cloud", 1.35 * rs / rso - 0.35),
        ("Rnl", rnl),
        ("Rn", rn),
        ("G", g),
        ("Rn_G", rn - g),
        ("Rn_mm", 0.408 * (rn - g)),
        ("rad_term", 0.408 * (rn - g) * delta / below),
        ("aero_term", w900 * (es - ea) * gamma / below),
        ("ETo", et::reference_with_soil_heat(day, g).unwrap()),
    ]
}

#[test]
fn example_17_bangkok_in_april() {
    for case in cases("ex17") {
        let (lat, j, n) = (case.get("lat"), case.get("J"), case.get("n"));
        let day = DailyInput {
            tmin_c: case.get("Tmin"),
            tmax_c: case.get("Tmax"),
            vapor_pressure_kpa: case.get("ea"),
            wind_2m_m_s: case.get("u2"),
            solar_mj_m2: sun::solar_from_sunshine(n, lat, j).unwrap(),
            latitude_deg: lat,
            elevation_m: case.get("z"),
            day_of_year: j,
            surface: Surface::Short,
        };
        let g = sun::soil_heat_from_month_before(case.get("T_prev"), case.get("T_month")).unwrap();
        let mut sheet = daily_sheet(&day, g);
        sheet.push(("n_N", n / sun::daylight_hours(lat, j).unwrap()));
        case.check(&sheet);
    }
}

#[test]
fn example_18_brussels_on_6_july() {
    for case in cases("ex18") {
        let (lat, j, n) = (case.get("lat"), day_of_year(&case), case.get("n"));
        let uz = dibble::units::convert(case.get("wind_kmh"), "km/h", "m/s").unwrap();
        let air = HumidityRange {
            tmin_c: case.get("Tmin"),
            tmax_c: case.get("Tmax"),
            rh_min_pct: case.get("RHmin"),
            rh_max_pct: case.get("RHmax"),
        };
        let day = DailyInput {
            tmin_c: air.tmin_c,
            tmax_c: air.tmax_c,
            vapor_pressure_kpa: air::vapor_pressure_from_rh_range(&air).unwrap(),
            wind_2m_m_s: air::wind_at_2m(uz, case.get("z_wind")).unwrap(),
            solar_mj_m2: sun::solar_from_sunshine(n, lat, j).unwrap(),
            latitude_deg: lat,
            elevation_m: case.get("z"),
            day_of_year: j,
            surface: Surface::Short,
        };
        let mut sheet = daily_sheet(&day, 0.0);
        sheet.extend([("uz", uz), ("n_N", n / sun::daylight_hours(lat, j).unwrap())]);
        case.check(&sheet);
        assert_eq!(et::reference_daily(&day).unwrap(), et::reference_with_soil_heat(&day, 0.0).unwrap());
    }
}

#[test]
fn example_19_hourly_in_the_sahel() {
    for case in cases("ex19") {
        let (t, u2, rs, z) = (case.get("T"), case.get("u2"), case.get("Rs"), case.get("z"));
        let ea = air::vapor_pressure_from_rh(t, case.get("RH")).unwrap();
        let place = HourSun {
            latitude_deg: case.get("lat"),
            // The paper counts degrees west.
            longitude_deg: -case.get("Lm"),
            utc_offset_h: -case.get("Lz") / 15.0,
            day_of_year: case.get("J"),
            midpoint_h: case.get("t"),
            length_h: 1.0,
        };
        let hour = HourlyInput {
            t_c: t,
            vapor_pressure_kpa: ea,
            wind_2m_m_s: u2,
            solar_mj_m2: rs,
            latitude_deg: place.latitude_deg,
            longitude_deg: place.longitude_deg,
            utc_offset_h: place.utc_offset_h,
            elevation_m: z,
            day_of_year: place.day_of_year,
            midpoint_h: place.midpoint_h,
            night_ratio: case.inputs.get("f_night").map_or(0.8, |_| case.get("f_night")),
            form: HourlyForm::Fao56,
        };
        let (j, omega) = (place.day_of_year, sun::solar_time_angle(&place).unwrap());
        let ra = sun::extraterrestrial_radiation_hourly(&place).unwrap();
        let rso = sun::clear_sky_radiation(ra, z).unwrap();
        let ratio = if ra > 0.0 { rs / rso } else { hour.night_ratio };
        let rns = sun::net_shortwave(rs).unwrap();
        let rnl = sun::net_longwave_hourly(t, ea, ratio).unwrap();
        let g = sun::soil_heat_hourly(rns - rnl).unwrap();
        let (e0, delta, gamma) =
            (air::saturation_vapor_pressure(t).unwrap(), air::vapor_pressure_slope(t).unwrap(), air::psychrometric_constant(z).unwrap());
        let below = delta + gamma * (1.0 + 0.34 * u2);
        let b = 2.0 * std::f64::consts::PI * (j - 81.0) / 364.0;
        let f_hum = 0.34 - 0.14 * ea.sqrt();
        case.check(&[
            ("Delta", delta),
            ("gamma", gamma),
            ("e0", e0),
            ("ea", ea),
            ("vpd", e0 - ea),
            ("phi", place.latitude_deg.to_radians()),
            ("dr", sun::inverse_distance(j).unwrap()),
            ("delta", sun::declination(j).unwrap()),
            ("b", b),
            // Eq. 31 turned round: what the angle leaves for the seasonal correction.
            ("Sc", (omega * 12.0 / std::f64::consts::PI + 12.0 - place.midpoint_h) - 0.066_67 * (case.get("Lz") - case.get("Lm"))),
            ("omega", omega),
            ("omega1", omega - std::f64::consts::PI / 24.0),
            ("omega2", omega + std::f64::consts::PI / 24.0),
            ("Ra", ra),
            ("Rso", rso),
            ("Rns", rns),
            ("sT4", rnl / f_hum / (1.35 * ratio - 0.35)),
            ("f_hum", f_hum),
            ("Rs_Rso", ratio),
            ("f_cloud", 1.35 * ratio - 0.35),
            ("Rnl", rnl),
            ("Rn", rns - rnl),
            ("G", g),
            ("Rn_G", rns - rnl - g),
            ("Rn_mm", 0.408 * (rns - rnl - g)),
            ("rad_term", 0.408 * (rns - rnl - g) * delta / below),
            ("aero_term", gamma * 37.0 / (t + 273.0) * u2 * (e0 - ea) / below),
            ("ETo", et::reference_hourly(&hour).unwrap()),
        ]);
    }
}

#[test]
fn examples_27_to_30_coefficients_in_climate_and_time() {
    for case in cases("kc_clim") {
        let kc = crop::climate_adjusted(case.get("Kc_tab"), case.get("u2"), case.get("RHmin"), case.get("h")).unwrap();
        case.check(&[("Kc", kc)]);
    }
    for case in cases("kc_interp") {
        let elapsed = (case.get("i") - case.get("sumL")) / case.get("L");
        case.check(&[("Kc", crop::stage_interpolated(case.get("prev"), case.get("next"), elapsed).unwrap())]);
    }
}

#[test]
fn examples_32_to_34_dual_coefficient() {
    for case in cases("ex32") {
        let (kcb, h, fw) = (case.get("Kcb"), case.get("h"), case.get("fw"));
        let kc_max = crop::kc_max(kcb, case.get("u2"), case.get("RHmin"), h).unwrap();
        let fc = crop::canopy_cover_from_kcb(&CoverFromKcb { kcb, kc_min: 0.15, kc_max, height_m: h }).unwrap();
        let few = if case.inputs.contains_key("drip") {
            crop::exposed_wetted_fraction_under_drip(&DripCover { canopy_cover: fc, wetted: fw }).unwrap()
        } else {
            crop::exposed_wetted_fraction(fc, fw).unwrap()
        };
        let ke = crop::evaporation_coefficient(&EvaporationShare { reduction: 1.0, kcb, kc_max, exposed_wetted: few }).unwrap();
        case.check(&[("Kcmax", kc_max), ("fc", fc), ("few", few), ("few_Kcmax", few * kc_max), ("Ke", ke), ("Kc", kcb + ke)]);
    }
    for case in cases("eq73") {
        let tew = crop::total_evaporable_mm(case.get("theta_fc"), case.get("theta_wp"), case.get("Ze")).unwrap();
        case.check(&[("TEW", tew)]);
    }
}

#[test]
fn examples_36_and_44_water_held_and_stress() {
    for case in cases("ex36") {
        let taw = crop::total_available_mm(case.get("theta_fc"), case.get("theta_wp"), case.get("Zr")).unwrap();
        case.check(&[("TAW", taw), ("RAW", crop::readily_available_mm(taw, case.get("p")).unwrap())]);
    }
    for case in cases("ex44") {
        let ks = crop::stress_from_yield(case.get("Ya") / case.get("Ym"), case.get("Ky")).unwrap();
        case.check(&[("Ks", ks)]);
    }
}

#[test]
fn examples_40_to_43_sparse_stands() {
    for case in cases("ex40") {
        let (fc, dense) = (case.get("fc"), case.get("fc_dense"));
        let adjusted = |kc| {
            let here = crop::climate_adjusted(kc, case.get("u2"), case.get("RHmin"), case.get("h")).unwrap();
            (here, crop::adjusted_for_sparse_cover(here, fc, dense).unwrap())
        };
        let ((kc, kc_adj), (_, kcb_adj)) = (adjusted(case.get("Kc_tab")), adjusted(case.get("Kcb_tab")));
        case.check(&[("Acm", kc - kc_adj), ("Kc_adj", kc_adj), ("Kcb_adj", kcb_adj)]);
    }
    for case in cases("sparse") {
        let (lat, j, h, u2) = (case.get("lat"), case.get("J"), case.get("h"), case.get("u2"));
        let eta = crop::noon_sun_elevation(lat, j).unwrap();
        let kcb_full = crop::kcb_full(h, u2, case.get("RHmin")).unwrap();
        let round = case.inputs.get("shape").and_then(|s| s.as_str()) == Some("round");
        let (fc, f_eff) = if round {
            let fc = std::f64::consts::PI / 4.0 * case.get("diam") * case.get("diam") / case.get("area");
            (fc, crop::effective_cover_of_trees(fc, eta).unwrap())
        } else {
            (case.get("fc"), crop::effective_cover_of_rows(case.get("fc"), case.get("HWR"), eta).unwrap())
        };
        let density = crop::density_coefficient(&SparseCover { canopy_cover: fc, effective_cover: f_eff, height_m: h }).unwrap();
        let kcb_mid = crop::kcb_from_cover(kcb_full, 0.15, density).unwrap();
        let mut computed = vec![
            ("delta", sun::declination(j).unwrap()),
            ("sin_eta", eta.sin()),
            ("eta", eta),
            ("fc", fc),
            ("fceff", f_eff),
            ("Kcb_full", kcb_full),
            ("Kcb_mid", kcb_mid),
        ];
        if round {
            let fr = crop::stomatal_factor(case.get("T"), case.get("z"), u2, case.get("rl")).unwrap();
            computed.push(("Kcb_adj", fr * kcb_mid));
        }
        case.check(&computed);
    }
}

#[test]
fn examples_45_and_46_mulch_and_mixed_covers() {
    for case in cases("ex45") {
        // Kc less 15 %, Kcb less 10 %, as the example takes them.
        let under = |key, reduction| crop::kc_under_plastic(case.get(key), reduction).unwrap();
        case.check(&[
            ("Kc_mid", under("Kc_mid", 0.15)),
            ("Kc_end", under("Kc_end", 0.15)),
            ("Kcb_mid", under("Kcb_mid", 0.10)),
            ("Kcb_end", under("Kcb_end", 0.10)),
        ]);
    }
    for case in cases("ex46") {
        let tall = (case.get("f1"), case.get("h1"), case.get("K1"));
        let short = (case.get("f2"), case.get("h2"), case.get("K2"));
        case.check(&[("Kc", crop::two_cover_kc(tall, short).unwrap())]);
    }
}

#[test]
fn example_7_1_bare_soil_and_box_4() {
    for case in cases("ex7_1") {
        let mut soil =
            BareSoilWetting { interval_d: case.get("tw"), eto_mm: case.get("ETo"), wetting_mm: case.get("I"), texture: Texture::Coarse };
        // The printed 0.57, 0.63 and 3.2 leave an exponential out: by the formula 0.533, 0.605 and 3.03.
        let kc_ini = crop::kc_initial(&soil).unwrap();
        assert!((kc_ini - 0.6053).abs() < 5e-5, "{kc_ini}: {}, formula as printed in Eq. 7-3", case.place);
        soil.wetting_mm = 40.0;
        case.check(&[("Kc_fig30a", crop::kc_initial(&soil).unwrap())]);
    }
    for case in cases("box4") {
        case.check(&[("ra_u2", et::aerodynamic_resistance_s_m(case.get("h"), 1.0).unwrap())]);
    }
}
