//! Survival counts: the interval against published values, how clumps widen it, gaps, orders and their worth.
#![allow(clippy::unwrap_used)] // helpers stand outside of the test functions

use dibble::num::random::Stream;
use dibble::record::{
    PLOT_RADIUS_M, Plot, ReplantInput, SurveyInput, WorthInput, fewest_plots, replant, replant_worth, runs, score_interval, stand_density,
    survival,
};
use proptest::prelude::*;

fn plots(counts: &[(u32, u32)]) -> Vec<Plot> {
    counts.iter().map(|&(living, planted)| Plot { planted, living, ..Plot::default() }).collect()
}

#[test]
fn score_intervals_are_the_published_ones() {
    // Newcombe (1998), Statistics in Medicine 17:857-872, Table I, method 3, from memory; four digits are printed
    for (living, planted, low, high) in
        [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]
    {
        let found = score_interval(living, planted, 0.95).unwrap();
        assert!(
            (found.0 - low).abs() <= 5e-5 && (found.1 - high).abs() <= 5e-5,
            "Newcombe (1998) Table I, from memory: {living}/{planted} {found:?}"
        );
    }
    // SciPy 1.17.1, binomtest(k, n).proportion_ci(0.95, method="wilson")
    for (living, planted, low, high) in
        [(29, 29, 0.883_030_201_500_259_2, 1.0), (941, 1024, 0.900_621_516_206_981_7, 0.934_137_572_986_050_4)]
    {
        let found = score_interval(living, planted, 0.95).unwrap();
        assert!((found.0 - low).abs() < 1e-10 && (found.1 - high).abs() < 1e-10, "SciPy 1.17.1: {living}/{planted} {found:?}");
    }
}

#[test]
fn scattered_deaths_leave_the_plain_interval_and_clumped_ones_widen_it() {
    // by hand: 4 plots of 50, 164 of 200 live, p = 0.82; deviations 7, 6, -21, 8: squares 49 + 36 + 441 + 64 = 590
    let survey = survival(&SurveyInput::new(plots(&[(48, 50), (47, 50), (20, 50), (49, 50)]), None)).unwrap();
    let clumping = survey.clumping.clone().unwrap();
    let chi_square = 590.0 / (50.0 * 0.82 * 0.18); // 79.9
    assert!((clumping.chi_square - chi_square).abs() < 1e-9 && clumping.degrees_of_freedom == 3);
    assert!((clumping.variance_ratio - chi_square / 3.0).abs() < 1e-9 && clumping.clumped && clumping.chance < 1e-15);
    let design_effect = 590.0 / 3.0 * 4.0 / (200.0 * 200.0) / (0.82 * 0.18 / 200.0);
    assert!((survey.design_effect.unwrap() - design_effect).abs() < 1e-9);
    let plain = score_interval(164, 200, 0.95).unwrap();
    assert!(survey.low < plain.0 - 0.05 && survey.high > plain.1 + 0.02, "{survey:?}");
    let scattered = survival(&SurveyInput::new(plots(&[(41, 50), (42, 50), (40, 50), (41, 50)]), None)).unwrap();
    assert!((scattered.low - plain.0).abs() < 1e-12 && (scattered.high - plain.1).abs() < 1e-12);
    assert!(!scattered.clumping.unwrap().clumped);
}

#[test]
fn variance_to_mean_of_equal_plots_is_the_chi_square_of_rare_deaths() {
    // for few deaths the binomial variance is nearly their mean: (n - 1) s2 / m
    let deaths = [0u32, 2, 0, 1, 5, 0, 1, 3];
    let survey = survival(&SurveyInput::new(plots(&deaths.map(|d| (10_000 - d, 10_000))), None)).unwrap();
    let mean = 12.0 / 8.0;
    let variance = deaths.iter().map(|&d| (f64::from(d) - mean).powi(2)).sum::<f64>() / 7.0;
    let clumping = survey.clumping.unwrap();
    assert!((clumping.variance_ratio / (variance / mean) - 1.0).abs() < 2e-4, "{clumping:?}");
}

