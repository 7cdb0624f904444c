"""Pump, hoses and nozzle solved together. `System` holds them when more than one question is asked."""

from __future__ import annotations

from collections.abc import Sequence

from dibble._dibble import Duty, Hose, Limits, Nozzle, Pump, System
from dibble._types import Number
from dibble.hydraulics.power import Engine

__all__ = ["duty_point", "limits"]


def duty_point(
    pump: Pump,
    hose: Hose | Sequence[Hose],
    nozzle: Nozzle,
    lift_m: Number,
    *,
    suction_lift_m: Number = 0.0,
    suction: Hose | Sequence[Hose] = (),
    elevation_m: Number = 0.0,
    water_c: Number = 15.0,
    engine: Engine | None = None,
) -> Duty:
    """Return the flow at which the pump's head is what suction, hoses, lift and nozzle take, and what follows from it.

    Parameters
    ----------
    pump : Pump
        The pump.
    hose : Hose or sequence of Hose
        From the pump to the sprinkler, in the order of the water.
    nozzle : Nozzle
        The nozzle.
    lift_m : float
        Rise from the pump to the nozzle, m; downhill is negative.
    suction_lift_m : float
        Height of the pump above the water, m.
    suction : Hose or sequence of Hose
        Suction hoses.
    elevation_m, water_c : float
        Elevation above sea level, and temperature of the water.
    engine : {"gasoline", "diesel", "propane", "electric"}, optional
        What turns the pump; gives the fuel for an hour.

    Returns
    -------
    Duty
        flow_l_min, nozzle_pressure_kpa, pump_head_m, pump_pressure_kpa, closed_pressure_kpa (at no flow), heads (m, part by part),
        velocity_m_s (of each hose), npsh_available_m, water_kw, brake_kw, fuel_per_hour (L, kWh for a motor; None without an engine),
        cautions, assumptions.

    Raises
    ------
    InfeasibleError, OutOfRangeError, SeveralError
        The pump cannot lift the water to the sprinkler (says how many meters it is short), the duty point lies beyond the end
        of its curve, or a value is out of range.

    References
    ----------
    Heads added up along the water; the root is found by bracketing.

    Examples
    --------
    >>> from dibble.hydraulics import Hose, Nozzle, Pump, duty_point
    >>> pump, hose, nozzle = Pump.from_rating(flow_l_min=300, head_m=66), Hose(152.4, 50.8), Nozzle(15.16)
    >>> duty = duty_point(pump, hose, nozzle, 3)
    >>> round(duty.flow_l_min / 3.785), round(duty.nozzle_pressure_kpa / 6.895)  # gpm, psi
    (80, 61)
    >>> duty_point(pump, hose, nozzle, 100)
    Traceback (most recent call last):
    dibble.errors.InfeasibleError: the pump cannot lift to the sprinkler: 12.0 m short. It gives 88.0 m at no flow, and the
    water must rise by 100.0 m; set the sprinkler lower, or take a pump with more head.
    """
    system = System(
        pump, hose, nozzle, lift_m, suction_lift_m=suction_lift_m, suction=suction, elevation_m=elevation_m, water_c=water_c, engine=engine
    )
    return system.duty_point()


def limits(
    pump: Pump,
    hose: Hose | Sequence[Hose],
    nozzle: Nozzle,
    lift_m: Number,
    *,
    least_pressure_kpa: Number | None = None,
    suction_lift_m: Number = 0.0,
    suction: Hose | Sequence[Hose] = (),
    elevation_m: Number = 0.0,
    water_c: Number = 15.0,
    engine: Engine | None = None,
) -> Limits:
    """Return what limits the lot, and which single change helps most; `print` it.

    Half of each hose, each hose one size wider, the nozzle a tenth wider or narrower, 3 m less lift: each is solved for its
    own duty point.

    Parameters
    ----------
    pump : Pump
        The pump.
    hose : Hose or sequence of Hose
        From the pump to the sprinkler, in the order of the water.
    nozzle : Nozzle
        The nozzle.
    lift_m : float
        Rise from the pump to the nozzle, m; downhill is negative.
    least_pressure_kpa : float, optional
        The aim is more water while the nozzle keeps this pressure; without it, more pressure.
    suction_lift_m : float
        Height of the pump above the water, m.
    suction : Hose or sequence of Hose
        Suction hoses.
    elevation_m, water_c : float
        Elevation above sea level, and temperature of the water.
    engine : {"gasoline", "diesel", "propane", "electric"}, optional
        What turns the pump; gives the fuel for an hour.

    Returns
    -------
    Limits
        duty, shares (of the head), alternatives (best first), best.

    Raises
    ------
    InfeasibleError, OutOfRangeError, SeveralError
        As `duty_point`.

    References
    ----------
    As `duty_point`.

    Examples
    --------
    >>> from dibble.hydraulics import Hose, Nozzle, Pump, limits
    >>> print(limits(Pump.from_rating(flow_l_min=300, head_m=66), Hose(152.4, 50.8), Nozzle(15.16), 3, least_pressure_kpa=345))
    hose 1 takes 19.5 of 65.3 m of head (30 %). What helps most: hose 1 of 63.5 mm in place of 50.8 mm,
    from 305 to 331 L/min and from 420 to 496 kPa at the nozzle.
    """
    system = System(
        pump, hose, nozzle, lift_m, suction_lift_m=suction_lift_m, suction=suction, elevation_m=elevation_m, water_c=water_c, engine=engine
    )
    return system.limits(least_pressure_kpa=least_pressure_kpa)
