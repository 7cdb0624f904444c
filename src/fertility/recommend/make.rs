//! How a recommendation is put together: each part answers or asks.

use super::mix::{self, Mix, uses_urea};
use super::{CAUTIONS, RecommendInput, Recommendation, Tables};
use crate::assumption::Assumed;
use crate::bounds;
use crate::control::Control;
use crate::error::Result;
use crate::fertility::library::key;
use crate::fertility::{
    AcidityTerm, Asked, BufferMethod, Divisors, Exchange, Guarantee, Interpretation, LimeMethod, LimeQuestion, Need, NeedBasis,
    NeedContext, NitrogenQuestion, NitrogenTable, Nutrient, PhVerdict, Rates, SeasonQuestion, SoilTable, SoilTest, Stage, Status,
    TextureGroup, advise_lime, cec_by_summation, compare_tables, convert_extractant, interpret, nitrogen_cautions, nitrogen_need,
    nitrogen_season, nitrogen_warnings, nutrient_need, ph_targets, usability, water_load,
};

/// The year's lime and nutrients of a block, from its soil test and the tables that the user names, to bags and ounces
/// of the products in `shed`.
///
/// Where sources disagree and none is named, nothing is chosen: the part stays empty and `ask` says what to name. A test
/// that cannot be used gives its reasons and no amounts. Needs that the products cannot meet stand in the mix with the
/// limits that clash, and all else is answered. Without an area the mix is for a hectare, by weight.
///
/// # Errors
/// An unknown key of a table or conversion, an area or amount out of range, a table that reads nothing of the test, a
/// faulty product, cancelled.
///
/// ```
/// use dibble::control::Control;
/// use dibble::Date;
/// use dibble::fertility::{
///     Extractant, Form, Ground, Measurement, Nutrient, Placement, Product, RecommendInput, Reported, Shed, SoilTest, SoilTestInput,
///     Tables, TestUnit, recommend,
/// };
/// let k = Measurement {
///     nutrient: Nutrient::K,
///     form: Some(Form::Element),
///     value: Reported::Measured(100.0),
///     unit: TestUnit::LbAcre,
///     extractant: Some(Extractant::Mehlich3),
///     converted: None,
/// };
/// let test = SoilTest::new(SoilTestInput { ph: Some(5.7), measured: vec![k], ..SoilTestInput::default() })?;
/// let ground = Ground::new(2965.0, Placement::Broadcast)?;
/// let mut input = RecommendInput::new(test, "Fraser fir", ground, Date::new(2027, 3, 1)?);
/// input.age_years = Some(2);
/// input.area_ha = Some(1.0);
/// let urea = Product { bag_kg: Some(22.68), price_per_bag: Some(24.0), ..Product::find("urea")? };
/// input.shed = Some(Shed::new(vec![urea]));
/// let answer = recommend(&input, &Tables::shipped()?, &Control::new())?;
/// // half an ounce of N a tree, 37.5 lb/acre at 1,200 trees
/// assert_eq!(answer.nitrogen.map(|n| n.low.g_per_tree.round()), Some(14.0));
/// // 42 kg of N are 91.4 kg of urea, and four bags hold 90.7: less than a hundredth short is no fifth bag; 31 g a tree
/// let mix = answer.mix.unwrap();
/// let urea = &mix.blend.as_ref().unwrap().amounts[0];
/// assert_eq!((urea.bags, urea.cost), (Some(4), 96.0));
/// assert_eq!(mix.rounds[0].amounts[0].rates.g_per_tree.round(), 31.0);
/// // there is no potash in urea: the one need that cannot be met
/// assert!(mix.conflicts[0].limits[0].limit.to_string().starts_with("K2O"));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn recommend(input: &RecommendInput, tables: &Tables, control: &Control) -> Result<Recommendation> {
    mix::check(input)?;
    let area_ha = input.area_ha;
    bounds::AREA_M2.named("area_m2").check_option(area_ha.map(|ha| 1e4 * ha))?;
    let usable = usability(&input.test, &Asked { today: input.today, planting: input.planting, southern: input.southern });
    let mut answer = Recommendation {
        schema: crate::fertility::SCHEMA,
        status: usable.status,
        usability: usable,
        interpretation: None,
        comparison: None,
        exchange: exchange(&input.test),
        water: None,
        ph_targets: None,
        lime: None,
        nitrogen: None,
        feedings: Vec::new(),
        needs: Vec::new(),
        placement: String::new(),
        block_needs: Vec::new(),
        mix: None,
        ask: Vec::new(),
        warnings: Vec::new(),
        cautions: CAUTIONS.map(String::from).to_vec(),
        tables: Vec::new(),
        assumptions: Vec::new(),
    };
    if answer.status == Status::NotUsable {
        return Ok(answer);
    }
    let mut test = input.test.clone();
    for conversion in &input.conversions {
        test = convert_extractant(&test, conversion, &tables.conversion)?;
    }
    if let Some(water) = &input.water {
        let load = water_load(water, input.irrigation_mm.unwrap_or(0.0), input.units)?;
        answer.warnings.extend(load.cautions.iter().cloned());
        answer.water = Some(load);
    }
    let table = soil_table(input, &test, tables, &mut answer)?;
    lime(input, &test, tables, &mut answer)?;
    nitrogen(input, tables, &mut answer)?;
    if let Some(table) = table {
        needs(input, table, tables, &mut answer)?;
    }
    if let Some(area) = area_ha {
        answer.block_needs = needs_per_ha(&answer).into_iter().map(|n| n.times(area)).collect();
    }
    products(input, &mut answer, control)?;
    let lists: Vec<&[Assumed]> = [
        answer.interpretation.as_ref().map(|i| i.assumptions.as_slice()),
        answer.lime.as_ref().map(|l| l.assumptions.as_slice()),
        Some(test.assumed()),
    ]
    .into_iter()
    .flatten()
    .chain(answer.needs.iter().map(|n| n.assumptions.as_slice()))
    .collect();
    let mut assumptions: Vec<Assumed> = Vec::new();
    for assumed in lists.into_iter().flatten() {
        if !assumptions.contains(assumed) {
            assumptions.push(assumed.clone());
        }
    }
    answer.assumptions = assumptions;
    if answer.status == Status::Ok && !(answer.assumptions.is_empty() && answer.ask.is_empty()) {
        answer.status = Status::WithAssumption;
    }
    Ok(answer)
}

