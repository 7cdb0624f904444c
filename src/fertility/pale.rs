//! Pale trees: the causes in order, those that fertilizer does not cure among them, each with the test that would tell.

use super::{FoliarReading, Interpretation, Meaning, Nutrient, PhTarget, Standing};
use crate::error::{Error, Result};
use crate::words::words;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::OnceLock;

words! {
    /// What is seen or measured.
    #[allow(missing_docs)] // the names say it all
    pub enum Sign: "sign" {
        OlderNeedlesFirst = "older needles first",
        NewNeedlesFirst = "new needles first",
        EvenPaleGreen = "even pale green",
        YellowTips = "yellow tips",
        DeadBrownTips = "dead brown tips",
        DullGrayGreen = "dull gray-green needles",
        BandsOrSpots = "bands or spots on needles",
        StipplingOrWebbing = "stippling or webbing",
        InnerNeedlesOnly = "inner needles only",
        LowBranchesFirst = "low branches first",
        ShortNewShoots = "short new shoots",
        WholeField = "whole field",
        ScatteredTrees = "scattered single trees",
        LowGround = "low or wet ground",
        KnollsOrSand = "knolls or sand",
        Clay = "clay",
        OneSide = "one side or in lines",
        SaltedRoad = "along a salted road",
        DryWeather = "dry weather",
        WateredOften = "watered often",
        HardWater = "hard or limy water",
        Weeds = "weeds or grass around the trees",
        PlantedThisYear = "planted this year",
        PlantedRecently = "planted in the last three years",
        NoRootFlare = "no root flare at the ground",
        WeedSpray = "weed spray this season",
        HeavyNitrogen = "heavy nitrogen before",
        HeavyPotash = "heavy potash before",
        PhAbove = "pH above the range",
        PhBelow = "pH below the range",
        PhWithin = "pH within the range",
        NitrogenLow = "nitrogen low in the needles",
        NitrogenInRange = "nitrogen in range in the needles",
        PhosphorusLow = "phosphorus low in the needles",
        PotassiumLow = "potassium low in the needles",
        MagnesiumLow = "magnesium low in the needles",
        SoilPhosphorusLow = "phosphorus low in the soil",
        SoilPotassiumLow = "potassium low in the soil",
        SoilMagnesiumLow = "magnesium low in the soil",
    }
}

/// The signs that tests show: the pH against a target, needles against a table, the soil against its classes.
///
/// ```
/// use dibble::fertility::{Library, PhTable, Sign, measured_signs, ph_targets};
/// let targets = ph_targets("Fraser fir", &Library::<PhTable>::shipped()?)?;
/// let signs = measured_signs(Some((6.8, targets.by("msu-soil-ph")?)), None, None);
/// assert_eq!(signs, [Sign::PhAbove]);
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn measured_signs(ph: Option<(f64, &PhTarget)>, needles: Option<&FoliarReading>, soil: Option<&Interpretation>) -> Vec<Sign> {
    let mut signs = Vec::new();
    if let Some((ph, target)) = ph {
        signs.push(match (ph < target.row.low, ph > target.row.high) {
            (true, _) => Sign::PhBelow,
            (_, true) => Sign::PhAbove,
            _ => Sign::PhWithin,
        });
    }
    for line in needles.into_iter().flat_map(|r| &r.lines) {
        match (line.range.nutrient, line.standing) {
            (Nutrient::N, Some(Standing::Below)) => signs.push(Sign::NitrogenLow),
            (Nutrient::N, Some(_)) => signs.push(Sign::NitrogenInRange),
            (Nutrient::P, Some(Standing::Below)) => signs.push(Sign::PhosphorusLow),
            (Nutrient::K, Some(Standing::Below)) => signs.push(Sign::PotassiumLow),
            (Nutrient::Mg, Some(Standing::Below)) => signs.push(Sign::MagnesiumLow),
            _ => {}
        }
    }
    let pairs = [(Nutrient::P, Sign::SoilPhosphorusLow), (Nutrient::K, Sign::SoilPotassiumLow), (Nutrient::Mg, Sign::SoilMagnesiumLow)];
    let short = |n: Nutrient| soil.and_then(|i| i.reading(n)?.meaning).is_some_and(Meaning::is_short);
    signs.extend(pairs.into_iter().filter(|(n, _)| short(*n)).map(|(_, sign)| sign));
    signs
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Cause {
    id: String,
    name: String,
    cured_by_fertilizer: bool,
    start: f64,
    test: String,
    remedy: String,
    source: String,
    signs: BTreeMap<Sign, f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    cause: Vec<Cause>,
}

fn causes() -> Result<&'static [Cause]> {
    static FILE: OnceLock<std::result::Result<File, String>> = OnceLock::new();
    match FILE.get_or_init(|| toml::from_str(include_str!("../data/pale_causes.toml")).map_err(|e| e.to_string())) {
        Ok(file) => Ok(&file.cause),
        Err(why) => Err(Error::internal("the table of causes", why.as_str())),
    }
}

