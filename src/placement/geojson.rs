//! Maps in and out as GeoJSON (RFC 7946): longitude first, then latitude, in degrees on WGS 84.
//!
//! Features say what they are by the property `kind`: `outline`, `keep_out`, `stay_dry`, `tree`, `hydrant` (with
//! `hose_m`), and on the way out `set` (with `order` and `minutes`). Without it, polygons are outlines and points are trees.
//! Degrees become meters on the plane that touches the Earth at an origin; `geom::Plane` states its error (2 mm within
//! 5 km).

use super::{Field, Hydrant, PlaceRequest, Placement};
use crate::error::{Error, Result};
use crate::geom::{Plane, Polygon, Xy, exchanged};
use crate::words::words;
use serde_json::{Map as Object, Value, json};

words! {
    /// What a feature of a map is.
    pub enum FeatureKind: "kind" {
        /// The block.
        Outline = "outline" | "field" | "block",
        /// Where the sprinkler may not stand.
        KeepOut = "keep_out",
        /// What no drop may reach.
        StayDry = "stay_dry" | "road",
        /// A tree.
        Tree = "tree" | "trees",
        /// An outlet with its hose.
        Hydrant = "hydrant",
        /// A position of the sprinkler; passed over when read.
        Set = "set",
    }
}

/// A map in local meters.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldMap {
    /// Where its meters begin.
    pub plane: Plane,
    /// The ground.
    pub field: Field,
    /// The trees.
    pub trees_xy_m: Vec<Xy>,
    /// Their names, if any has one: the property `name`, or the number from 1.
    pub labels: Vec<String>,
    /// The outlets.
    pub hydrants: Vec<Hydrant>,
}

impl FieldMap {
    /// Reads a `FeatureCollection`, a `Feature` or a bare geometry. `origin`: where meters begin, such as the farm's site;
    /// none for the first corner of the outline.
    ///
    /// # Errors
    /// Text that is no GeoJSON; not one outline; a position out of range, far from the origin, or with longitude and
    /// latitude exchanged (found where the origin tells, or where no farm can lie); rings that cross themselves.
    ///
    /// ```
    /// use dibble::placement::FieldMap;
    /// let text = r#"{"type": "Polygon", "coordinates": [[[-84.70, 45.00], [-84.699, 45.00], [-84.699, 45.001], [-84.70, 45.00]]]}"#;
    /// let map = FieldMap::from_geojson(text, None)?;
    /// assert_eq!(format!("{:.0}", map.field.outline.area_m2()), "4381"); // 78.8 m by 111.1 m, half of it
    /// let swapped = FieldMap::from_geojson(&text.replace("-84.70, 45.00]", "45.00, -84.70]"), None).unwrap_err();
    /// assert!(swapped.to_string().contains("longitude first"));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn from_geojson(text: &str, origin: Option<Plane>) -> Result<Self> {
        let value: Value = serde_json::from_str(text).map_err(|e| refuse(text, e.to_string()))?;
        let features = features(&value).ok_or_else(|| refuse(text, "it is no feature collection, feature or geometry".into()))?;
        let mut parts = Vec::new();
        for (i, (geometry, properties)) in features.into_iter().enumerate() {
            parts.extend(read_feature(geometry, properties).map_err(|e| e.at(format!("feature {}", i + 1)))?);
        }
        let outlines: Vec<&Part> = parts.iter().filter(|p| p.kind == FeatureKind::Outline).collect();
        let &[outline] = outlines.as_slice() else {
            return Err(Error::inconsistent(
                format!("the map has {} outlines", outlines.len()),
                "Give one polygon as the outline; mark others with the property kind, \"keep_out\" or \"stay_dry\".",
            ));
        };
        let first = outline.rings.first().and_then(|r| r.first()).copied().unwrap_or_default();
        let plane = match origin {
            Some(plane) => plane,
            None => Plane::new(first[0], first[1])?,
        };
        let mut map =
            Self { field: Field::new(outline.polygon(&plane)?), plane, trees_xy_m: Vec::new(), labels: Vec::new(), hydrants: Vec::new() };
        let named = parts.iter().any(|p| p.kind == FeatureKind::Tree && p.name.is_some());
        for part in &parts {
            match part.kind {
                FeatureKind::KeepOut => map.field.keep_out.push(part.polygon(&plane)?),
                FeatureKind::StayDry => map.field.stay_dry.push(part.polygon(&plane)?),
                FeatureKind::Tree => {
                    for at in part.rings.iter().flatten() {
                        map.trees_xy_m.push(plane.to_meters(at[0], at[1])?);
                        if named {
                            map.labels.push(part.name.clone().unwrap_or_else(|| map.trees_xy_m.len().to_string()));
                        }
                    }
                }
                FeatureKind::Hydrant => {
                    for at in part.rings.iter().flatten() {
                        let hose_m = part.hose_m.ok_or_else(|| {
                            Error::missing(
                                "hose_m of a hydrant",
                                "Give the property `hose_m`: the hose that can be laid from it, in meters.",
                            )
                        })?;
                        map.hydrants.push(Hydrant { name: part.name.clone(), ..Hydrant::new(plane.to_meters(at[0], at[1])?, hose_m) });
                    }
                }
                FeatureKind::Outline | FeatureKind::Set => {}
            }
        }
        Ok(map)
    }

    /// As a feature collection that [`FieldMap::from_geojson`] reads.
    ///
    /// # Errors
    /// A position more than 20 km from the origin.
    pub fn to_geojson(&self) -> Result<String> {
        let mut features = ground(&self.field, &self.hydrants, &self.plane)?;
        for (i, &at) in self.trees_xy_m.iter().enumerate() {
            let mut properties = kind(FeatureKind::Tree);
            if let Some(label) = self.labels.get(i) {
                properties.insert("name".into(), json!(label));
            }
            features.push(point(&self.plane, at, properties)?);
        }
        collection(features)
    }
}

