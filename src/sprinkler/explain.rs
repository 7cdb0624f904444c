//! The depth at one place, taken apart set by set.

use super::{Set, Sprinkler, apply};
use crate::error::Result;
use crate::explain::Step;
use crate::geom::{Xy, length, minus};

/// How the depth at a place comes about: for each set that wets it the rate and the depth, and at the end their sum,
/// which is what [`apply`] gives.
///
/// # Errors
/// As [`apply`].
///
/// ```
/// use dibble::sprinkler::{explain_depth, Profile, Set, Sprinkler, SprinklerInput};
/// let gun = Sprinkler::new(SprinklerInput { spray_loss: 0.05, ..SprinklerInput::new(300.0, 30.0, Profile::Cone) })?;
/// let sets = [Set::new([0.0, 0.0], 60.0), Set::new([500.0, 0.0], 60.0), Set::new([30.0, 0.0], 45.0)];
/// let steps = explain_depth(&gun, &sets, [10.0, 0.0])?;
/// assert_eq!(
///     steps[0].to_string(),
///     "rate of set 1: flow less spray loss over the ground, times the cone's height there over its mean, \
///      with flow 300 L/min, spray loss 0.050, wetted ground 2827 m2, height over mean 2.00, \
///      distance from the foot in calm air 10.0 m = 12.1 mm/h [volume of the profile]"
/// );
/// assert_eq!(steps[1].to_string(), "depth of set 1: rate times hours, with rate 12.1 mm/h, hours 1.00 h = 12.1 mm");
/// assert_eq!(steps.len(), 5); // set 2 stands too far away
/// assert_eq!(steps[4].to_string(), "depth: the sets that wet the place, added up, with set 1 12.1 mm, set 3 4.54 mm = 16.6 mm");
/// # Ok::<(), dibble::Error>(())
/// ```
pub fn explain_depth(sprinkler: &Sprinkler, sets: &[Set], at: Xy) -> Result<Vec<Step>> {
    let mut steps = Vec::new();
    let mut total = Step::new("depth", "the sets that wet the place, added up", 0.0, "mm", "");
    for (i, set) in sets.iter().enumerate() {
        let hour = Set { minutes: 60.0, ..*set };
        let rate = apply(sprinkler, &[hour], &[at], Some(1)).map_err(|e| e.at(format!("sets[{i}]")))?.iter().sum::<f64>();
        if rate <= 0.0 {
            continue;
        }
        let jet = hour.jet(sprinkler)?;
        let ([x, y], [xx, xy, yy]) = (minus(at, jet.center), jet.to_unit);
        let radius = set.radius_m.unwrap_or(sprinkler.radius_m());
        let flow = set.flow_l_min.unwrap_or(sprinkler.flow_l_min());
        let loss = sprinkler.input().spray_loss;
        let arc = set.arc.unwrap_or(sprinkler.arc());
        let ground = std::f64::consts::PI * arc.share() / (xx * yy - xy * xy);
        let name = format!("set {}", i + 1);
        let formula = format!("flow less spray loss over the ground, times the {}'s height there over its mean", sprinkler.profile());
        steps.push(
            Step::new(&format!("rate of {name}"), &formula, rate, "mm/h", "volume of the profile")
                .from("flow", flow, "L/min")
                .from("spray loss", loss, "")
                .from("wetted ground", ground, "m2")
                .from("height over mean", rate * ground / (flow * (1.0 - loss) * 60.0), "")
                .from("distance from the foot in calm air", radius * length([xx * x + xy * y, xy * x + yy * y]), "m"),
        );
        let depth = apply(sprinkler, std::slice::from_ref(set), &[at], Some(1))?.iter().sum::<f64>();
        let hours = set.minutes / 60.0;
        steps.push(
            Step::new(&format!("depth of {name}"), "rate times hours", depth, "mm", "")
                .from("rate", rate, "mm/h")
                .from("hours", hours, "h"),
        );
        total.value += depth;
        total = total.from(&name, depth, "mm");
    }
    steps.push(total);
    Ok(steps)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Arc;
    use crate::sprinkler::{Profile, SprinklerInput, Wind};

    #[test]
    fn the_last_step_is_what_apply_gives() {
        let (wind, _) = Wind::guess(3.0, 225.0, 30.0).unwrap();
        let input = SprinklerInput { wind: Some(wind), spray_loss: 0.08, ..SprinklerInput::new(280.0, 30.0, Profile::Ring) };
        let head = Sprinkler::new(input).unwrap();
        let sets = [
            Set { arc: Some(Arc::new(90.0, 200.0).unwrap()), ..Set::new([-5.0, 3.0], 25.0) },
            Set { flow_l_min: Some(250.0), radius_m: Some(27.0), ..Set::new([12.0, -4.0], 40.0) },
        ];
        for at in [[0.0, 0.0], [8.0, 8.0], [25.0, -10.0], [90.0, 0.0]] {
            let last = explain_depth(&head, &sets, at).unwrap().pop().unwrap();
            assert_eq!(last.value, apply(&head, &sets, &[at], None).unwrap()[0], "{at:?}");
        }
        assert!(explain_depth(&head, &sets, [f64::NAN, 0.0]).is_err());
    }
}
