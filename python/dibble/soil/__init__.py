"""Soil: texture, water holding and conductivity, layers, the feel test, intake, rain and runoff, salt."""

from __future__ import annotations

from dibble._dibble import Profile, Soil
from dibble.soil.feel import FeelDepletion, feel_depletion, feel_looks
from dibble.soil.intake import (
    Conductivity,
    GreenAmptRow,
    Infiltration,
    MaximumRate,
    PulsePlan,
    basic_infiltration_mm_h,
    conductivity,
    green_ampt_row,
    infiltrate,
    maximum_rate_mm_h,
    ponded_infiltration_mm,
    ponding_time_h,
    pulse_plan,
    surface_storage_mm,
)
from dibble.soil.published import AvailableRange, TypicalWater, available_by_source, fao56_table_19
from dibble.soil.rain import effective_rain_of_month_mm
from dibble.soil.runoff import (
    antecedent_by_five_day_rain,
    curve_number,
    curve_number_when,
    hydrologic_group,
    minimum_infiltration_mm_h,
    retention_mm,
    runoff_mm,
)
from dibble.soil.salinity import applied_mm, leaching_requirement, soil_ec_ds_m
from dibble.soil.texture import texture_class

__all__ = [
    "AvailableRange",
    "Conductivity",
    "FeelDepletion",
    "GreenAmptRow",
    "Infiltration",
    "MaximumRate",
    "Profile",
    "PulsePlan",
    "Soil",
    "TypicalWater",
    "antecedent_by_five_day_rain",
    "applied_mm",
    "available_by_source",
    "basic_infiltration_mm_h",
    "conductivity",
    "curve_number",
    "curve_number_when",
    "effective_rain_of_month_mm",
    "fao56_table_19",
    "feel_depletion",
    "feel_looks",
    "green_ampt_row",
    "hydrologic_group",
    "infiltrate",
    "leaching_requirement",
    "maximum_rate_mm_h",
    "minimum_infiltration_mm_h",
    "ponded_infiltration_mm",
    "ponding_time_h",
    "pulse_plan",
    "retention_mm",
    "runoff_mm",
    "soil_ec_ds_m",
    "surface_storage_mm",
    "texture_class",
]
