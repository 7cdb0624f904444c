//! The three surfaces of a block (root disc, rest of the strip, alley) as what each asks of the water.

use super::alley::Alley;
use super::crop_days::{CropDays, CropSeries};
use super::tree::Stand;
use crate::error::{Error, Result};
use crate::et::crop;
use crate::weather::Daily;

/// Kcb of conifers at full cover, before the climate adjustment (FAO-56 Table 17, conifer trees).
const CONIFER_KCB_FULL: f64 = 0.95;
/// Kc min of bare ground between the plants of a sparse stand (FAO-56 p. 187).
const KC_MIN: f64 = 0.15;
/// Height below which the climate adjustment is not used, m (FAO-56 p. 124).
const LOWEST_ADJUSTED_M: f64 = 0.1;

/// The surfaces of a block over a run of days, with each one's share of the ground on the last day.
#[derive(Debug, Clone, PartialEq)]
pub struct Surfaces {
    /// The tree's root disc.
    pub tree: CropDays,
    /// The weed-free strip beside the discs.
    pub strip: CropDays,
    /// The ground between the strips.
    pub alley: CropDays,
    /// Shares of tree, strip and alley; they add to 1.
    pub shares: [f64; 3],
}

impl Surfaces {
    /// Coefficients day by day from the stand's age and cover and the day's wind and humidity.
    ///
    /// The tree's Kcb follows FAO-56 Eq. 98 with the conifer row as its full-cover end; weeds within the disc
    /// add their own by the ground they cover; p is adjusted by the unstressed full-cover use of the day.
    ///
    /// # Errors
    /// Weather without days, or a stand planted after the last of them.
    pub fn over(stand: &Stand, weather: &Daily) -> Result<Self> {
        let south = weather.site().latitude_deg() < 0.0;
        let days = weather.len();
        let last = weather.last();
        if days == 0 || last < stand.input().planted {
            return Err(Error::inconsistent(
                format!("{} planted on {} has no weather after planting", stand.species(), stand.input().planted),
                "Check the planting date, or give weather that reaches beyond it.",
            ));
        }
        let mut tree = CropSeries::default();
        let mut strip = CropSeries::default();
        let mut alley = CropSeries::default();
        let (grass_kcb, grass_roots, grass_p, grass_height) = stand.input().alley.habit();
        let weeds = stand.input().weed_cover;
        let mulch = crop::mulch_factor(stand.input().mulch_cover)?;
        for i in 0..days {
            let date = weather.date(i);
            let of = |values: &[f64]| values.get(i).copied().unwrap_or(f64::NAN);
            let (wind, humidity, eto) = (of(weather.wind_2m_m_s()), of(weather.rh_min_pct()), of(weather.eto_mm()));
            let adjusted = |kcb: f64, height: f64| {
                if height < LOWEST_ADJUSTED_M { Ok(kcb) } else { crop::climate_adjusted(kcb, wind, humidity, height) }
            };

            let height = stand.height_m(date, south);
            let radius = stand.root_radius_m(date, south);
            let share = stand.crown_radius_m(date, south) / radius;
            let cover = (share * share).min(1.0);
            let full = adjusted(CONIFER_KCB_FULL, height)?;
            let plants = crop::SparseCover { canopy_cover: cover, effective_cover: cover, height_m: height };
            let weed_kcb = adjusted(Alley::Grass.habit().0, Alley::Grass.habit().3)? * weeds * (1.0 - cover);
            let kcb = crop::kcb_from_cover(full, KC_MIN, crop::density_coefficient(&plants)?)? + weed_kcb;
            push(
                &mut tree,
                Day {
                    kcb,
                    height,
                    exposed: (1.0 - cover) * (1.0 - weeds),
                    mulch,
                    roots: stand.root_depth_m(date, south),
                    p: stand.species().group().p,
                    full: full * eto,
                },
                wind,
                humidity,
            )?;

            let weed_strip = adjusted(Alley::Grass.habit().0, Alley::Grass.habit().3)? * weeds;
            push(
                &mut strip,
                Day { kcb: weed_strip, height: 0.1, exposed: 1.0 - weeds, mulch, roots: 0.3, p: 0.4, full: weed_strip * eto },
                wind,
                humidity,
            )?;

            let kcb = adjusted(grass_kcb, grass_height)?;
            let exposed = if grass_kcb > 0.0 { 0.05 } else { 1.0 };
            push(
                &mut alley,
                Day { kcb, height: grass_height, exposed, mulch: 1.0, roots: grass_roots, p: grass_p, full: kcb * eto },
                wind,
                humidity,
            )?;
        }
        let area = stand.tree_area_m2();
        let disc = (stand.root_area_m2(last, south) / area).min(1.0);
        let strip_share = (stand.input().strip_width_m * stand.input().tree_spacing_m / area).min(1.0);
        let shares = [disc, (strip_share - disc).max(0.0), 1.0 - strip_share.max(disc)];
        Ok(Self { tree: CropDays::new(tree)?, strip: CropDays::new(strip)?, alley: CropDays::new(alley)?, shares })
    }
}

/// One day of one surface.
struct Day {
    kcb: f64,
    height: f64,
    exposed: f64,
    mulch: f64,
    roots: f64,
    p: f64,
    /// Unstressed use at full cover, mm.
    full: f64,
}

fn push(series: &mut CropSeries, day: Day, wind: f64, humidity: f64) -> Result<()> {
    series.kcb.push(day.kcb);
    series.kc_max.push(crop::kc_max(day.kcb, wind, humidity, day.height.max(LOWEST_ADJUSTED_M))?);
    series.exposed.push(day.exposed.max(0.01));
    series.evaporation_factor.push(day.mulch);
    series.root_depth_m.push(day.roots);
    series.p.push(crop::stress_onset(day.p, day.full)?);
    Ok(())
}