/// One cause and what speaks for and against it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PaleCause {
    /// Stable key.
    pub id: String,
    /// The cause in words.
    pub name: String,
    /// Points; only their order means something.
    pub points: f64,
    /// Would fertilizer cure it?
    pub cured_by_fertilizer: bool,
    /// Signs that speak for it.
    pub speaks_for: Vec<Sign>,
    /// Signs that speak against it.
    pub speaks_against: Vec<Sign>,
    /// The test that would tell.
    pub test: String,
    /// What to do if it is so.
    pub remedy: String,
    /// Who says so.
    pub source: String,
}

/// Ranked causes of pale foliage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct PaleDiagnosis {
    /// Version of this layout.
    #[serde(deserialize_with = "super::known_schema")]
    pub schema: u32,
    /// Every cause, the likeliest first.
    pub causes: Vec<PaleCause>,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// Ranks the causes of pale trees by the signs seen and measured.
///
/// The order is a place to begin looking, not a finding: each cause carries the test that would tell it from the others.
///
/// # Errors
/// The same sign twice, or two that exclude each other.
///
/// # Source
/// Each cause's own; the weights are our judgment. A New York study of concolor fir found that soil tests barely predicted
/// needle contents, and that nitrogen alone diluted P and K to limiting levels: test both.
///
/// ```
/// use dibble::fertility::{Sign, rank_pale};
/// let found = rank_pale(&[Sign::YellowTips, Sign::KnollsOrSand, Sign::PhWithin])?;
/// assert_eq!(found.causes.first().map(|c| c.id.as_str()), Some("magnesium"));
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn rank_pale(signs: &[Sign]) -> Result<PaleDiagnosis> {
    let both = |a: Sign, b: Sign| signs.contains(&a) && signs.contains(&b);
    for (a, b) in [
        (Sign::OlderNeedlesFirst, Sign::NewNeedlesFirst),
        (Sign::WholeField, Sign::ScatteredTrees),
        (Sign::PhAbove, Sign::PhBelow),
        (Sign::PhAbove, Sign::PhWithin),
        (Sign::PhBelow, Sign::PhWithin),
        (Sign::NitrogenLow, Sign::NitrogenInRange),
    ] {
        if both(a, b) {
            return Err(Error::inconsistent(format!("\"{a}\" and \"{b}\" exclude each other"), "Look again and give one of them."));
        }
    }
    let mut seen = signs.to_vec();
    seen.sort_unstable();
    if let Some(pair) = seen.windows(2).find(|p| p.first() == p.last()) {
        let twice = pair.first().map_or("", |s| s.name());
        return Err(Error::inconsistent(format!("\"{twice}\" is given twice"), "Give each sign once."));
    }
    let rank = |cause: &Cause| {
        let by = |sign: &&Sign| cause.signs.get(sign).copied().unwrap_or(0.0);
        PaleCause {
            id: cause.id.clone(),
            name: cause.name.clone(),
            points: cause.start + seen.iter().map(|s| by(&s)).sum::<f64>(),
            cured_by_fertilizer: cause.cured_by_fertilizer,
            speaks_for: seen.iter().filter(|s| by(s) > 0.0).copied().collect(),
            speaks_against: seen.iter().filter(|s| by(s) < 0.0).copied().collect(),
            test: cause.test.clone(),
            remedy: cause.remedy.clone(),
            source: cause.source.clone(),
        }
    };
    let mut causes: Vec<PaleCause> = causes()?.iter().map(rank).collect();
    causes.sort_by(|a, b| b.points.total_cmp(&a.points));
    let cautions = vec![
        "The order is a place to begin looking: make the test before you spread anything.".to_string(),
        "Take needles and soil from good and from bad trees apart; one without the other misleads.".into(),
        "Fertilizer mends neither drainage nor drought, pests, planting depth or a wrong pH.".into(),
    ];
    Ok(PaleDiagnosis { schema: super::SCHEMA, causes, cautions })
}
