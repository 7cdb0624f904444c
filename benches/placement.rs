//! Positions and minutes for rectangular fields of several sizes.

#![allow(clippy::unwrap_used, missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use dibble::control::Control;
use dibble::geom::Polygon;
use dibble::placement::{Field, PlaceRequest, Positions, place};
use dibble::sprinkler::{Profile, Sprinkler, SprinklerInput};
use std::hint::black_box;

fn request(width: f64, trees: usize, positions: usize, work: u64) -> PlaceRequest {
    let height = 0.7 * width;
    let outline = Polygon::new(&[[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]]).unwrap();
    let spread = |n: usize| {
        let step = (width * height / n as f64).sqrt();
        let (nx, ny) = ((width / step) as usize, (height / step) as usize);
        (0..nx * ny).map(|k| [((k % nx) as f64 + 0.5) * step, ((k / nx) as f64 + 0.5) * step]).collect::<Vec<_>>()
    };
    let gun = Sprinkler::new(SprinklerInput { spray_loss: 0.05, ..SprinklerInput::new(300.0, 34.0, Profile::Cone) }).unwrap();
    PlaceRequest {
        positions: Positions::Given(spread(positions)),
        work,
        ..PlaceRequest::new(Field::new(outline), gun, spread(trees), 15.0)
    }
}

fn benches(c: &mut Criterion) {
    let mut group = c.benchmark_group("place");
    group.sample_size(10);
    for (width, trees, positions) in [(90.0, 300, 60), (140.0, 1000, 150), (190.0, 2000, 300)] {
        for work in [0, 200, 1500] {
            let request = request(width, trees, positions, work);
            let label = format!("{trees} trees, {positions} positions, work {work}");
            group.bench_function(label, |b| b.iter(|| place(black_box(&request), &Control::new()).unwrap()));
        }
    }
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
