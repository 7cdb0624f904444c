"""Evapotranspiration: of the reference surface, of crops (`et.crop`), and the formulas of air and sun most often used with it."""

from __future__ import annotations

from dibble.air import atmospheric_pressure, psychrometric_constant, saturation_vapor_pressure
from dibble.et import crop
from dibble.et.reference import (
    HourlyForm,
    Surface,
    aerodynamic_resistance_s_m,
    evaporation_equivalent_mm,
    reference_daily,
    reference_from_temperature,
    reference_hourly,
    reference_with_soil_heat,
)
from dibble.sun import daylight_hours, extraterrestrial_radiation

__all__ = [
    "HourlyForm",
    "Surface",
    "aerodynamic_resistance_s_m",
    "atmospheric_pressure",
    "crop",
    "daylight_hours",
    "evaporation_equivalent_mm",
    "extraterrestrial_radiation",
    "psychrometric_constant",
    "reference_daily",
    "reference_from_temperature",
    "reference_hourly",
    "reference_with_soil_heat",
    "saturation_vapor_pressure",
]
