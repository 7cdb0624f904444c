//! One formula, one result: the scalar call, a column, any order, chunk, thread count and vector width give the same bits.

#![allow(clippy::unwrap_used)]

use dibble::et::kernel::{Column, DailyColumns, reference_daily, reference_daily_or_nan};
use dibble::et::{self, DailyInput, Surface};
use dibble::{bounds, num::dispatch::scalar_only, num::random::Stream};
use proptest::prelude::*;

fn surface() -> impl Strategy<Value = Surface> {
    prop_oneof![Just(Surface::Short), Just(Surface::Tall)]
}

prop_compose! {
    /// Any day that the bounds permit, anywhere, polar day and night among them.
    fn any_day()(
        t1 in bounds::T_C.range(), t2 in bounds::T_C.range(), vapor_pressure_kpa in bounds::VAPOR_PRESSURE_KPA.range(),
        wind_2m_m_s in bounds::WIND_M_S.range(), solar_mj_m2 in bounds::SOLAR_MJ_M2.range(), latitude_deg in bounds::LATITUDE_DEG.range(),
        elevation_m in bounds::ELEVATION_M.range(), day in 1..=366u32, surface in surface(),
    ) -> DailyInput {
        DailyInput {
            tmin_c: t1.min(t2), tmax_c: t1.max(t2), vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m,
            day_of_year: f64::from(day), surface,
        }
    }
}

#[derive(Default)]
struct Table([Vec<f64>; 8]);

impl Table {
    fn new(days: &[DailyInput]) -> Self {
        let mut table = Self::default();
        for d in days {
            let row =
                [d.tmin_c, d.tmax_c, d.vapor_pressure_kpa, d.wind_2m_m_s, d.solar_mj_m2, d.latitude_deg, d.elevation_m, d.day_of_year];
            table.0.iter_mut().zip(row).for_each(|(column, value)| column.push(value));
        }
        table
    }

    fn columns(&self, surface: Surface) -> DailyColumns<'_> {
        let [tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year] =
            self.0.each_ref().map(|column| Column::Each(column));
        DailyColumns { tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year, surface }
    }

    fn run(&self, surface: Surface, n_threads: Option<usize>) -> Vec<u64> {
        let mut out = vec![0.0; self.0[0].len()];
        reference_daily(&self.columns(surface), &mut out, n_threads).unwrap();
        out.iter().map(|x| x.to_bits()).collect()
    }
}

/// Sites of a hundred days each, with site and day terms to share.
fn many_days(rows: usize) -> Vec<DailyInput> {
    (0..rows)
        .map(|row| {
            let (mut site, mut random) = (Stream::new(1, row as u64 / 100), Stream::new(2, row as u64));
            let tmin_c = -30.0 + 50.0 * random.next_f64();
            DailyInput {
                tmin_c,
                tmax_c: tmin_c + 20.0 * random.next_f64(),
                vapor_pressure_kpa: 2.0 * random.next_f64(),
                wind_2m_m_s: 8.0 * random.next_f64(),
                solar_mj_m2: 30.0 * random.next_f64(),
                latitude_deg: -90.0 + 180.0 * site.next_f64(),
                elevation_m: 2000.0 * site.next_f64(),
                day_of_year: (row * 3 % 366 + 1) as f64,
                surface: Surface::Short,
            }
        })
        .collect()
}

#[test]
fn threads_chunks_and_vector_width_change_no_bit() {
    // More than two chunks and a ragged end.
    let days = many_days(40_003);
    let table = Table::new(&days);
    let one = table.run(Surface::Short, Some(1));
    for n_threads in [None, Some(2), Some(3)] {
        assert!(table.run(Surface::Short, n_threads) == one, "{n_threads:?} threads");
    }
    {
        let _guard = scalar_only();
        assert!(table.run(Surface::Short, Some(1)) == one, "baseline instructions");
    }
    for (row, day) in days.iter().enumerate().step_by(997) {
        assert_eq!(et::reference_daily(day).unwrap().to_bits(), one[row], "row {row}");
    }
    let backwards: Vec<DailyInput> = days.iter().rev().copied().collect();
    let mut turned = Table::new(&backwards).run(Surface::Short, Some(2));
    turned.reverse();
    assert!(turned == one, "order of rows");
}

#[test]
fn one_value_for_all_is_the_same_as_a_full_column() {
    let days: Vec<DailyInput> = many_days(300).into_iter().map(|d| DailyInput { latitude_deg: 45.0, elevation_m: 300.0, ..d }).collect();
    let table = Table::new(&days);
    let mut out = vec![0.0; days.len()];
    let shared = DailyColumns { latitude_deg: 45.0.into(), elevation_m: 300.0.into(), ..table.columns(Surface::Tall) };
    reference_daily(&shared, &mut out, Some(1)).unwrap();
    assert_eq!(out.iter().map(|x| x.to_bits()).collect::<Vec<_>>(), table.run(Surface::Tall, Some(1)));
}

#[test]
fn faults_are_named_with_their_row_or_become_nan() {
    let mut table = Table::new(&many_days(200));
    table.0[3][150] = -4.0;
    table.0[3][170] = f64::INFINITY;
    table.0[0][7] = f64::NAN;
    let mut out = vec![0.0; 200];
    let error = reference_daily(&table.columns(Surface::Short), &mut out, Some(1)).unwrap_err();
    assert_eq!(
        error.to_string(),
        "wind_2m_m_s[150] is -4 m/s: wind speed must be from 0 to 60 m/s. Give meters per second; 1 mph is 0.447 m/s. (1 more value is out of range)"
    );
    assert!(reference_daily_or_nan(&table.columns(Surface::Short), &mut out, Some(1)).unwrap());
    let missing: Vec<usize> = out.iter().enumerate().filter(|(_, x)| x.is_nan()).map(|(i, _)| i).collect();
    assert_eq!(missing, [7, 150, 170]);
}