/// Cations on the exchange by the lab's own buffer or measured acidity; `None` where it measured neither, or not all bases.
fn exchange(test: &SoilTest) -> Option<Exchange> {
    let term = match test.input().buffer.map(|b| b.method) {
        Some(BufferMethod::Mehlich) => AcidityTerm::Mehlich,
        Some(BufferMethod::AdamsEvans) => AcidityTerm::AdamsEvans,
        Some(BufferMethod::Smp) => AcidityTerm::Smp,
        _ => AcidityTerm::Measured,
    };
    cec_by_summation(test, term, Divisors::Exact).ok()
}

/// The table named, or the only one whose source names an extractant of this test.
fn soil_table<'t>(
    input: &RecommendInput,
    test: &SoilTest,
    tables: &'t Tables,
    answer: &mut Recommendation,
) -> Result<Option<&'t SoilTable>> {
    let chosen = match &input.soil_table {
        Some(name) => Some(tables.soil.get(name)?),
        None => {
            let comparison = compare_tables(test, &tables.soil, None, input.policy)?;
            let certain = |i: &&Interpretation| {
                i.readings.iter().any(|r| r.class.is_some()) && tables.soil.get(&i.table).is_ok_and(|t| t.extractant.is_some())
            };
            let fitting: Vec<&Interpretation> = comparison.interpretations.iter().filter(certain).collect();
            let chosen = match fitting.as_slice() {
                [one] => Some(tables.soil.get(&one.table)?),
                [] => {
                    answer.ask.push(
                        "No interpretation table names the extractants of this test: give one of your own, or ask the lab for its ratings."
                            .into(),
                    );
                    None
                }
                several => {
                    let keys: Vec<&str> = several.iter().map(|i| i.table.as_str()).collect();
                    answer.ask.push(format!("Name the interpretation table (soil_table): {}.", keys.join(", ")));
                    None
                }
            };
            let rated: Vec<&str> = test.input().rated.iter().map(|r| r.nutrient.name()).collect();
            if chosen.is_none() && !rated.is_empty() {
                answer.ask.push(format!(
                    "The lab gives classes without numbers ({}): name its own table (soil_table), whose words they are.",
                    rated.join(", ")
                ));
            }
            answer.comparison = Some(comparison);
            chosen
        }
    };
    if let Some(table) = chosen {
        answer.interpretation = Some(interpret(test, table, input.policy)?);
        answer.tables.push(key(table));
    }
    Ok(chosen)
}

