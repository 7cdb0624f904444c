//! The lime methods, each by its own equation or table.

use super::lime::{Found, LimeOptions};
use super::lime_table::{LimeBasis, LimeMeasure, LimeTable};
use super::soil_test::KG_HA_PER_LB_ACRE;
use super::sulfur::{CACO3_PER_S, SulfurTable, TextureGroup};
use super::{BufferMethod, Citation, Library, Provenance, SoilTest};
use crate::error::{Error, Result};
use crate::explain::Step;

/// kg/ha in a short ton/acre.
const KG_HA_PER_TON_ACRE: f64 = 2000.0 * KG_HA_PER_LB_ACRE;
/// Depth of the acre slice of 2,000,000 lb, m.
const SLICE_M: f64 = 20.0 / 3.0 * 0.0254;

fn buffer(test: &SoilTest, wanted: BufferMethod) -> Result<f64> {
    match (test.input().buffer, test.buffer_ph()) {
        (Some(buffer), Some(ph)) if buffer.method == wanted => Ok(ph),
        (Some(buffer), _) => Err(Error::inconsistent(
            format!("the buffer of this test is {} and the method holds for {wanted}", buffer.method),
            "Name the method of the lab's own buffer.",
        )),
        (None, _) => Err(Error::missing(
            format!("the {wanted} buffer pH"),
            "Give it from the lab sheet; labs leave it out where the soil is not acid enough to lime.",
        )),
    }
}

/// Ac = 4 (6.6 - BpH); tons/acre = Ac (target - pH) / (6.6 - pH) - RC. Singular at pH 6.6, so it ends there.
pub(super) fn mehlich(test: &SoilTest, ph: f64, target_ph: f64, options: &LimeOptions) -> Result<Found> {
    const END: f64 = 6.6;
    if target_ph > END && ph < target_ph {
        return Err(Error::inconsistent(
            format!("the Mehlich buffer equation ends at pH {END}, and the target is {target_ph}"),
            format!("Give a target of {END} or below."),
        ));
    }
    let citation = Citation::new("North Carolina Department of Agriculture, lime by the Mehlich buffer", Provenance::Printed);
    let buffer_ph = buffer(test, BufferMethod::Mehlich)?;
    let acidity = (4.0 * (END - buffer_ph)).max(0.0);
    // at or above its end the equation would divide by zero; there is no acidity left for it there
    let share = if ph < END { ((target_ph - ph) / (END - ph)).max(0.0) } else { 0.0 };
    let gross = acidity * share * KG_HA_PER_TON_ACRE;
    let credit = options.recent.map(|r| r.credit_kg_ha()).transpose()?.unwrap_or(0.0);
    let rate = (gross - credit).max(0.0);
    let steps = vec![
        Step::new("acidity", "Ac = 4 (6.6 - buffer pH)", acidity, "meq/100 cm3", &citation.source).from("buffer pH", buffer_ph, ""),
        Step::new("lime", "Ac (target - pH) / (6.6 - pH) - credit, tons/acre", rate, "kg/ha", &citation.source)
            .from("target pH", target_ph, "")
            .from("soil pH", ph, "")
            .from("credit for lime not yet reacted", credit, "kg/ha"),
    ];
    Ok(Found {
        rate_kg_ha: rate,
        of: LimeBasis::AgLime,
        pure_kg_ha: None,
        range_kg_ha: None,
        depth_m: SLICE_M,
        aims: true,
        steps,
        citation,
        notes: Vec::new(),
    })
}

/// Share of the exchange held by acidity at a pH: the root of pH = 7.79 - 5.55 H + 2.27 H2 (from memory), which ends at pH 4.398.
fn acid_saturation(ph: f64) -> Result<f64> {
    let (a, b) = (2.27, 5.55);
    let under_root = b * b - 4.0 * a * (7.79 - ph);
    if under_root < 0.0 {
        return Err(Error::inconsistent(
            format!("pH {ph} lies below the end of the Adams-Evans curve at 4.40"),
            "Take exchangeable acidity or aluminum for so acid a soil.",
        ));
    }
    Ok(((b - under_root.sqrt()) / (2.0 * a)).max(0.0))
}

