//! How well each tree can be reached at all.

use super::candidates::candidates;
use super::request::PlaceRequest;
use super::{PLACING, SLICE};
use crate::control::Control;
use crate::error::Result;
use crate::sprinkler::{Set, footprints};

/// For each tree the rates of all positions that [`place`](super::place) may choose from, added up, mm/min: little where few
/// positions reach, and those with the end of their throw; 0 where none does.
///
/// # Errors
/// As [`place`](super::place) for positions; cancelled.
pub(crate) fn within_reach(request: &PlaceRequest, control: &Control) -> Result<Vec<f64>> {
    let sets: Vec<Set> = candidates(request, control)?.list.iter().map(|c| c.set).collect();
    let mut sums = vec![0.0; request.trees_xy_m.len()];
    for slice in sets.chunks(SLICE) {
        control.go_on(PLACING)?;
        for wet in footprints(&request.sprinkler, slice, &request.trees_xy_m, request.n_threads)? {
            for (&tree, rate) in wet.points.iter().zip(&wet.mm_per_min) {
                if let Some(sum) = sums.get_mut(tree) {
                    *sum += rate;
                }
            }
        }
    }
    Ok(sums)
}
