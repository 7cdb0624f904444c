//! A season of one stand on one soil, from the words that its owner has for it.

use super::column::{Column, Watering};
use super::reading::Reading;
use super::refill::Refill;
use super::season::{Record, RunOptions, Season, Series, run};
use super::winter::{Winter, after_thaw};
use crate::assumption::Assumption;
use crate::control::Control;
use crate::date::Date;
use crate::error::{Error, Result};
use crate::soil::Profile;
use crate::soil::runoff::{Condition, Cover, HydrologicGroup, curve_number};
use crate::stand::{Stand, Surfaces};
use crate::weather::Daily;

/// What [`run_stand`] takes. Made by [`StandRun::new`] with plain defaults; change what you know.
#[derive(Debug, Clone)]
pub struct StandRun<'a> {
    /// Complete daily weather.
    pub weather: &'a Daily,
    /// The trees.
    pub stand: &'a Stand,
    /// Soil from the surface down.
    pub profile: &'a Profile,
    /// First day of the season; `None` is the first day of the weather.
    pub from: Option<Date>,
    /// What to do about a winter inside the weather.
    pub winter: Winter,
    /// Share of the available water in the root zone at the start, 0 to 1; `None` assumes field capacity.
    pub start: Option<f64>,
    /// The same for the soil below the roots.
    pub subsoil_start: Option<f64>,
    /// Curve number for rain; `None` takes that of woods-grass in fair condition on this soil.
    pub curve_number: Option<f64>,
    /// Slope, %.
    pub slope_pct: f64,
    /// Measured intake of the surface, mm/h; `None` estimates it from the soil.
    pub intake_mm_h: Option<f64>,
    /// Water given, in any order.
    pub waterings: Vec<Watering>,
    /// Waters by itself when the trees are due.
    pub refill: Option<Refill>,
    /// Looked up in the root discs, in any order.
    pub readings: Vec<Reading>,
    /// Also the strip beside the discs and the alley. What is given to the trees falls on them too, as from a sprinkler.
    pub beside: bool,
}

impl<'a> StandRun<'a> {
    /// Full at the start, nothing given, nothing looked up.
    pub fn new(weather: &'a Daily, stand: &'a Stand, profile: &'a Profile) -> Self {
        Self {
            weather,
            stand,
            profile,
            from: None,
            winter: Winter::default(),
            start: None,
            subsoil_start: None,
            curve_number: None,
            slope_pct: 0.0,
            intake_mm_h: None,
            waterings: Vec::new(),
            refill: None,
            readings: Vec::new(),
            beside: false,
        }
    }
}