/// lb/acre = 8000 (8.00 - BpH) / H1 (H1 - H2), times the factor for agricultural lime.
pub(super) fn adams_evans(test: &SoilTest, ph: f64, target_ph: f64, options: &LimeOptions) -> Result<Found> {
    let source = "Adams and Evans (1962) as in Huluka (2007), eq. 2; the curve of saturation and pH is from memory";
    let factor = options.ag_lime_factor;
    if !(1.0..=3.0).contains(&factor) {
        return Err(Error::inconsistent(format!("ag_lime_factor is {factor}"), "Give 1 (pure carbonate) to 3; Georgia uses 1.5."));
    }
    let buffer_ph = buffer(test, BufferMethod::AdamsEvans)?;
    let (h1, h2) = (acid_saturation(ph)?, acid_saturation(target_ph)?);
    let pure = if h1 > 0.0 { 8000.0 * (8.0 - buffer_ph).max(0.0) / h1 * (h1 - h2).max(0.0) * KG_HA_PER_LB_ACRE } else { 0.0 };
    let steps = vec![
        Step::new("acid saturation now", "root of pH = 7.79 - 5.55 H + 2.27 H2", h1, "", source).from("soil pH", ph, ""),
        Step::new("acid saturation at the target", "the same", h2, "", source).from("target pH", target_ph, ""),
        Step::new("pure carbonate", "8000 (8.00 - buffer pH) (H1 - H2) / H1, lb/acre", pure, "kg/ha", source).from(
            "buffer pH",
            buffer_ph,
            "",
        ),
        Step::new("agricultural lime", "pure carbonate times the factor", pure * factor, "kg/ha", source).from("factor", factor, ""),
    ];
    let notes = vec![
        "The curve of acid saturation and pH is from memory.".into(),
        "Factors for agricultural lime: 1.5 in Georgia; five limes measured 1.16 to 1.73, mean 1.38.".into(),
    ];
    let citation = Citation::new(source, Provenance::Derived);
    Ok(Found { rate_kg_ha: pure * factor, of: LimeBasis::AgLime, steps, notes, ..Found::pure(pure, SLICE_M, citation) })
}

/// To 7.0: EA x 1000 lb/acre; to 6.5: EA x 840 where EA is above 4, else 2,000 below pH 6.5 and none from there.
pub(super) fn exchangeable_acidity(test: &SoilTest, ph: f64, target_ph: f64) -> Result<Found> {
    let acidity = acidity_of(test)?;
    let to = |goal: f64| (target_ph - goal).abs() < 1e-9;
    // the guide leaves exactly 4.0 open: it falls to the smaller rate here
    let (lb_acre, formula) = match (to(7.0), to(6.5)) {
        (true, _) => (acidity * 1000.0, "acidity x 1000, lb/acre"),
        (_, true) if acidity > 4.0 => (acidity * 840.0, "acidity x 840, lb/acre"),
        (_, true) if ph < 6.5 => (2000.0, "2,000 lb/acre where acidity is 4 or less and the pH below 6.5"),
        (_, true) => (0.0, "none where acidity is 4 or less and the pH 6.5 or more"),
        _ => {
            return Err(Error::inconsistent(
                format!("the rule by exchangeable acidity serves targets of 6.5 and 7.0, not {target_ph}"),
                "Take the exchangeable acidity table for 6.0, or another method.",
            ));
        }
    };
    let citation = Citation { page: Some("sec. 2".into()), ..Citation::new("Penn State Agronomy Guide", Provenance::Printed) };
    let rate = lb_acre * KG_HA_PER_LB_ACRE;
    let step = Step::new("lime", formula, rate, "kg/ha", &citation.source)
        .from("exchangeable acidity", acidity, "meq/100 g")
        .from("soil pH", ph, "");
    Ok(Found { steps: vec![step], ..Found::pure(rate, 7.0 * 0.0254, citation) })
}

fn acidity_of(test: &SoilTest) -> Result<f64> {
    test.input()
        .exchangeable_acidity_meq
        .ok_or_else(|| Error::missing("exchangeable_acidity_meq", "Give it from the lab sheet, in meq/100 g."))
}