fn lime(input: &RecommendInput, test: &SoilTest, tables: &Tables, answer: &mut Recommendation) -> Result<()> {
    let targets = ph_targets(&input.species, &tables.ph)?;
    let chosen = match &input.ph_table {
        Some(name) => Some(targets.by(name)?.clone()),
        None => match &targets.ask {
            Some(ask) => {
                answer.ask.push(format!("pH (ph_table): {ask}"));
                None
            }
            None => targets.targets.first().cloned(),
        },
    };
    answer.ph_targets = Some(targets);
    let Some(target) = chosen else { return Ok(()) };
    answer.tables.push(target.table.clone());
    let stage = if input.age_years.is_some() { Stage::Established } else { Stage::NewPlanting };
    let method = input.lime_method.or_else(|| method_of(test));
    // without a measurement of acidity the answer may still be that no lime is due, and no method is asked then
    let mut question = LimeQuestion::new(target, stage, method.unwrap_or(LimeMethod::Texture));
    question.options = input.lime_options;
    question.material = input.lime_material.clone().map(|m| (m, input.fineness));
    question.depth_m = input.lime_depth_m;
    question.cap_kg_ha = input.lime_cap_kg_ha;
    question.units = input.units;
    let magnesium = answer.interpretation.as_ref().and_then(|i| i.reading(Nutrient::Mg)?.meaning);
    question.magnesium_short = magnesium.map(|m| m.is_short());
    match advise_lime(test, &question) {
        Ok(advice) => answer.lime = Some(advice),
        Err(_) if method.is_none() && test.input().ph.is_some() => answer.ask.push(match test.input().buffer {
            Some(buffer) => format!(
                "Lime is due, and no published equation for the {} buffer is at hand: take the lab's lime table, or give exchangeable acidity or texture.",
                buffer.method
            ),
            None => "Lime is due and nothing tells how much: give the buffer pH with its method, the exchangeable acidity or the texture.".into(),
        }),
        Err(error) => answer.ask.push(format!("Lime: {error}")),
    }
    Ok(())
}

/// The method that goes with what the lab measured.
fn method_of(test: &SoilTest) -> Option<LimeMethod> {
    let input = test.input();
    match input.buffer.map(|b| b.method) {
        Some(BufferMethod::Mehlich) => Some(LimeMethod::Mehlich),
        Some(BufferMethod::AdamsEvans) => Some(LimeMethod::AdamsEvans),
        Some(BufferMethod::Smp) => Some(LimeMethod::Smp),
        _ if input.exchangeable_acidity_meq.is_some() => Some(LimeMethod::AcidityTable),
        _ if input.texture.is_some() => Some(LimeMethod::Texture),
        _ => None,
    }
}

fn nitrogen(input: &RecommendInput, tables: &Tables, answer: &mut Recommendation) -> Result<()> {
    let Some(age_years) = input.age_years else { return Ok(()) };
    let table = match &input.nitrogen_table {
        Some(name) => Some(tables.nitrogen.get(name)?),
        None => {
            let fits = |t: &&NitrogenTable| {
                t.crops.iter().any(|c| crate::words::same(c, &input.species) || crate::words::same(c, "Christmas trees"))
            };
            let fitting: Vec<&NitrogenTable> = tables.nitrogen.iter().filter(fits).collect();
            match fitting.as_slice() {
                [one] => Some(*one),
                several => {
                    let keys: Vec<String> = several.iter().map(|t| key(*t)).collect();
                    answer.ask.push(format!("Name the nitrogen table (nitrogen_table): {}.", keys.join(", ")));
                    None
                }
            }
        }
    };
    let Some(table) = table else { return Ok(()) };
    let question = NitrogenQuestion { age_years, height_m: input.height_m, sale_year: input.sale_year };
    let mut need = nitrogen_need(&question, &input.ground, table)?;
    if !table.crops.iter().any(|c| crate::words::same(c, &input.species)) {
        need.notes.push(format!("The table was made for {}, not for {}.", table.crops.join(", "), input.species));
    }
    answer.tables.push(key(table));
    answer.nitrogen = Some(need);
    Ok(())
}

fn needs(input: &RecommendInput, table: &SoilTable, tables: &Tables, answer: &mut Recommendation) -> Result<()> {
    let lime_due = answer.lime.as_ref().is_some_and(|l| l.verdict == PhVerdict::Lime && l.material_kg_ha > 0.0);
    let removal = input.removal.then(|| tables.removal.iter().next()).flatten();
    let context = NeedContext { table, ground: &input.ground, build_up: &input.build_up, removal, lime_due };
    let readings = answer.interpretation.as_ref().map(|i| i.readings.clone()).unwrap_or_default();
    for reading in readings.iter().filter(|r| r.class.is_some() && r.nutrient != Nutrient::N) {
        let need = nutrient_need(reading, &context)?;
        if need.basis == NeedBasis::NotPublished {
            answer.ask.push(need.why.clone());
        }
        if reading.possible.len() > 1 {
            answer.ask.push(format!("{} may be {}: have it measured again.", reading.nutrient, reading.possible.join(" or ")));
        }
        answer.needs.push(need);
    }
    answer.placement = match input.age_years {
        None => {
            let deep = crate::units::show::soil_layer(0.1524, 0.2032, input.units);
            format!("Before planting, worked in {deep} deep with the lime: phosphate hardly moves later. Nothing in the planting hole.")
        }
        Some(0) => "Nothing in the planting year; give it next spring.".into(),
        Some(_) => "On the surface in fall or early spring, off the foliage; not in one go with lime.".into(),
    };
    if input.age_years == Some(0) && answer.needs.iter().any(|n| n.high.field_kg_ha > 0.0) {
        answer.warnings.push("Trees in their planting year get no fertilizer: what stands here is for next spring.".into());
    }
    Ok(())
}