impl Placement {
    /// The block, its hydrants, the sets in their order with minutes and hose, and the short trees, as a feature
    /// collection.
    ///
    /// # Errors
    /// A position more than 20 km from the origin.
    pub fn to_geojson(&self, request: &PlaceRequest, plane: &Plane) -> Result<String> {
        let mut features = ground(&request.field, &request.hydrants, plane)?;
        for (k, set) in self.sets.iter().enumerate() {
            let mut properties = kind(FeatureKind::Set);
            properties.insert("order".into(), json!(k + 1));
            properties.insert("minutes".into(), json!(set.minutes));
            if let Some(arc) = set.arc {
                properties.insert("arc_deg".into(), json!(arc.arc_deg()));
                properties.insert("facing_deg".into(), json!(arc.facing_deg()));
            }
            if let Some(hose_m) = self.hose_m.get(k).filter(|_| !request.hydrants.is_empty()) {
                properties.insert("hose_m".into(), json!(hose_m));
            }
            features.push(point(plane, [set.x_m, set.y_m], properties)?);
        }
        for short in &self.short {
            let Some(&at) = request.trees_xy_m.get(short.tree) else { continue };
            let mut properties = kind(FeatureKind::Tree);
            properties.insert("name".into(), json!(short.name));
            properties.insert("missing_mm".into(), json!(short.missing_mm));
            properties.insert("why".into(), json!(short.why.name()));
            features.push(point(plane, at, properties)?);
        }
        collection(features)
    }
}

/// A feature as it stands in the file: rings of a polygon, or points as one ring.
struct Part {
    kind: FeatureKind,
    rings: Vec<Vec<[f64; 2]>>,
    name: Option<String>,
    hose_m: Option<f64>,
}

impl Part {
    fn polygon(&self, plane: &Plane) -> Result<Polygon> {
        let meters = |ring: &Vec<[f64; 2]>| ring.iter().map(|p| plane.to_meters(p[0], p[1])).collect::<Result<Vec<Xy>>>();
        let mut rings = self.rings.iter().map(meters);
        let outline = rings.next().transpose()?.unwrap_or_default();
        rings.try_fold(Polygon::new(&outline)?, |polygon, hole| polygon.with_hole(&hole?))
    }
}

fn refuse(text: &str, why: String) -> Error {
    Error::unreadable("GeoJSON", text, why, "Give a feature collection by RFC 7946.")
}

/// Geometry and properties.
type Feature<'a> = (&'a Value, Option<&'a Object<String, Value>>);

fn features(value: &Value) -> Option<Vec<Feature<'_>>> {
    match value.get("type")?.as_str()? {
        "FeatureCollection" => value
            .get("features")?
            .as_array()?
            .iter()
            .map(|f| Some((f.get("geometry")?, f.get("properties").and_then(Value::as_object))))
            .collect(),
        "Feature" => Some(vec![(value.get("geometry")?, value.get("properties").and_then(Value::as_object))]),
        _ => value.get("coordinates").map(|_| vec![(value, None)]),
    }
}

