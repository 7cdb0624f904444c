"""From the reference to a stand: crop coefficients, evaporation from bare soil, stress, sparse young rows, mulch.

FAO-56 chapters 5 to 10. The paper's conifer row (Kcb 0.95, 10 m tall, roots 1.0 to 1.5 m) describes large forests: for
knee-high rows it is the full-cover end of `kcb_from_cover`, never the value itself. The day-to-day balances of Eq. 77-79 and
85-88 belong to the ledger, `dibble.water`.
"""

from __future__ import annotations

from dibble.et.crop.coefficient import (
    climate_adjusted,
    kc_under_plastic,
    mulch_factor,
    rh_min_from_dew,
    rh_min_from_tmin,
    stage_interpolated,
)
from dibble.et.crop.dual import (
    canopy_cover_from_kcb,
    evaporation_coefficient,
    evaporation_reduction,
    exposed_wetted_fraction,
    exposed_wetted_fraction_under_drip,
    kc_max,
    total_evaporable_mm,
)
from dibble.et.crop.initial import kc_initial
from dibble.et.crop.mixed import adjusted_for_sparse_cover, stomatal_factor, two_cover_kc, windbreak_kc
from dibble.et.crop.sparse import (
    density_coefficient,
    density_coefficient_2009,
    effective_cover_of_rows,
    effective_cover_of_trees,
    kcb_from_cover,
    kcb_from_leaf_area,
    kcb_full,
    kcb_over_ground_cover,
    noon_sun_elevation,
)
from dibble.et.crop.stress import (
    readily_available_mm,
    salt_stress,
    stress_from_yield,
    stress_onset,
    total_available_mm,
    water_stress,
    yield_under_salt,
)

__all__ = [
    "adjusted_for_sparse_cover",
    "canopy_cover_from_kcb",
    "climate_adjusted",
    "density_coefficient",
    "density_coefficient_2009",
    "effective_cover_of_rows",
    "effective_cover_of_trees",
    "evaporation_coefficient",
    "evaporation_reduction",
    "exposed_wetted_fraction",
    "exposed_wetted_fraction_under_drip",
    "kc_initial",
    "kc_max",
    "kc_under_plastic",
    "kcb_from_cover",
    "kcb_from_leaf_area",
    "kcb_full",
    "kcb_over_ground_cover",
    "mulch_factor",
    "noon_sun_elevation",
    "readily_available_mm",
    "rh_min_from_dew",
    "rh_min_from_tmin",
    "salt_stress",
    "stage_interpolated",
    "stomatal_factor",
    "stress_from_yield",
    "stress_onset",
    "total_available_mm",
    "total_evaporable_mm",
    "two_cover_kc",
    "water_stress",
    "windbreak_kc",
    "yield_under_salt",
]