#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    // seeded blocks: rows of 40 trees, each row with its own chance of survival; the interval is of the mean chance
    let mut held = [0u32; 2];
    const BLOCKS: u32 = 1000;
    for block in 0..BLOCKS {
        for (spread, held) in [0.0, 0.15].into_iter().zip(&mut held) {
            let mut dice = Stream::new(7, u64::from(block));
            let rows: Vec<(u32, u32)> = (0..20)
                .map(|_| {
                    let chance = 0.8 + spread * (2.0 * dice.next_f64() - 1.0);
                    ((0..40).filter(|_| dice.next_f64() < chance).count() as u32, 40)
                })
                .collect();
            let survey = survival(&SurveyInput::new(plots(&rows), None)).unwrap();
            *held += u32::from(survey.low <= 0.8 && 0.8 <= survey.high);
        }
    }
    // 95 % of 1000, give or take three standard errors of 0.7 %; few rows and a design effect of at least 1 move it a little
    assert!((925..=985).contains(&held[0]) && (915..=970).contains(&held[1]), "{held:?}");
}

#[test]
fn a_count_of_every_tree_leaves_no_doubt_and_half_a_block_half_the_variance() {
    let rows = plots(&[(90, 100), (88, 100), (91, 100)]);
    let all = survival(&SurveyInput::new(rows.clone(), Some(300))).unwrap();
    assert_eq!((all.low, all.high), (all.rate, all.rate));
    let width = |of| survival(&SurveyInput::new(rows.clone(), of)).map(|s| s.high - s.low).unwrap();
    assert!((width(Some(600)) / width(None) - 0.5f64.sqrt()).abs() < 0.01, "{} {}", width(Some(600)), width(None));
}

#[test]
fn rows_walked_tree_by_tree_give_gaps_and_runs() {
    // Wald and Wolfowitz by hand: 14 living, 6 missing, 6 runs; mean 9.4, variance 168 (168 - 20) / (400 x 19) = 3.27
    let row = runs("xxxx..xxxxx...xxxxx.").unwrap();
    let variance: f64 = 168.0 * 148.0 / (400.0 * 19.0);
    let z = (6.5 - 9.4) / variance.sqrt();
    let expected = dibble::num::normal::share_below(z);
    assert!((row.chance.unwrap() - expected).abs() < 1e-12);
    let clumped = runs("xxxxxxxxxxxxxxxxxxxx..........xxxxxxxxxx").unwrap();
    assert!(clumped.chance.unwrap() < 1e-6 && clumped.gaps == [10] && clumped.gap_starts == [21]);
    assert_eq!(runs("xxx xxx").unwrap().chance, None);
    let survey =
        survival(&SurveyInput::new(vec![Plot::walked("1", "xx.x..xx").unwrap(), Plot::walked("2", "1101").unwrap()], None)).unwrap();
    assert_eq!((survey.living, survey.planted, survey.longest_gap, survey.rows.len()), (8, 12, 2, 2));
}

#[test]
fn plots_of_a_hundredth_of_an_acre_give_trees_per_acre() {
    let acre = 0.404_685_642_24;
    let (per_ha, low, high) = stand_density(&[10, 14, 12, 11, 13], PLOT_RADIUS_M, 0.95).unwrap();
    // by hand: mean 12, s2 = 2.5, t(4) = 2.776: half width 2.776 x sqrt(2.5 / 5) = 1.963 trees a plot; 11.8 ft is 0.4 % over 1/100 acre
    let plots_per_acre = 43_560.0 / (std::f64::consts::PI * 11.8 * 11.8);
    assert!((per_ha * acre - 12.0 * plots_per_acre).abs() < 1e-6 && (plots_per_acre - 100.0).abs() < 0.5);
    assert!(((high - low) / 2.0 * acre - 1.963 * plots_per_acre).abs() < 0.1);
    assert_eq!(
        [0.5, 4.9, 5.0, 6.0, 7.2, 10.0, 10.1, 15.0, 16.0].map(|a| fewest_plots(a * 4_046.856_422_4).unwrap()),
        [5, 5, 5, 6, 8, 10, 11, 11, 12]
    );
}

#[test]
fn an_order_is_whole_bundles_and_no_bundle_too_many() {
    let survey = survival(&SurveyInput::new(plots(&[(80, 100)]), None)).unwrap();
    let order = |loss, spares, bundle| replant(&survey, &ReplantInput { of_trees: 1000, loss, spares, bundle }).unwrap().order;
    // 200 missing: exactly 8 bundles of 25; a tenth lost: 222.2; with 5 % spares 233.3
    assert_eq!((order(0.0, 0.0, 25), order(0.1, 0.0, 25), order(0.1, 0.05, 1), order(0.0, 0.0, 1000)), (200, 225, 234, 1000));
    let none = survival(&SurveyInput::new(plots(&[(100, 100)]), None)).unwrap();
    let order = replant(&none, &ReplantInput { of_trees: 1000, loss: 0.1, spares: 0.1, bundle: 25 }).unwrap();
    assert_eq!((order.order, order.bundles), (0, 0));
}

