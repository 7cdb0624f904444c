//! The bucket list as words to carry along, and as rows.

use super::{BucketList, Load, Stop};
use crate::units::{System, show};

impl BucketList {
    /// Trees, water, loads and time in one sentence.
    pub fn summary(&self, system: System) -> String {
        let trees = if self.trees == 1 { "1 tree".into() } else { format!("{} trees", show::number(self.trees as f64, 0)) };
        let loads = if self.loads.len() == 1 { "1 load".into() } else { format!("{} loads", self.loads.len()) };
        let people = if self.people == 1 { "one person".into() } else { format!("{} people", self.people) };
        format!(
            "{trees}, {} in {loads} of the tank: {} to fill, {} to walk {}, {} to pour; {} for {people}",
            show::volume(self.liters, system),
            show::minutes(self.fill_min),
            show::minutes(self.walk_min),
            show::length(self.walk_m, system),
            show::minutes(self.pour_min),
            show::minutes(60.0 * self.elapsed_h)
        )
    }

    /// The list to carry along: load by load, row by row, in the order of the walk.
    pub fn text(&self, system: System) -> String {
        let mut lines = vec![self.summary(system)];
        for (load, number) in self.loads.iter().zip(1..) {
            lines.push(format!("Load {number}, {}:", show::volume(load.liters, system)));
            lines.extend(load.lines(system).into_iter().map(|line| format!("  {line}")));
        }
        lines.join("\n") + "\n"
    }

    /// One row for each stop in the order of the walk, as CSV (RFC 4180), in SI; places to the millimeter, liters to the hundredth.
    pub fn to_csv(&self) -> String {
        let mut lines = vec!["stop,load,pour,of_pours,row,tree,x_m,y_m,liters".to_string()];
        let stops = self.loads.iter().zip(1..).flat_map(|(load, number)| load.stops.iter().map(move |stop| (number, stop)));
        for ((load, s), number) in stops.zip(1..) {
            let row = if s.row == 0 { String::new() } else { s.row.to_string() };
            let Stop { pour, of_pours, tree, x_m, y_m, liters, .. } = s;
            lines.push(format!("{number},{load},{pour},{of_pours},{row},{tree},{x_m:.3},{y_m:.3},{liters:.2}"));
        }
        lines.join("\n") + "\n"
    }
}

impl Load {
    /// Stops that follow each other in a row and get the same share a line.
    pub fn lines(&self, system: System) -> Vec<String> {
        self.lines_by(system, |_| ()).into_iter().map(|(line, ())| line).collect()
    }

    /// The same where stops that differ in `of` stand in lines of their own, each with what it has of it.
    pub(crate) fn lines_by<K: PartialEq>(&self, system: System, of: impl Fn(&Stop) -> K) -> Vec<(String, K)> {
        let each = |stop: &Stop| {
            let again = if stop.of_pours > 1 { format!(", pour {} of {}", stop.pour, stop.of_pours) } else { String::new() };
            format!("{} each{again}", show::volume(stop.liters, system))
        };
        let mut lines: Vec<(u32, String, Vec<u32>, K)> = Vec::new();
        for stop in &self.stops {
            let (words, key) = (each(stop), of(stop));
            match lines.last_mut() {
                Some((row, same, trees, like)) if *row == stop.row && *same == words && *like == key => trees.push(stop.tree),
                _ => lines.push((stop.row, words, vec![stop.tree], key)),
            }
        }
        let line = |(row, words, trees, key): (u32, String, Vec<u32>, K)| {
            let noun = if trees.len() == 1 { "tree" } else { "trees" };
            let words = if trees.len() == 1 { words.replace(" each", "") } else { words };
            let row = if row == 0 { String::new() } else { format!("row {row}, ") };
            (format!("{row}{noun} {}: {words}", runs(&trees)), key)
        };
        lines.into_iter().map(line).collect()
    }
}

/// 1, 2, 3, 7, 6, 5 as "1-3, 7-5": numbers that go up or down one by one are drawn together.
fn runs(numbers: &[u32]) -> String {
    let mut parts: Vec<(u32, u32)> = Vec::new();
    for &n in numbers {
        match parts.last_mut() {
            Some((from, to)) if *to == n.wrapping_sub(1) && *from <= *to || *to == n.wrapping_add(1) && *from >= *to => *to = n,
            _ => parts.push((n, n)),
        }
    }
    let words = |(from, to): &(u32, u32)| if from == to { from.to_string() } else { format!("{from}-{to}") };
    parts.iter().map(words).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::runs;

    #[test]
    fn numbers_that_follow_each_other_are_drawn_together() {
        assert_eq!(runs(&[1, 2, 3, 7, 6, 5, 9]), "1-3, 7-5, 9");
        assert_eq!(runs(&[4]), "4");
    }
}
