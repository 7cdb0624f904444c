//! Positions, short trees and the bucket list as rows and as GeoJSON.

use super::super::Plan;
use super::super::table::quoted;
use super::{PlannedSet, ShortTree};
use crate::error::{Error, Result};
use crate::farm::Farm;
use crate::geom::{Plane, Xy};
use crate::placement::{FeatureKind, Why};
use serde_json::{Value, json};

const SETS_HEAD: &str =
    "date,block,set,x_m,y_m,longitude_deg,latitude_deg,row,tree,hydrant,hose_m,minutes,pulses,most_mm_h,arc_deg,facing_deg";

impl Plan {
    /// Every set of the plan as CSV (RFC 4180), in walking order, in SI; places to the millimeter, the width and the bearing of a
    /// part circle to the tenth of a degree, empty where the sprinkler turns full circle.
    pub fn sets_csv(&self) -> String {
        let mut lines = vec![SETS_HEAD.to_string()];
        for (block, set) in self.blocks.iter().flat_map(|b| b.sets.iter().flat_map(move |s| s.sets.iter().map(move |set| (b, set)))) {
            let [longitude, latitude] = set.degrees.map_or([String::new(), String::new()], |d| d.map(|v| format!("{v:.8}")));
            let [arc, facing] = set.arc().map(|v| v.map_or(String::new(), |deg| deg.to_string()));
            lines.push(format!(
                "{},{},{},{},{},{longitude},{latitude},{},{},{},{},{},{},{},{arc},{facing}",
                self.date,
                quoted(&block.name),
                set.number,
                meters(set.x_m),
                meters(set.y_m),
                set.row,
                set.tree,
                quoted(set.hydrant.as_deref().unwrap_or("")),
                meters(set.hose_m),
                set.run_min,
                set.runs,
                set.most_mm_h,
            ));
        }
        lines.join("\n") + "\n"
    }

    /// Every stop of the bucket lists as CSV (RFC 4180), block by block in the order of the walk, in SI, with the reason why the
    /// sprinkler leaves the tree short; empty where nobody gets a bucket.
    pub fn bucket_csv(&self) -> String {
        let mut lines = Vec::new();
        for (name, sets) in self.blocks.iter().filter_map(|b| Some((quoted(&b.name), b.sets.as_ref()?))) {
            let Some(list) = &sets.bucket else { continue };
            let table = list.to_csv();
            let mut rows = table.lines();
            let heading = rows.next().filter(|_| lines.is_empty());
            lines.extend(heading.map(|columns| format!("block,{columns},why")));
            let stops = list.loads.iter().flat_map(|load| &load.stops);
            lines.extend(rows.zip(stops).map(|(row, stop)| format!("{name},{row},{}", sets.why(stop).map_or("", Why::name))));
        }
        lines.into_iter().map(|line| line + "\n").collect()
    }

    /// Every tree that has a ledger of its own as CSV (RFC 4180): water given, days of stress and depletion so far, in SI;
    /// only the heading where no sets were logged.
    pub fn trees_csv(&self) -> String {
        let mut lines = vec!["block,index,row,tree,x_m,y_m,from,to,given_mm,stress_days,depletion_mm".to_string()];
        for (block, trees) in self.blocks.iter().filter_map(|b| Some((b, b.trees_so_far.as_ref()?))) {
            let ledgers = &trees.ledgers;
            let each = trees.places.iter().zip(&ledgers.given_mm).zip(&ledgers.days_of_tree).zip(&ledgers.depletion_mm);
            for (index, (((at, given_mm), days), depletion_mm)) in each.enumerate() {
                lines.push(format!(
                    "{},{index},{},{},{},{},{},{},{given_mm},{days},{depletion_mm}",
                    quoted(&block.name),
                    at.row,
                    at.tree,
                    meters(at.x_m),
                    meters(at.y_m),
                    ledgers.from,
                    ledgers.to,
                ));
            }
        }
        lines.join("\n") + "\n"
    }

    /// Sets and short trees as GeoJSON (RFC 7946), longitude and latitude.
    ///
    /// # Errors
    /// The site's longitude is not known.
    pub fn sets_geojson(&self, farm: &Farm) -> Result<String> {
        let site = &farm.input().site;
        let longitude_deg =
            site.longitude_deg.ok_or_else(|| Error::missing("longitude_deg", "GeoJSON needs [site] with longitude_deg."))?;
        let plane = Plane::new(longitude_deg, site.latitude_deg)?;
        let mut features = Vec::new();
        for block in &self.blocks {
            let Some(plan) = &block.sets else { continue };
            for set in &plan.sets {
                features.push(feature(&plane, [set.x_m, set.y_m], of_set(&block.name, set))?);
            }
            for tree in &plan.short {
                features.push(feature(&plane, [tree.x_m, tree.y_m], of_tree(&block.name, tree))?);
            }
        }
        let collection = json!({ "type": "FeatureCollection", "features": features });
        serde_json::to_string_pretty(&collection).map_err(|e| Error::internal("writing GeoJSON", e.to_string()))
    }
}

impl PlannedSet {
    /// Width and bearing of a part circle to the tenth of a degree, north 0; none for the full circle.
    fn arc(&self) -> [Option<f64>; 2] {
        let tenth = |deg: f64| (10.0 * deg).round() / 10.0;
        let part = self.arc_deg.filter(|(arc, _)| *arc < 360.0);
        [part.map(|(arc, _)| tenth(arc)), part.map(|(_, facing)| tenth(facing) % 360.0)]
    }
}

/// To the millimeter: what is beyond it comes from converting feet.
fn meters(value_m: f64) -> String {
    let text = format!("{value_m:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

fn feature(plane: &Plane, at: Xy, properties: Value) -> Result<Value> {
    let geometry = json!({ "type": "Point", "coordinates": plane.to_degrees(at)? });
    Ok(json!({ "type": "Feature", "geometry": geometry, "properties": properties }))
}

fn of_set(block: &str, set: &PlannedSet) -> Value {
    let [arc_deg, facing_deg] = set.arc();
    json!({
        "kind": FeatureKind::Set.name(), "block": block, "number": set.number, "minutes": set.run_min, "pulses": set.runs,
        "row": set.row, "tree": set.tree, "x_m": set.x_m, "y_m": set.y_m, "arc_deg": arc_deg, "facing_deg": facing_deg,
    })
}

fn of_tree(block: &str, tree: &ShortTree) -> Value {
    json!({
        "kind": FeatureKind::Tree.name(), "block": block, "row": tree.row, "tree": tree.tree, "depth_mm": tree.depth_mm,
        "missing_mm": tree.missing_mm, "x_m": tree.x_m, "y_m": tree.y_m,
    })
}
