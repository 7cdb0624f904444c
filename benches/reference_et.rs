//! Daily reference evapotranspiration: one day, and a million site-days on one thread and on all.

#![allow(clippy::unwrap_used, missing_docs)]

use criterion::{BatchSize, Criterion, Throughput, criterion_group, criterion_main};
use dibble::et::kernel::{Column, DailyColumns, reference_daily};
use dibble::et::{DailyInput, Surface};
use dibble::num::dispatch::scalar_only;
use dibble::num::random::Stream;
use std::hint::black_box;

const SITES: usize = 2740;
const DAYS: usize = 365;

/// Made-up weather within reason; site by site, day by day.
struct Weather {
    columns: [Vec<f64>; 8],
}

impl Weather {
    fn new() -> Self {
        let mut columns: [Vec<f64>; 8] = std::array::from_fn(|_| Vec::with_capacity(SITES * DAYS));
        for site in 0..SITES {
            let mut random = Stream::new(0, site as u64);
            let (latitude, elevation) = (30.0 + 20.0 * random.next_f64(), 600.0 * random.next_f64());
            for day in 1..=DAYS {
                let tmin = 5.0 + 10.0 * random.next_f64();
                let row = [
                    tmin,
                    tmin + 12.0 * random.next_f64(),
                    0.6 + 0.3 * random.next_f64(),
                    5.0 * random.next_f64(),
                    5.0 + 20.0 * random.next_f64(),
                    latitude,
                    elevation,
                    day as f64,
                ];
                columns.iter_mut().zip(row).for_each(|(column, value)| column.push(value));
            }
        }
        Self { columns }
    }

    fn columns(&self) -> DailyColumns<'_> {
        let [tmin_c, tmax_c, vapor_pressure_kpa, wind_2m_m_s, solar_mj_m2, latitude_deg, elevation_m, day_of_year] =
            self.columns.each_ref().map(|column| Column::Each(column));
        DailyColumns {
            tmin_c,
            tmax_c,
            vapor_pressure_kpa,
            wind_2m_m_s,
            solar_mj_m2,
            latitude_deg,
            elevation_m,
            day_of_year,
            surface: Surface::Short,
        }
    }
}

fn benches(c: &mut Criterion) {
    let weather = Weather::new();
    let mut out = vec![0.0; SITES * DAYS];
    let mut group = c.benchmark_group("reference_daily");
    group.sample_size(20);
    group.throughput(Throughput::Elements(out.len() as u64));
    group.bench_function("1e6 site-days, one thread", |b| {
        b.iter(|| reference_daily(black_box(&weather.columns()), &mut out, Some(1)).unwrap())
    });
    group.bench_function("1e6 site-days, all threads", |b| {
        b.iter(|| reference_daily(black_box(&weather.columns()), &mut out, None).unwrap())
    });
    group.bench_function("1e6 site-days, one thread, baseline instructions", |b| {
        let _guard = scalar_only();
        b.iter(|| reference_daily(black_box(&weather.columns()), &mut out, Some(1)).unwrap());
    });
    group.finish();
    let day = DailyInput {
        tmin_c: 12.3,
        tmax_c: 21.5,
        vapor_pressure_kpa: 1.409,
        wind_2m_m_s: 2.078,
        solar_mj_m2: 22.07,
        latitude_deg: 50.8,
        elevation_m: 100.0,
        day_of_year: 187.0,
        surface: Surface::Short,
    };
    c.bench_function("one day", |b| {
        b.iter_batched(|| day, |day| dibble::et::reference_daily(black_box(&day)).unwrap(), BatchSize::SmallInput)
    });
}

criterion_group!(all, benches);
criterion_main!(all);
