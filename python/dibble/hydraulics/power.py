"""Suction, power and fuel, and what a sudden stop does.

Every formula takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import Literal, TypeAlias, overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

Engine: TypeAlias = Literal["gasoline", "diesel", "propane", "electric"]

__all__ = [
    "atmospheric_head_m",
    "brake_kw",
    "fuel_per_hour",
    "npsh_available_m",
    "practical_suction_lift_m",
    "surge_kpa",
    "water_kw",
    "wave_speed_m_s",
]


@overload
def atmospheric_head_m(elevation_m: Number, *, on_error: OnError = ...) -> float: ...
@overload
def atmospheric_head_m(elevation_m: Numbers, *, on_error: OnError = ...) -> Floats: ...
def atmospheric_head_m(elevation_m: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the pressure of the air as head of water: less by about 1.2 m for each 1000 m of elevation.

    Parameters
    ----------
    elevation_m : float or array-like
        Elevation above sea level, m.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        m of water, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Standard atmosphere (ISO 2533).

    Examples
    --------
    >>> from dibble import hydraulics
    >>> head_ft = hydraulics.atmospheric_head_m(3960 * 0.3048) / 0.3048  # a table of suction head prints 29.24 ft
    >>> abs(head_ft - 29.24) < 0.2
    True
    """
    return _dibble.atmospheric_head_m(elevation_m=elevation_m, on_error=on_error)


