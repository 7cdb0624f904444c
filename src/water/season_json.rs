//! A season as it is written: its daily numbers by name, rows of days, one value for each column.

use super::reading::ReadingOutcome;
use super::season::{Season, Series, Totals};
use crate::assumption::Assumed;
use crate::date::Date;
use crate::error::{Error, Result};
use ndarray::Array2;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Version of the content.
const SCHEMA: u32 = 1;

#[derive(Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub(super) struct SeasonRecord {
    schema: u32,
    form: String,
    #[cfg_attr(feature = "schema", schemars(with = "String"))]
    first: Date,
    days: usize,
    columns: Vec<String>,
    /// `[day][column]` of each series.
    daily: BTreeMap<Series, Vec<Vec<f64>>>,
    totals: Vec<Totals>,
    readings: Vec<ReadingOutcome>,
    assumptions: Vec<Assumed>,
}

impl From<Season> for SeasonRecord {
    fn from(season: Season) -> Self {
        let rows = |values: &Array2<f64>| values.rows().into_iter().map(|row| row.to_vec()).collect();
        Self {
            schema: SCHEMA,
            form: season.form.name().into(),
            first: season.first,
            days: season.days,
            daily: season.kept.iter().copied().zip(season.daily.iter().map(rows)).collect(),
            columns: season.columns,
            totals: season.totals,
            readings: season.readings,
            assumptions: season.assumptions,
        }
    }
}

impl TryFrom<SeasonRecord> for Season {
    type Error = Error;

    fn try_from(record: SeasonRecord) -> Result<Self> {
        if record.schema > SCHEMA {
            let why = format!("its schema is newer than {SCHEMA}, the newest known here");
            return Err(Error::unreadable("season", &record.schema.to_string(), why, "Read it with the version that wrote it."));
        }
        let width = record.columns.len();
        let uneven = |what: &str| {
            Error::inconsistent(
                format!("{what} of the season does not have {} days of {width} columns", record.days),
                "Give JSON that dibble wrote for a season.",
            )
        };
        if record.totals.len() != width {
            return Err(uneven("totals"));
        }
        let (mut kept, mut daily) = (Vec::new(), Vec::new());
        for (series, rows) in record.daily {
            if rows.len() != record.days || rows.iter().any(|row| row.len() != width) {
                return Err(uneven(series.name()));
            }
            kept.push(series);
            daily.push(Array2::from_shape_vec((record.days, width), rows.concat()).map_err(|_| uneven(series.name()))?);
        }
        Ok(Self {
            form: record.form.parse()?,
            first: record.first,
            days: record.days,
            columns: record.columns,
            kept,
            daily,
            totals: record.totals,
            readings: record.readings,
            assumptions: record.assumptions,
        })
    }
}
