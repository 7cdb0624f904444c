"""Where a sprinkler's water lands: discharge, profile, part circles, wind, depth at any points, evenness."""

from __future__ import annotations

from dibble._dibble import Leg, Nozzle, Sprinkler, Wind
from dibble.sprinkler.cans import GridReport, LegReport, depth_from_volume_mm, grid_test, leg_test
from dibble.sprinkler.evenness import Uniformity, adequacy_depth, adequacy_share, du_from_cu, uniformity
from dibble.sprinkler.landing import Destination, destination, overlap_share, water_within_l
from dibble.sprinkler.lattice import SpacingStudy, lane_uniformity, lattice_uniformity, spacing_study
from dibble.sprinkler.nozzle import ThrowRadius, discharge_l_min, nozzle_pressure_kpa, throw_radius_m
from dibble.sprinkler.rate import (
    DayOfSets,
    EvenSpacing,
    Overlapped,
    capacity_l_min,
    day_h,
    day_of_sets,
    even_spacing_m,
    gross_depth_mm,
    minutes_for,
    overlapped,
    spacing_fraction,
)
from dibble.sprinkler.sets import Footprint, apply, explain_depth, footprints
from dibble.sprinkler.spray import PublishedLoss, PublishedLosses, SprayLoss, effective_share, published_losses, spray_loss
from dibble.sprinkler.wind import GuessedWind, guess_wind

__all__ = [
    "DayOfSets",
    "Destination",
    "EvenSpacing",
    "Footprint",
    "GridReport",
    "GuessedWind",
    "Leg",
    "LegReport",
    "Nozzle",
    "Overlapped",
    "PublishedLoss",
    "PublishedLosses",
    "SpacingStudy",
    "SprayLoss",
    "Sprinkler",
    "ThrowRadius",
    "Uniformity",
    "Wind",
    "adequacy_depth",
    "adequacy_share",
    "apply",
    "capacity_l_min",
    "day_h",
    "day_of_sets",
    "depth_from_volume_mm",
    "destination",
    "discharge_l_min",
    "du_from_cu",
    "effective_share",
    "even_spacing_m",
    "explain_depth",
    "footprints",
    "grid_test",
    "gross_depth_mm",
    "guess_wind",
    "lane_uniformity",
    "lattice_uniformity",
    "leg_test",
    "minutes_for",
    "nozzle_pressure_kpa",
    "overlap_share",
    "overlapped",
    "published_losses",
    "spacing_fraction",
    "spacing_study",
    "spray_loss",
    "throw_radius_m",
    "uniformity",
    "water_within_l",
]
