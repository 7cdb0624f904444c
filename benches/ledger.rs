//! The daily ledger: 2,000 columns through 365 days on one thread, in both forms, by what is recorded.

#![allow(clippy::unwrap_used, missing_docs)]

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use dibble::Date;
use dibble::control::Control;
use dibble::num::dispatch::scalar_only;
use dibble::num::random::Stream;
use dibble::soil::{Profile, Soil, TextureClass};
use dibble::stand::{CropDays, CropSeries};
use dibble::water::{Column, Form, Record, Refill, RunOptions, Series, Watering, run};
use dibble::weather::{Daily, DayColumns, Gaps, Reference, Site, Weather};
use std::hint::black_box;

const COLUMNS: usize = 2000;
const DAYS: usize = 365;
const PRINTED: Form = Form::Printed { drain_first: false };

/// Made-up columns within reason: weather, cover and soil of each of `kinds`, dealt out to the columns.
struct Farm {
    weather: Vec<Daily>,
    crop: Vec<CropDays>,
    soil: Vec<Profile>,
}

impl Farm {
    fn new(kinds: usize) -> Self {
        let (mut weather, mut crop, mut soil) = (Vec::new(), Vec::new(), Vec::new());
        for kind in 0..kinds {
            let mut random = Stream::new(0, kind as u64);
            weather.push(daily(&mut random));
            crop.push(cover(&mut random));
            let class = TextureClass::ALL[random.below(TextureClass::ALL.len() as u64) as usize];
            soil.push(Profile::uniform(Soil::from_texture(class, 1.0 + 3.0 * random.next_f64()).unwrap()));
        }
        Self { weather, crop, soil }
    }

    /// Every third column waters itself; the others get a depth of their own each tenth day.
    fn columns(&self) -> Vec<Column<'_>> {
        let column = |i: usize| {
            let kind = i * self.weather.len() / COLUMNS;
            let mut column = Column::new(format!("{i}"), &self.weather[kind], &self.crop[kind], &self.soil[kind]);
            column.start = 0.5 + 0.5 * (i as f64 / COLUMNS as f64);
            column.curve_number = i.is_multiple_of(2).then_some(75.0);
            if i.is_multiple_of(3) {
                column.refill = Some(Refill::default());
            } else {
                let depth_mm = 5.0 + 0.005 * i as f64;
                let day = |d: usize| Watering { date: self.weather[kind].date(d), depth_mm, rate_mm_h: None };
                column.waterings = (i % 10..DAYS).step_by(10).map(day).collect();
            }
            column
        };
        (0..COLUMNS).map(column).collect()
    }
}

fn daily(random: &mut Stream) -> Daily {
    let first: Date = "2026-01-01".parse().unwrap();
    let columns = DayColumns {
        dates: (0..DAYS).map(|i| first + i as i32).collect(),
        tmin_c: vec![10.0; DAYS],
        tmax_c: vec![22.0; DAYS],
        rain_mm: (0..DAYS).map(|_| if random.next_f64() < 0.3 { 20.0 * random.next_f64() } else { 0.0 }).collect(),
        eto_mm: (0..DAYS).map(|_| 1.0 + 5.0 * random.next_f64()).collect(),
        ..DayColumns::default()
    };
    let gaps = Gaps { reference: Reference::Given, ..Gaps::default() };
    Weather::from_columns(columns).unwrap().complete(&Site::new(45.0, 200.0).unwrap(), &gaps).unwrap()
}

fn cover(random: &mut Stream) -> CropDays {
    let (root, growth, kcb) = (0.15 + 0.2 * random.next_f64(), 0.1 * random.next_f64(), 0.3 + 0.6 * random.next_f64());
    let over_year = |f: &dyn Fn(f64) -> f64| (0..DAYS).map(|i| f(i as f64 / DAYS as f64)).collect::<Vec<_>>();
    CropDays::new(CropSeries {
        kcb: over_year(&|t| kcb * (0.5 + 2.0 * t * (1.0 - t))),
        kc_max: over_year(&|_| 1.2),
        exposed: over_year(&|t| 0.7 - 0.3 * t),
        evaporation_factor: over_year(&|_| 0.8),
        root_depth_m: over_year(&|t| root + growth * t),
        p: over_year(&|_| 0.5),
    })
    .unwrap()
}

fn benches(c: &mut Criterion) {
    let chosen = || Record::Chosen(vec![Series::Depletion, Series::Stress, Series::Irrigation]);
    for (sharing, kinds) in [("20 blocks", 20), ("own series", COLUMNS)] {
        let farm = Farm::new(kinds);
        let columns = farm.columns();
        let mut group = c.benchmark_group(format!("ledger, {sharing}"));
        group.sample_size(20);
        group.throughput(Throughput::Elements((COLUMNS * DAYS) as u64));
        for form in [PRINTED, Form::Layered] {
            for (name, record) in [("totals", Record::Totals), ("3 series", chosen()), ("all series", Record::All)] {
                let options = RunOptions { form, record, n_threads: Some(1) };
                group.bench_function(format!("{}, {name}", form.name()), |b| {
                    b.iter(|| run(black_box(&columns), &options, &Control::new()).unwrap());
                });
            }
            let options = RunOptions { form, record: Record::Totals, n_threads: Some(1) };
            group.bench_function(format!("{}, totals, baseline instructions", form.name()), |b| {
                let _guard = scalar_only();
                b.iter(|| run(black_box(&columns), &options, &Control::new()).unwrap());
            });
        }
        group.finish();
    }
}

criterion_group!(all, benches);
criterion_main!(all);
