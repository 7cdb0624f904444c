//! The cheapest mix: the linear program alone, the whole answer with prices and ties, and whole bags.

#![allow(clippy::unwrap_used, missing_docs)]

use criterion::{Criterion, criterion_group, criterion_main};
use dibble::control::Control;
use dibble::fertility::{Bags, BlendRequest, Guarantee, Need, Product, blend};
use dibble::solve::{Program, Relation};
use std::hint::black_box;

/// Ten trade materials under invented prices, four needs with limits: the size of a usual shed.
fn request() -> BlendRequest {
    let priced = [
        ("urea", 0.66),
        ("ammonium sulfate", 0.55),
        ("ammonium nitrate", 0.81),
        ("MAP", 0.92),
        ("DAP", 0.88),
        ("TSP", 0.85),
        ("potassium chloride", 0.62),
        ("potassium sulfate", 1.21),
        ("langbeinite", 0.95),
        ("magnesium sulfate", 0.90),
    ];
    let product = |(name, price): (&str, f64)| Product { price_per_kg: Some(price), bag_kg: Some(22.68), ..Product::find(name).unwrap() };
    let needs = [(Guarantee::N, 60.0), (Guarantee::P2o5, 40.0), (Guarantee::K2o, 50.0), (Guarantee::S, 15.0), (Guarantee::Mg, 8.0)];
    let needs = needs.map(|(nutrient, kg)| Need::between(nutrient, kg, 1.3 * kg));
    BlendRequest::new(needs.to_vec(), priced.map(product).to_vec())
}

fn program(request: &BlendRequest) -> Program {
    let mut program = Program::new();
    for p in &request.products {
        program.column(p.name.clone(), p.price().unwrap(), 0.0, f64::INFINITY).unwrap();
    }
    for need in &request.needs {
        let terms: Vec<(usize, f64)> = request.products.iter().map(|p| p.content_pct(need.nutrient) / 100.0).enumerate().collect();
        program.row("least", &terms, Relation::AtLeast, need.at_least_kg).unwrap();
        program.row("most", &terms, Relation::AtMost, need.at_most_kg.unwrap()).unwrap();
    }
    program
}

fn benches(c: &mut Criterion) {
    let request = request();
    let control = Control::new();
    let program = program(&request);
    c.bench_function("linear program, 10 products, 5 needs", |b| {
        b.iter(|| black_box(&program).solve(&control).unwrap());
    });
    c.bench_function("blend by weight with prices", |b| b.iter(|| blend(black_box(&request), &control).unwrap()));
    let bags = BlendRequest { bags: Bags::Whole, ..request };
    c.bench_function("blend in whole bags", |b| b.iter(|| blend(black_box(&bags), &control).unwrap()));
}

criterion_group!(group, benches);
criterion_main!(group);
