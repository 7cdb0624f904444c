"""Soil: texture, water holding and conductivity, layers, the feel test, intake and runoff."""

from __future__ import annotations

from dibble._dibble import Profile, Soil
from dibble.soil.feel import FeelDepletion, feel_depletion, feel_looks
from dibble.soil.intake import (
    GreenAmptRow,
    Infiltration,
    MaximumRate,
    PulsePlan,
    green_ampt_row,
    infiltrate,
    maximum_rate_mm_h,
    ponded_infiltration_mm,
    ponding_time_h,
    pulse_plan,
    surface_storage_mm,
)
from dibble.soil.runoff import curve_number, leaching_requirement, runoff_mm
from dibble.soil.texture import texture_class

__all__ = [
    "FeelDepletion",
    "GreenAmptRow",
    "Infiltration",
    "MaximumRate",
    "Profile",
    "PulsePlan",
    "Soil",
    "curve_number",
    "feel_depletion",
    "feel_looks",
    "green_ampt_row",
    "infiltrate",
    "leaching_requirement",
    "maximum_rate_mm_h",
    "ponded_infiltration_mm",
    "ponding_time_h",
    "pulse_plan",
    "runoff_mm",
    "surface_storage_mm",
    "texture_class",
]