@overload
def npsh_available_m(
    *, elevation_m: Number, water_c: Number, suction_lift_m: Number, suction_loss_m: Number, on_error: OnError = ...
) -> float: ...
@overload
def npsh_available_m(
    *, elevation_m: Numbers, water_c: Numbers, suction_lift_m: Numbers, suction_loss_m: Numbers, on_error: OnError = ...
) -> Floats: ...
def npsh_available_m(
    *, elevation_m: Numbers, water_c: Numbers, suction_lift_m: Numbers, suction_loss_m: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the net positive suction head that is there; the pump cavitates when it needs more.

    The air's head less that of the water's vapor, the lift and the loss.

    Parameters
    ----------
    elevation_m : float or array-like
        Elevation above sea level, m.
    water_c : float or array-like
        Temperature of the water, deg C.
    suction_lift_m : float or array-like
        Height of the pump above the water, m; below it is negative.
    suction_loss_m : float or array-like
        Head lost in the suction hose, m.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        m of water, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> npsh = hydraulics.npsh_available_m(elevation_m=609.6, water_c=15.56, suction_lift_m=3.658, suction_loss_m=0.914)
    >>> round(npsh / 0.3048, 1)  # ft
    15.9
    """
    return _dibble.npsh_available_m(
        elevation_m=elevation_m, water_c=water_c, suction_lift_m=suction_lift_m, suction_loss_m=suction_loss_m, on_error=on_error
    )


@overload
def practical_suction_lift_m(elevation_m: Number, water_c: Number = ..., *, on_error: OnError = ...) -> float: ...
@overload
def practical_suction_lift_m(elevation_m: Numbers, water_c: Numbers = ..., *, on_error: OnError = ...) -> Floats: ...
def practical_suction_lift_m(elevation_m: Numbers, water_c: Numbers = 15.0, *, on_error: OnError = "raise") -> float | Floats:
    """Return the highest suction lift that is practical: 6.7 m (22 ft) at sea level, less on high ground and in warm water.

    Plan on 4.6 m (15 ft; common practice): hose, fittings and leaks take the rest.

    Parameters
    ----------
    elevation_m : float or array-like
        Elevation above sea level, m.
    water_c : float or array-like
        Temperature of the water, deg C.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        m, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    A table of suction head against altitude, interpolated.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> round(hydraulics.practical_suction_lift_m(1320 * 0.3048) / 0.3048, 1)  # as printed
    21.0
    """
    return _dibble.practical_suction_lift_m(elevation_m=elevation_m, water_c=water_c, on_error=on_error)


@overload
def water_kw(flow_l_min: Number, head_m: Number, *, on_error: OnError = ...) -> float: ...
@overload
def water_kw(flow_l_min: Numbers, head_m: Numbers, *, on_error: OnError = ...) -> Floats: ...
def water_kw(flow_l_min: Numbers, head_m: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the power of the water that leaves a pump: ρ g Q H.

    Parameters
    ----------
    flow_l_min : float or array-like
        Flow, L/min.
    head_m : float or array-like
        Head, m.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kW, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    The trade's gpm x ft / 3960 (Hydraulic Institute) has 0.1 % less, from a round number.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> kw = hydraulics.water_kw(100 * 3.785412, 231 * 0.3048)  # 100 gpm by 231 ft
    >>> round(kw / 0.7457, 2)  # hp
    5.84
    """
    return _dibble.water_kw(flow_l_min=flow_l_min, head_m=head_m, on_error=on_error)


@overload
def brake_kw(water_kw: Number, efficiency: Number, *, on_error: OnError = ...) -> float: ...
@overload
def brake_kw(water_kw: Numbers, efficiency: Numbers, *, on_error: OnError = ...) -> Floats: ...
def brake_kw(water_kw: Numbers, efficiency: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the shaft power for a power of the water.

    Parameters
    ----------
    water_kw : float or array-like
        Power of the water, kW.
    efficiency : float or array-like
        Of the pump, 0.05 to 1.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kW, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> round(hydraulics.brake_kw(3.3, 0.55), 2)
    6.0
    """
    return _dibble.brake_kw(water_kw=water_kw, efficiency=efficiency, on_error=on_error)


@overload
def fuel_per_hour(brake_kw: Number, engine: Engine, *, on_error: OnError = ...) -> float: ...
@overload
def fuel_per_hour(brake_kw: Numbers, engine: Engine, *, on_error: OnError = ...) -> Floats: ...
def fuel_per_hour(brake_kw: Numbers, engine: Engine, *, on_error: OnError = "raise") -> float | Floats:
    """Return the fuel for an hour at a shaft power.

    Parameters
    ----------
    brake_kw : float or array-like
        Shaft power, kW.
    engine : {"gasoline", "diesel", "propane", "electric"}
        What turns the pump. Small and worn engines take more.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        L, or kWh for a motor, in the broadcast shape.

    Raises
    ------
    OutOfRangeError, UnknownNameError
        Power out of range, or an engine that is not known.

    References
    ----------
    Purdue Extension AE-111, Table 1 (from Nebraska's tests): 11.3 hp-h per gallon of gasoline.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> liters = hydraulics.fuel_per_hour(8.2 * 0.7457, "gasoline")
    >>> round(liters / 3.785412, 2)  # gal
    0.73
    """
    return _dibble.fuel_per_hour(brake_kw=brake_kw, engine=engine, on_error=on_error)


@overload
def wave_speed_m_s(modulus_gpa: Number, bore_over_wall: Number, *, on_error: OnError = ...) -> float: ...
@overload
def wave_speed_m_s(modulus_gpa: Numbers, bore_over_wall: Numbers, *, on_error: OnError = ...) -> Floats: ...
def wave_speed_m_s(modulus_gpa: Numbers, bore_over_wall: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the speed of a pressure wave in a pipe full of water, without air in it.

    Parameters
    ----------
    modulus_gpa : float or array-like
        Young's modulus of the wall, GPa: steel 207, PVC 2.8, polyethylene 0.8.
    bore_over_wall : float or array-like
        Inner diameter over thickness of the wall.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        m/s, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Korteweg (1878).

    Examples
    --------
    >>> from dibble import hydraulics
    >>> round(hydraulics.wave_speed_m_s(2.76, 20), 1)  # PVC
    360.5
    """
    return _dibble.wave_speed_m_s(modulus_gpa=modulus_gpa, bore_over_wall=bore_over_wall, on_error=on_error)


@overload
def surge_kpa(velocity_m_s: Number, wave_m_s: Number, *, on_error: OnError = ...) -> float: ...
@overload
def surge_kpa(velocity_m_s: Numbers, wave_m_s: Numbers, *, on_error: OnError = ...) -> Floats: ...
def surge_kpa(velocity_m_s: Numbers, wave_m_s: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the rise of pressure when water is stopped at once, as by a valve that is slammed.

    Parameters
    ----------
    velocity_m_s : float or array-like
        Speed of the water, m/s; `velocity_m_s` has it.
    wave_m_s : float or array-like
        Speed of the pressure wave, m/s; `wave_speed_m_s` has it.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        kPa, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Joukowsky (1898).

    Examples
    --------
    >>> from dibble import hydraulics
    >>> hydraulics.surge_kpa(2.5, 360)
    900.0
    """
    return _dibble.surge_kpa(velocity_m_s=velocity_m_s, wave_m_s=wave_m_s, on_error=on_error)
