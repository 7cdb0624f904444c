"""The sun: where it stands, and how much radiation comes in above the air and at the ground."""

from __future__ import annotations

from dibble.sun.estimate import solar_by_ratio, solar_from_range, solar_from_sunshine, solar_on_island
from dibble.sun.geometry import daylight_hours, declination, extraterrestrial_radiation, inverse_distance, sunset_angle
from dibble.sun.hourly import extraterrestrial_radiation_hourly, shows_cloud_of_the_night, solar_time_angle
from dibble.sun.radiation import (
    black_body_radiation,
    clear_sky_radiation,
    clear_sky_radiation_near_sea_level,
    net_longwave_daily,
    net_longwave_hourly,
    net_shortwave,
    soil_heat_from_month_before,
    soil_heat_from_neighbor_months,
    soil_heat_hourly,
)

__all__ = [
    "black_body_radiation",
    "clear_sky_radiation",
    "clear_sky_radiation_near_sea_level",
    "daylight_hours",
    "declination",
    "extraterrestrial_radiation",
    "extraterrestrial_radiation_hourly",
    "inverse_distance",
    "net_longwave_daily",
    "net_longwave_hourly",
    "net_shortwave",
    "shows_cloud_of_the_night",
    "soil_heat_from_month_before",
    "soil_heat_from_neighbor_months",
    "soil_heat_hourly",
    "solar_by_ratio",
    "solar_from_range",
    "solar_from_sunshine",
    "solar_on_island",
    "solar_time_angle",
    "sunset_angle",
]