/// Needs for a hectare of field in kg, as a mix takes them.
pub(super) fn needs_per_ha(answer: &Recommendation) -> Vec<Need> {
    let need = |nutrient, low: f64, high: Option<f64>| Need { nutrient, at_least_kg: low, at_most_kg: high.filter(|h| *h > low) };
    let nitrogen = answer.nitrogen.as_ref().filter(|n| n.low.field_kg_ha > 0.0);
    let nitrogen = nitrogen.map(|n| need(Guarantee::N, n.low.field_kg_ha, n.high.map(|h| h.field_kg_ha)));
    let others = answer.needs.iter().filter(|n| n.high.field_kg_ha > 0.0);
    nitrogen.into_iter().chain(others.map(|n| need(n.weight_of, n.low.field_kg_ha, Some(n.high.field_kg_ha)))).collect()
}

/// The mix and the feedings of the year.
fn products(input: &RecommendInput, answer: &mut Recommendation, control: &Control) -> Result<()> {
    season(input, input.urea, answer);
    let mut mix = mix::mix(answer, input, control)?;
    let urea = input.urea || mix.iter().zip(&input.shed).any(|(mix, shed)| uses_urea(mix, shed));
    if urea && !input.urea {
        season(input, urea, answer);
    }
    burning(input, urea, mix.as_ref(), answer)?;
    if let Some(mix) = &mut mix {
        mix.rounds = mix::rounds(mix, answer, input)?;
    } else if input.shed.is_some() && input.area_ha.is_none() && !needs_per_ha(answer).is_empty() {
        answer.ask.push("Nothing in the shed has a price: give prices, or the area (area_ha) that the stock is for.".into());
    }
    answer.mix = mix;
    Ok(())
}

/// When the nitrogen goes out.
fn season(input: &RecommendInput, urea: bool, answer: &mut Recommendation) {
    if highest(answer).is_some() {
        answer.feedings = nitrogen_season(&SeasonQuestion {
            bud_break: input.bud_break,
            texture: input.test.input().texture.map(TextureGroup::from),
            sale_year: input.sale_year,
            southern: input.southern,
            urea,
        });
    }
}

/// Most nitrogen that the table gives, where it gives any.
fn highest(answer: &Recommendation) -> Option<Rates> {
    answer.nitrogen.as_ref().map(|n| n.high.unwrap_or(n.low)).filter(|r| r.field_kg_ha > 0.0)
}

/// Whether the nitrogen is too much, as needed or as a mix for phosphate and potash brings it, and what to mind.
fn burning(input: &RecommendInput, urea: bool, mix: Option<&Mix>, answer: &mut Recommendation) -> Result<()> {
    /// More than this over the need is told as the mix's own.
    const BEYOND: f64 = 1.01;
    let warn = |rates: &Rates| nitrogen_warnings(rates, &input.ground, input.n_cap_kg_ha, input.most_n_g_per_tree, input.units);
    let asked = highest(answer);
    let brought_kg_ha = mix.map_or(0.0, |m| m.blend.as_ref().map_or(0.0, |b| b.supplied_kg(Guarantee::N)) / m.area_ha);
    if brought_kg_ha > BEYOND * asked.map_or(0.0, |r| r.field_kg_ha) {
        let rates = Rates::from_field(brought_kg_ha, &input.ground)?;
        answer.warnings.extend(warn(&rates)?.into_iter().map(|w| format!("With what the mix brings: {w}")));
    } else if let (Some(highest), Some(need)) = (asked, &answer.nitrogen) {
        let mut warnings = warn(&need.low)?;
        if warnings.is_empty() {
            warnings = warn(&highest)?.into_iter().map(|w| format!("At the upper end of the range: {w}")).collect();
        }
        answer.warnings.extend(warnings);
    }
    if asked.is_some() {
        answer.cautions.extend(nitrogen_cautions(urea));
    }
    Ok(())
}
