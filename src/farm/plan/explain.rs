//! One block's answer, step by step, recomputed from what the plan holds.

use super::content::{BlockPlan, INCH_A_WEEK_MM, Plan};
use crate::error::Result;
use crate::explain::Step;

impl Plan {
    /// How a block's answer came about.
    ///
    /// # Errors
    /// No block of that name.
    pub fn explain(&self, block: &str) -> Result<Vec<Step>> {
        let block = self.block(block)?;
        let feeding = block.feeding.iter().flat_map(|f| f.steps.iter().cloned());
        Ok(block.steps(self.rate_mm_h).into_iter().chain(feeding).collect())
    }
}

impl BlockPlan {
    fn steps(&self, rate_mm_h: f64) -> Vec<Step> {
        let (basis, so_far) = (&self.basis, &self.so_far);
        let roots = self.root_depth_m.value;
        let mut steps = vec![
            Step::new("available water of the root zone", "1000 (FC - WP) Z, summed over the layers", self.available_water_mm, "mm", "FAO-56 Eq. 82")
                .from("FC", basis.field_capacity, "m3/m3")
                .from("WP", basis.wilting_point, "m3/m3")
                .from("Z", roots, "m"),
            Step::new("transpiration yesterday", "Ks Kcb ETo", basis.transpiration_mm, "mm", "FAO-56 Eq. 80, 84, 98")
                .from("Ks", basis.ks, "")
                .from("Kcb", basis.kcb, "")
                .from("ETo", basis.eto_mm, "mm"),
            Step::new("evaporation yesterday", "Ke ETo, limited by the surface layer and by mulch", basis.evaporation_mm, "mm", "FAO-56 Eq. 71, 74"),
            Step::new(
                "balance since the start",
                "water in the profile at the start + rain + water given + readings - caught - run off - evaporation - transpiration - drained",
                so_far.stored_end_mm,
                "mm",
                "FAO-56 Eq. 85, by layer",
            )
            .from("start", so_far.stored_start_mm, "mm")
            .from("rain", so_far.rain_mm, "mm")
            .from("water given", so_far.irrigation_mm, "mm")
            .from("readings", so_far.correction_mm, "mm")
            .from("caught", so_far.interception_mm, "mm")
            .from("run off", so_far.runoff_mm + so_far.irrigation_runoff_mm, "mm")
            .from("evaporation", so_far.evaporation_mm, "mm")
            .from("transpiration", so_far.transpiration_mm, "mm")
            .from("drained", so_far.deep_drainage_mm, "mm"),
            Step::new("depletion this morning", "short of field capacity, summed over the rooted layers", self.depletion_mm.value, "mm", "FAO-56 Eq. 86")
                .from("ledger's standard deviation", basis.ledger_sd_mm, "mm"),
            Step::new("share of the available water used", "depletion / available water", self.depletion.value, "", "")
                .from("depletion", self.depletion_mm.value, "mm")
                .from("available water", self.available_water_mm, "mm")
                .from("low end", self.depletion.low, "")
                .from("high end", self.depletion.high, ""),
        ];
        if let Some(days) = self.days_left {
            steps.push(
                Step::new("days left", "first day on which the share reaches the allowed one", days.value, "days", "")
                    .from("allowed", self.allowed_depletion, "")
                    .from("low end", days.low, "days")
                    .from("high end", days.high, "days"),
            );
        }
        steps.push(Step::new("use in the coming week", "sum of Kcb ETo + evaporation", self.week_use_mm, "mm", "FAO-56 Eq. 69").from(
            "inch a week",
            INCH_A_WEEK_MM,
            "mm",
        ));
        if self.net_mm > 0.0 {
            let (low, high) = self.efficiency;
            steps.extend([
                Step::new(
                    "net depth",
                    "least of refill share x depletion, most of one watering, room in the shallow end of the roots",
                    self.net_mm,
                    "mm",
                    "common practice: leave room for rain",
                )
                .from("refill share", basis.refill_fraction, "")
                .from("depletion", self.depletion_mm.value, "mm")
                .from("most of one watering", basis.event_cap_mm, "mm")
                .from("room in shallow roots", basis.usable_mm, "mm"),
                Step::new("gross depth, low end", "net / high efficiency", self.gross_mm.0, "mm", "").from("net", self.net_mm, "mm").from(
                    "efficiency",
                    high,
                    "",
                ),
                Step::new("gross depth, high end", "net / low efficiency", self.gross_mm.1, "mm", "").from("net", self.net_mm, "mm").from(
                    "efficiency",
                    low,
                    "",
                ),
                Step::new("running time, high end", "60 x gross / rate", self.run_min.1, "min", "")
                    .from("gross", self.gross_mm.1, "mm")
                    .from("rate", rate_mm_h, "mm/h"),
                Step::new("water for a tree", "net x area of its root disc", self.tree_l, "L", "1 mm on 1 m2 is 1 L")
                    .from("net", self.net_mm, "mm")
                    .from("area", self.root_area_m2, "m2"),
            ]);
        }
        if let Some(intake) = &self.intake {
            steps.push(
                Step::new(
                    "share that would enter in one run",
                    "Green-Ampt, F = K t + S ln(1 + F / S)",
                    intake.one_run_share.value,
                    "",
                    "Mein and Larson; Rawls et al. (1983)",
                )
                .from("rate", intake.rate_mm_h, "mm/h")
                .from("K", intake.conductivity_mm_h.value, "mm/h")
                .from("share at low K", intake.one_run_share.low, "")
                .from("share at high K", intake.one_run_share.high, ""),
            );
        }
        steps
    }
}