/// Carries a stand through its days: column "tree", and on request "strip" and "alley".
///
/// # Errors
/// A value out of range; a winter that was not spoken of; a watering or reading outside the season's days; a stand
/// planted after them; a stop.
///
/// ```
/// use dibble::control::Control;
/// use dibble::soil::{Profile, Soil, TextureClass};
/// use dibble::stand::{Stand, StandInput};
/// use dibble::water::{RunOptions, Series, StandRun, run_stand};
/// use dibble::weather::{DayColumns, Gaps, Site, Weather};
///
/// let first: dibble::Date = "2026-07-01".parse()?;
/// let days = DayColumns {
///     dates: (0..20).map(|day| first + day).collect(),
///     tmin_c: vec![14.0; 20],
///     tmax_c: vec![28.0; 20],
///     rain_mm: vec![0.0; 20],
///     ..DayColumns::default()
/// };
/// let weather = Weather::from_columns(days)?.complete(&Site::new(45.2, 290.0)?, &Gaps::default())?;
/// let stand = Stand::new(StandInput::new("Fraser fir", "2026-05-01".parse()?, 1.8, 1.8))?;
/// let profile = Profile::uniform(Soil::from_texture(TextureClass::SiltLoam, 2.5)?);
/// let season = run_stand(&StandRun::new(&weather, &stand, &profile), &RunOptions::default(), &Control::new())?;
/// let depletion = season.column(Series::Depletion, 0);
/// assert!(depletion.windows(2).all(|days| days[1] > days[0])); // no rain: drier every day
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn run_stand(given: &StandRun<'_>, options: &RunOptions, control: &Control) -> Result<Season> {
    let StandRun { stand, profile, .. } = *given;
    let last = given.weather.last();
    let weather = &given.weather.between(given.from.unwrap_or(given.weather.first()), last)?;
    let weather = &after_thaw(weather, given.winter, last + 1)?;
    let first = weather.first();
    let mut dated = given.waterings.iter().map(|w| ("watering", w.date)).chain(given.readings.iter().map(|r| ("reading", r.date)));
    if let Some((what, date)) = dated.find(|(_, date)| *date < first || *date > last) {
        return Err(Error::inconsistent(
            format!("the {what} of {date} lies outside the season, {first} to {last}"),
            "Give weather for that day, or leave it out.",
        ));
    }
    let surfaces = Surfaces::over(stand, weather)?;
    let number = given.curve_number.unwrap_or_else(|| usual_curve_number(profile));
    let column = |name: &str, crop| {
        let mut column = Column::new(name, weather, crop, profile);
        column.curve_number = Some(number);
        column.start = given.start.unwrap_or(1.0);
        column.subsoil_start = given.subsoil_start.unwrap_or(1.0);
        column.slope_pct = given.slope_pct;
        column.intake_mm_h = given.intake_mm_h;
        column.waterings.clone_from(&given.waterings);
        column.waterings.sort_by_key(|w| w.date);
        column
    };
    let mut tree = column("tree", &surfaces.tree);
    tree.refill = given.refill;
    tree.readings.clone_from(&given.readings);
    tree.readings.sort_by_key(|r| r.date);
    let mut columns = vec![tree];
    if given.beside {
        let mut beside = [column("strip", &surfaces.strip), column("alley", &surfaces.alley)];
        if given.refill.is_some() {
            let refills = refills(&columns, options, control)?;
            for surface in &mut beside {
                surface.waterings.extend(&refills);
                surface.waterings.sort_by_key(|w| w.date);
            }
        }
        columns.extend(beside);
    }
    let mut season = run(&columns, options, control)?;
    season.assumptions.extend(stand.assumptions(last, weather.site().latitude_deg() < 0.0));
    if given.start.is_none() {
        season.assumptions.push(Assumption::StartWetness.assumed());
    }
    if given.subsoil_start.is_none() {
        season.assumptions.push(Assumption::SubsoilWetness.assumed());
    }
    if given.curve_number.is_none() {
        season.assumptions.push(Assumption::CurveNumberDefault.with(format!("{number:.0}")));
    }
    if given.intake_mm_h.is_none() && given.waterings.iter().any(|w| w.rate_mm_h.is_some()) {
        season.assumptions.push(Assumption::IntakeHalfKsat.assumed());
    }
    Ok(season)
}

/// Woods-grass in fair condition, the row of tree farms, on the group of the surface soil.
fn usual_curve_number(profile: &Profile) -> f64 {
    curve_number(Cover::WoodsGrass, Condition::Fair, HydrologicGroup::of(profile.top().texture()))
}

/// What the refill rule gives the trees beyond the waterings, day by day.
fn refills(tree: &[Column<'_>], options: &RunOptions, control: &Control) -> Result<Vec<Watering>> {
    let options = RunOptions { record: Record::Chosen(vec![Series::Refill]), ..options.clone() };
    let season = run(tree, &options, control)?;
    let given = season.column(Series::Refill, 0).into_iter().enumerate().filter(|(_, depth_mm)| *depth_mm > 0.0);
    Ok(given.map(|(day, depth_mm)| Watering { date: season.date(day), depth_mm, rate_mm_h: None }).collect())
}