pub(super) fn by_table(test: &SoilTest, target_ph: f64, table: &LimeTable) -> Result<Found> {
    let (measured, unit) = match table.measure {
        LimeMeasure::ExchangeableAcidity => (acidity_of(test)?, "meq/100 g"),
        LimeMeasure::BufferPh => (buffer(test, table.buffer.unwrap_or(BufferMethod::Smp))?, ""),
    };
    let end = table.rows.last().and_then(|r| r.first()).copied().unwrap_or(f64::NAN);
    // a buffer that has hardly fallen has found no acidity
    let spent = table.measure == LimeMeasure::BufferPh && measured > end;
    let rate = if spent { 0.0 } else { table.rate_kg_ha(measured, target_ph)? };
    let step = Step::new("lime", "table, straight lines between rows", rate, "kg/ha", &table.cite.source)
        .from(table.measure.name(), measured, unit)
        .from("target pH", target_ph, "");
    let pure_kg_ha = (table.of == LimeBasis::PureCarbonate).then_some(rate);
    let found = Found::pure(rate, table.depth_m, table.cite.clone());
    Ok(Found { of: table.of, pure_kg_ha, steps: vec![step], notes: table.notes.clone(), ..found })
}

/// 1.5 meq of lime for each meq of exchangeable aluminum; 1 meq/100 g is 1,000 lb of carbonate in 2,000,000 lb of soil.
pub(super) fn aluminum(test: &SoilTest) -> Result<Found> {
    let al = test
        .input()
        .exchangeable_aluminum_meq
        .ok_or_else(|| Error::missing("exchangeable_aluminum_meq", "Give it from the lab sheet, in meq/100 g (KCl extract)."))?;
    let citation = Citation::new("lime by exchangeable aluminum: 1.5 meq of calcium for each meq of aluminum", Provenance::Printed);
    let rate = 1.5 * al * 1000.0 * KG_HA_PER_LB_ACRE;
    let step =
        Step::new("lime", "1.5 x aluminum x 1,000 lb/acre", rate, "kg/ha", &citation.source).from("exchangeable aluminum", al, "meq/100 g");
    let notes = vec!["It takes the aluminum out of harm's way and aims at no pH.".into()];
    Ok(Found { aims: false, steps: vec![step], notes, ..Found::pure(rate, SLICE_M, citation) })
}

/// AC = (6.6 - BpH) / 0.25; t/ha = 0.1 AC2 + AC, from memory.
pub(super) fn mehlich_1976(test: &SoilTest) -> Result<Found> {
    let buffer_ph = buffer(test, BufferMethod::Mehlich)?;
    let ac = ((6.6 - buffer_ph) / 0.25).max(0.0);
    let citation = Citation { year: Some(1976), ..Citation::new("Mehlich", Provenance::Memory) };
    let rate = 1000.0 * (0.1 * ac * ac + ac);
    let step = Step::new("lime", "0.1 AC2 + AC, t/ha, with AC = (6.6 - buffer pH) / 0.25", rate, "kg/ha", "Mehlich (1976)").from(
        "buffer pH",
        buffer_ph,
        "",
    );
    Ok(Found { aims: false, steps: vec![step], ..Found::pure(rate, SLICE_M, citation) })
}

/// The soil's buffering by texture, taken from the sulfur table: what sulfur takes down, lime brings up.
pub(super) fn texture(test: &SoilTest, ph: f64, target_ph: f64) -> Result<Found> {
    let class = test.input().texture.ok_or_else(|| Error::missing("texture", "Give the texture class, by hand if need be."))?;
    let library = Library::<SulfurTable>::shipped()?;
    let sulfur = library.get("sulfur-to-4.5")?.rate_kg_ha(TextureGroup::from(class), target_ph, ph)?;
    let rate = sulfur * CACO3_PER_S;
    let source = "our derivation from a sulfur table by texture (1 of sulfur consumes 3.12 of carbonate)";
    let step = Step::new("lime", "sulfur between the two pH x 3.12", rate, "kg/ha", source).from("sulfur", sulfur, "kg/ha");
    let citation = Citation::new(source, Provenance::Judgment);
    let notes = vec!["A guess by texture alone, good to about half: have a buffer pH or exchangeable acidity measured.".into()];
    Ok(Found { range_kg_ha: Some((0.5 * rate, 1.5 * rate)), steps: vec![step], notes, ..Found::pure(rate, SLICE_M, citation) })
}
