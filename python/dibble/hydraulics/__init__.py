"""Pump, hose and nozzle: pressure loss, the duty point, suction, power and fuel, and what limits the lot.

Heads are meters of water of 1000 kg/m3 under standard gravity; pressures are above the air's.
"""

from __future__ import annotations

from dibble._dibble import KPA_PER_M, Duty, Hose, Limits, Nozzle, Pump, System
from dibble.hydraulics.duty import duty_point, limits
from dibble.hydraulics.loss import (
    darcy_loss_m,
    fitting_k,
    fitting_loss_m,
    friction_factor,
    hazen_williams_c,
    hazen_williams_loss_m,
    kinematic_viscosity_m2_s,
    multi_outlet_factor,
    velocity_m_s,
)
from dibble.hydraulics.power import (
    atmospheric_head_m,
    brake_kw,
    fuel_per_hour,
    npsh_available_m,
    practical_suction_lift_m,
    surge_kpa,
    water_kw,
    wave_speed_m_s,
)

__all__ = [
    "KPA_PER_M",
    "Duty",
    "Hose",
    "Limits",
    "Nozzle",
    "Pump",
    "System",
    "atmospheric_head_m",
    "brake_kw",
    "darcy_loss_m",
    "duty_point",
    "fitting_k",
    "fitting_loss_m",
    "friction_factor",
    "fuel_per_hour",
    "hazen_williams_c",
    "hazen_williams_loss_m",
    "kinematic_viscosity_m2_s",
    "limits",
    "multi_outlet_factor",
    "npsh_available_m",
    "practical_suction_lift_m",
    "surge_kpa",
    "velocity_m_s",
    "water_kw",
    "wave_speed_m_s",
]
