"""Real weather from packages of the registry, through the whole path in Python."""

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from dibble.weather import Daily, Site, Weather

FILES = Path(__file__).resolve().parents[1] / "reference" / "weather"
# Station, latitude and elevation are not stated in the file: from memory.
SEATTLE = Site(47.45, 130, coastal=True, wind_height_m=10)
GREENSBORO = Site(36.10, 273, longitude_deg=-79.95, utc_offset_h=-5, wind_height_m=10)


def yearly(daily: Daily, values: Any) -> dict[int, float]:
    years = daily.dates.astype("datetime64[Y]").astype(int) + 1970
    return {int(year): float(values[years == year].sum()) for year in np.unique(years)}


def test_four_seattle_years_from_a_dataframe() -> None:
    vega = pytest.importorskip("vega_datasets")
    frame: pd.DataFrame = vega.local_data.seattle_weather()
    weather = Weather.from_table(frame, units="si")
    assert len(weather) == 1461
    assert weather.gap_report().notes == ["columns not read: weather"]
    assert weather == Weather.read_csv(FILES / "seattle.csv", units="si").with_forecast_from("2099-01-01")
    daily = weather.complete(SEATTLE)
    # Evaluated outside of this project: dew point as the lowest temperature, radiation by kRs 0.19, wind from 10 m.
    assert {year: round(eto) for year, eto in yearly(daily, daily.eto_mm).items()} == {2012: 819, 2013: 832, 2014: 888, 2015: 918}
    filled = {row["key"]: row["days"] for row in daily.assumptions}
    assert filled["dew_from_tmin"] == filled["solar_from_range"] == 1461


def test_an_hourly_year_of_greensboro_agrees_with_an_independent_evaluation(fao56_daily: Any) -> None:
    weather = Weather.read_hours_csv(FILES / "greensboro.csv", GREENSBORO)
    daily = weather.complete(GREENSBORO)
    assert len(daily) == 365
    hours = pd.read_csv(FILES / "greensboro.csv")
    hours["vapor"] = 0.6108 * np.exp(17.27 * hours["dew point (C)"] / (hours["dew point (C)"] + 237.3))
    by_day = hours.groupby("date")
    temperature = by_day["temp (C)"]
    wind = (by_day["wind (m/s)"].mean() * 4.87 / np.log(67.8 * 10 - 5.42)).clip(lower=0.5)
    solar = by_day["GHI (W/m2)"].sum() * 0.0036
    columns = [temperature.min(), temperature.max(), by_day["vapor"].mean(), wind, solar]
    theirs = fao56_daily(*(column.to_numpy() for column in columns), 36.10, 273, np.arange(1, 366))
    np.testing.assert_allclose(daily.eto_mm, theirs, rtol=1e-9, atol=1e-9)
    assert daily.rain_mm.sum() == pytest.approx(834.5, abs=0.05)


def test_hours_of_a_dataframe_are_those_of_the_file() -> None:
    hours = pd.read_csv(FILES / "greensboro.csv")
    hours["hour ending"] = hours["hour ending"].str[:2].astype(int)
    weather = Weather.from_hours_table(hours, GREENSBORO, stamp="end")
    assert weather.to_table("pandas").equals(Weather.read_hours_csv(FILES / "greensboro.csv", GREENSBORO).to_table("pandas"))
