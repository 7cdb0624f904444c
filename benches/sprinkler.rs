//! Depth at trees and on a raster from many sets.

#![allow(clippy::unwrap_used, missing_docs)]

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use dibble::geom::Xy;
use dibble::num::random::Stream;
use dibble::sprinkler::{Leg, Profile, Set, Sprinkler, SprinklerInput, apply};
use std::hint::black_box;

/// Sets on a square of 28 m and trees on rows of 1.8 m over as much ground.
fn farm(sets: usize, trees: usize) -> (Vec<Set>, Vec<Xy>) {
    let mut random = Stream::new(0, 0);
    let side = (sets as f64).sqrt() * 28.0;
    let sets = (0..sets).map(|_| Set::new([side * random.next_f64(), side * random.next_f64()], 60.0)).collect();
    let rows = (trees as f64).sqrt().ceil();
    let at = |i: usize| [side * (i as f64 / rows).fract(), side * (i as f64 / rows).floor() / rows];
    (sets, (0..trees).map(at).collect())
}

fn benches(c: &mut Criterion) {
    let leg = Leg::new(&[3.0, 9.0, 15.0, 21.0, 27.0, 33.0], &[9.0, 8.0, 8.5, 6.0, 2.0, 0.5], Some(35.0)).unwrap();
    let head = |profile| Sprinkler::new(SprinklerInput::new(300.0, 35.0, profile)).unwrap();
    let mut group = c.benchmark_group("apply");
    for (name, sets, points) in
        [("5,000 trees, 60 sets", 60, 5_000), ("1 ha raster at 0.5 m, 12 sets", 12, 40_000), ("1e6 trees, 60 sets", 60, 1_000_000)]
    {
        let (sets, points) = farm(sets, points);
        group.sample_size(if points.len() > 100_000 { 10 } else { 50 });
        group.throughput(Throughput::Elements((sets.len() * points.len()) as u64));
        for profile in [Profile::Cone, Profile::Ellipse, Profile::Measured(leg.clone())] {
            let head = head(profile);
            for threads in [Some(1), None] {
                let label = format!("{name}, {}, {}", head.profile(), if threads.is_some() { "one thread" } else { "all threads" });
                group.bench_function(label, |b| b.iter(|| apply(&head, black_box(&sets), black_box(&points), threads).unwrap()));
            }
        }
    }
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