#[test]
fn a_missing_value_in_any_column_gives_nan_at_its_row_alone() {
    for column in 0..8 {
        let mut table = Table::new(&many_days(100));
        table.0[column][42] = f64::NAN;
        let mut out = vec![0.0; 100];
        assert!(!reference_daily_or_nan(&table.columns(Surface::Short), &mut out, Some(1)).unwrap(), "missing is no fault");
        assert!(out.iter().enumerate().all(|(row, x)| x.is_nan() == (row == 42)), "column {column}");
    }
}

#[test]
fn crossed_temperatures_and_unequal_columns_are_refused() {
    let mut table = Table::new(&many_days(100));
    (table.0[0][3], table.0[1][3]) = (20.0, 10.0);
    let mut out = vec![0.0; 100];
    assert_eq!(
        reference_daily(&table.columns(Surface::Short), &mut out, Some(1)).unwrap_err().to_string(),
        "tmin_c[3] is 20 deg C and tmax_c[3] is 10 deg C: the lowest is above the highest. Check whether the two were exchanged."
    );
    assert_eq!(
        reference_daily(&table.columns(Surface::Short), &mut out[..99], Some(1)).unwrap_err().to_string(),
        "tmin_c has 100 rows and the result has 99. Give all columns and the result the same length."
    );
    let none = Table::default();
    assert!(reference_daily(&none.columns(Surface::Short), &mut [], Some(1)).is_ok());
    for latitude in [95.0, f64::NAN] {
        let shared = DailyColumns { latitude_deg: latitude.into(), ..none.columns(Surface::Short) };
        assert!(reference_daily_or_nan(&shared, &mut [], Some(1)).unwrap_err().is_out_of_range());
    }
}

#[test]
fn an_uncommon_day_of_the_year_is_computed_too() {
    let day = DailyInput { day_of_year: 180.5, ..many_days(1)[0] };
    assert_eq!(Table::new(&[day]).run(Surface::Short, Some(1)), [et::reference_daily(&day).unwrap().to_bits()]);
}

proptest! {
    #[test]
    fn any_day_anywhere_is_finite_and_the_column_agrees(days in prop::collection::vec(any_day(), 1..150)) {
        let surface = days[0].surface;
        let bits = Table::new(&days).run(surface, Some(1));
        for (day, bits) in days.iter().zip(bits) {
            let scalar = et::reference_daily(&DailyInput { surface, ..*day }).unwrap();
            prop_assert!(scalar.is_finite(), "{scalar} for {day:?}");
            prop_assert_eq!(scalar.to_bits(), bits, "{:?}", day);
        }
    }

    #[test]
    fn drier_air_never_uses_less(day in any_day(), damper in 0.0..1.0f64) {
        // At this cloudiness Eq. 39 vanishes; else damper air would also keep warmth in.
        let ra = dibble::sun::extraterrestrial_radiation(day.latitude_deg, day.day_of_year).unwrap();
        let solar_mj_m2 = 0.35 / 1.35 * dibble::sun::clear_sky_radiation(ra, day.elevation_m).unwrap();
        prop_assume!(ra > 0.0);
        let dry = DailyInput { solar_mj_m2, ..day };
        let damp = DailyInput { vapor_pressure_kpa: day.vapor_pressure_kpa + damper * (8.0 - day.vapor_pressure_kpa), ..dry };
        prop_assert!(et::reference_daily(&dry).unwrap() >= et::reference_daily(&damp).unwrap() - 1e-9);
    }

    #[test]
    fn wind_leads_to_the_drying_power_of_the_air(day in any_day(), share in 0.0..1.0f64) {
        // In a gale Eq. 6 tends to Cn / (T + 273) (es - ea) / Cd, from above or below.
        let (cn, cd) = if day.surface == Surface::Short { (900.0, 0.34) } else { (1600.0, 0.38) };
        let e_s = dibble::air::mean_saturation_vapor_pressure(day.tmin_c, day.tmax_c).unwrap();
        let limit = cn / ((day.tmin_c + day.tmax_c) / 2.0 + 273.0) * (e_s - day.vapor_pressure_kpa) / cd;
        let away = |wind_2m_m_s| (et::reference_daily(&DailyInput { wind_2m_m_s, ..day }).unwrap() - limit).abs();
        prop_assert!(away(day.wind_2m_m_s) <= away(share * day.wind_2m_m_s) + 1e-9);
    }

    #[test]
    fn more_sun_never_uses_less(day in any_day(), more in 0.0..7.0f64) {
        // Above any clear sky, where the cloud factor of Eq. 39 stays at 1.
        let bright = DailyInput { solar_mj_m2: 43.0, ..day };
        let brighter = DailyInput { solar_mj_m2: 43.0 + more, ..day };
        prop_assert!(et::reference_daily(&brighter).unwrap() >= et::reference_daily(&bright).unwrap());
    }

    #[test]
    fn temperature_alone_gives_a_finite_use(t1 in bounds::T_C.range(), t2 in bounds::T_C.range(), latitude in bounds::LATITUDE_DEG.range(), day in 1..=366u32) {
        let et = et::reference_from_temperature(t1.min(t2), t1.max(t2), latitude, f64::from(day)).unwrap();
        prop_assert!(et.is_finite() && et >= 0.0);
    }
}