fn read_feature(geometry: &Value, properties: Option<&Object<String, Value>>) -> Result<Vec<Part>> {
    let said = properties.and_then(|p| p.get("kind")).and_then(Value::as_str).map(str::parse::<FeatureKind>).transpose()?;
    let shape = geometry.get("type").and_then(Value::as_str).unwrap_or_default();
    let coordinates = geometry.get("coordinates").unwrap_or(&Value::Null);
    let list = |v: &Value| v.as_array().cloned().unwrap_or_default();
    let ring = |v: &Value| list(v).iter().map(position).collect::<Result<Vec<_>>>();
    let polygon = |v: &Value| list(v).iter().map(ring).collect::<Result<Vec<_>>>();
    let (usual, shapes) = match shape {
        "Point" => (FeatureKind::Tree, vec![vec![vec![position(coordinates)?]]]),
        "MultiPoint" => (FeatureKind::Tree, vec![vec![ring(coordinates)?]]),
        "Polygon" => (FeatureKind::Outline, vec![polygon(coordinates)?]),
        "MultiPolygon" => (FeatureKind::Outline, list(coordinates).iter().map(polygon).collect::<Result<_>>()?),
        _ => return Err(Error::unknown("geometry", shape, &["Point", "MultiPoint", "Polygon", "MultiPolygon"])),
    };
    let kind = said.unwrap_or(usual);
    let is_area = matches!(kind, FeatureKind::Outline | FeatureKind::KeepOut | FeatureKind::StayDry);
    if is_area != (usual == FeatureKind::Outline) {
        let wants = if is_area { "a polygon" } else { "a point" };
        return Err(Error::inconsistent(format!("a feature of kind \"{kind}\" is a {shape}"), format!("Give it {wants}.")));
    }
    let name =
        properties.and_then(|p| p.get("name")).and_then(|n| n.as_str().map(str::to_string).or_else(|| n.as_i64().map(|n| n.to_string())));
    let hose_m = properties.and_then(|p| p.get("hose_m")).and_then(Value::as_f64);
    Ok(shapes.into_iter().map(|rings| Part { kind, rings, name: name.clone(), hose_m }).collect())
}

/// Longitude and latitude; a height is passed over.
fn position(value: &Value) -> Result<[f64; 2]> {
    let numbers: Vec<Option<f64>> = value.as_array().map_or(Vec::new(), |a| a.iter().map(Value::as_f64).collect());
    let (Some(Some(longitude)), Some(Some(latitude))) = (numbers.first(), numbers.get(1)) else {
        return Err(Error::unreadable("a position", &value.to_string(), "it is not two numbers", "Give [longitude, latitude] in degrees."));
    };
    if exchanged(*longitude, *latitude) {
        return Err(Error::inconsistent(
            format!("longitude {longitude}, latitude {latitude} lies where no farm can be, and the two exchanged do not"),
            "Give longitude first and latitude second, as GeoJSON does.",
        ));
    }
    Ok([*longitude, *latitude])
}

fn kind(kind: FeatureKind) -> Object<String, Value> {
    Object::from_iter([("kind".to_string(), json!(kind.name()))])
}

fn ground(field: &Field, hydrants: &[Hydrant], plane: &Plane) -> Result<Vec<Value>> {
    let mut features = vec![area(plane, &field.outline, FeatureKind::Outline)?];
    for keep_out in &field.keep_out {
        features.push(area(plane, keep_out, FeatureKind::KeepOut)?);
    }
    for stay_dry in &field.stay_dry {
        features.push(area(plane, stay_dry, FeatureKind::StayDry)?);
    }
    for hydrant in hydrants {
        let mut properties = kind(FeatureKind::Hydrant);
        properties.insert("hose_m".into(), json!(hydrant.hose_m));
        if let Some(name) = &hydrant.name {
            properties.insert("name".into(), json!(name));
        }
        features.push(point(plane, hydrant.at(), properties)?);
    }
    Ok(features)
}

/// Rings as RFC 7946 wants them: outline to the left, holes to the right, the first corner again at the end.
fn area(plane: &Plane, polygon: &Polygon, of: FeatureKind) -> Result<Value> {
    let ring = |ring: &[Xy]| ring.iter().chain(ring.first()).map(|&at| plane.to_degrees(at)).collect::<Result<Vec<_>>>();
    let rings = polygon.rings().map(ring).collect::<Result<Vec<_>>>()?;
    Ok(json!({"type": "Feature", "properties": kind(of), "geometry": {"type": "Polygon", "coordinates": rings}}))
}

fn point(plane: &Plane, at: Xy, properties: Object<String, Value>) -> Result<Value> {
    let degrees = plane.to_degrees(at)?;
    Ok(json!({"type": "Feature", "properties": properties, "geometry": {"type": "Point", "coordinates": degrees}}))
}

fn collection(features: Vec<Value>) -> Result<String> {
    serde_json::to_string_pretty(&json!({"type": "FeatureCollection", "features": features}))
        .map_err(|e| Error::internal("writing GeoJSON", e.to_string()))
}