#[test]
fn a_replant_pays_until_it_would_not_be_sold_in_time() {
    let given = WorthInput { age_years: 3.0, sale_years: 8.0, cleared_years: 11.0, price: 40.0, cost: 2.5, survival: 0.8, interest: 0.06 };
    assert!(replant_worth(&given).unwrap().pays);
    let late = replant_worth(&WorthInput { age_years: 3.5, ..given }).unwrap();
    assert!(!late.pays && !late.in_time && late.net > 0.0);
    let dear = replant_worth(&WorthInput { cost: 30.0, ..given }).unwrap();
    assert!(!dear.pays && dear.until_age_years.is_none() && dear.break_even_survival.unwrap() > 1.0);
    assert_eq!(replant_worth(&WorthInput { price: 0.0, ..given }).unwrap().break_even_survival, None);
    assert_eq!(
        replant_worth(&WorthInput { cleared_years: 7.0, ..given }).unwrap_err().to_string(),
        "the ground is cleared after 7 years, and a tree is sold after 8. Give the year in which the last trees of the block are sold."
    );
}

#[test]
fn bad_counts_are_refused_with_their_place() {
    let refuse = |plots: Vec<Plot>, of_trees| survival(&SurveyInput::new(plots, of_trees)).unwrap_err().to_string();
    assert_eq!(refuse(vec![], None), "plots is missing. Count at least one row or plot.");
    assert_eq!(
        refuse(vec![Plot { place: "row 3".into(), planted: 10, living: 11, row: None }, Plot::default()], None),
        "2 problems:\n  - plot \"row 3\": 11 trees live of 10 planted. Correct one of the two counts; a plot has at least one tree.\n  - plot 2: 0 trees live of 0 planted. Correct one of the two counts; a plot has at least one tree."
    );
    assert_eq!(
        refuse(plots(&[(8, 10)]), Some(9)),
        "10 trees were counted in a block of 9. Correct the block's trees, or count no tree twice."
    );
    assert_eq!(
        runs("xx?x").unwrap_err().to_string(),
        "cannot read row \"xx?x\": \"?\" is no mark of a tree. Write one mark for each tree: x living, . missing."
    );
    assert_eq!(runs("  ").unwrap_err().to_string(), "row is missing. Write one mark for each tree: x living, . missing.");
    assert_eq!(
        score_interval(5, 10, 1.0).unwrap_err().to_string(),
        "level is 1: level of an interval must be from 0.5 to 0.999. Give a share, 0.95 for 95 %."
    );
    assert_eq!(
        stand_density(&[12], PLOT_RADIUS_M, 0.95).unwrap_err().to_string(),
        "counts of at least two plots is missing. One plot tells nothing about how plots differ."
    );
    let survey = survival(&SurveyInput::new(plots(&[(8, 10)]), None)).unwrap();
    assert_eq!(
        replant(&survey, &ReplantInput { of_trees: 100, loss: 0.95, spares: 0.0, bundle: 25 }).unwrap_err().to_string(),
        "loss is 0.95: share of replants that die must be from 0 to 0.9. Give a fraction, 0.10 for 10 %."
    );
}

proptest! {
    #[test]
    fn the_interval_holds_the_rate_and_narrows_with_more_trees(living in 0u32..500, dead in 0u32..500, level in 0.5..0.99f64) {
        prop_assume!(living + dead > 0);
        let planted = living + dead;
        let rate = f64::from(living) / f64::from(planted);
        let (low, high) = score_interval(living, planted, level).unwrap();
        prop_assert!(0.0 <= low && low <= rate && rate <= high && high <= 1.0);
        let (more_low, more_high) = score_interval(10 * living, 10 * planted, level).unwrap();
        prop_assert!(more_high - more_low < high - low);
        // what lives and what is dead are the same question
        let (dead_low, dead_high) = score_interval(dead, planted, level).unwrap();
        prop_assert!((dead_low - (1.0 - high)).abs() < 1e-12 && (dead_high - (1.0 - low)).abs() < 1e-12);
    }

    #[test]
    fn gaps_and_living_trees_make_the_row(row in "[x.]{1,80}") {
        let found = runs(&row).unwrap();
        let missing = row.matches('.').count() as u32;
        prop_assert_eq!(found.gaps.iter().sum::<u32>(), missing);
        for (gap, start) in found.gaps.iter().zip(&found.gap_starts) {
            let from = *start as usize - 1;
            prop_assert_eq!(&row[from..from + *gap as usize], ".".repeat(*gap as usize));
        }
    }
}
