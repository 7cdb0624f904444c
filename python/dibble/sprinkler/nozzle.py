"""What a nozzle lets through, and how far it throws.

Every formula takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import NamedTuple, overload

from dibble import _dibble
from dibble._dibble import Nozzle
from dibble._types import Assumed, Floats, Number, Numbers, OnError

__all__ = ["Nozzle", "ThrowRadius", "discharge_l_min", "nozzle_pressure_kpa", "throw_radius_m"]


class ThrowRadius(NamedTuple):
    """An estimate of the wetted radius."""

    radius_m: float
    assumed: Assumed


@overload
def discharge_l_min(nozzle_mm: Number, pressure_kpa: Number, coefficient: Number = ..., *, on_error: OnError = ...) -> float: ...
@overload
def discharge_l_min(nozzle_mm: Numbers, pressure_kpa: Numbers, coefficient: Numbers = ..., *, on_error: OnError = ...) -> Floats: ...
def discharge_l_min(
    nozzle_mm: Numbers, pressure_kpa: Numbers, coefficient: Numbers = 0.97, *, on_error: OnError = "raise"
) -> float | Floats:
    """Return the discharge of a nozzle: C (π/4) d² √(2 P / ρ).

    Parameters
    ----------
    nozzle_mm : float or array-like
        Bore, 0.5 to 100 mm.
    pressure_kpa : float or array-like
        Pressure at its foot, 0 to 5000 kPa.
    coefficient : float or array-like
        Discharge coefficient, 0.5 to 1; 0.97 is the taper bore of guns, and `Nozzle.of_kind` knows others.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        L/min, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Hydraulic Institute, Engineering Data Library, Table 3.D.1: 13.3 gpm from an ideal 0.375 in nozzle at 10 psi.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> flow = sprinkler.discharge_l_min(0.375 * 25.4, 10 * 6.894757, coefficient=1)
    >>> round(flow / 3.785412, 1)
    13.3
    """
    return _dibble.discharge_l_min(nozzle_mm=nozzle_mm, pressure_kpa=pressure_kpa, coefficient=coefficient, on_error=on_error)


@overload
def nozzle_pressure_kpa(nozzle_mm: Number, flow_l_min: Number, coefficient: Number = ..., *, on_error: OnError = ...) -> float: ...
@overload
def nozzle_pressure_kpa(nozzle_mm: Numbers, flow_l_min: Numbers, coefficient: Numbers = ..., *, on_error: OnError = ...) -> Floats: ...
def nozzle_pressure_kpa(
    nozzle_mm: Numbers, flow_l_min: Numbers, coefficient: Numbers = 0.97, *, on_error: OnError = "raise"
) -> float | Floats:
    """Return the pressure at the foot of a nozzle that passes a flow: `discharge_l_min` turned round.

    Parameters
    ----------
    nozzle_mm : float or array-like
        Bore, 0.5 to 100 mm.
    flow_l_min : float or array-like
        Flow, L/min.
    coefficient : float or array-like
        Discharge coefficient, 0.5 to 1; 0.97 is the taper bore of guns, and `Nozzle.of_kind` knows others.
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
    As `discharge_l_min`.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> pressure = sprinkler.nozzle_pressure_kpa(15.24, 302.8)  # 80 gpm through 0.6 in: about 60 psi (common practice)
    >>> round(pressure / 6.895)
    59
    """
    return _dibble.nozzle_pressure_kpa(nozzle_mm=nozzle_mm, flow_l_min=flow_l_min, coefficient=coefficient, on_error=on_error)


def throw_radius_m(nozzle: Nozzle, pressure_kpa: Number) -> ThrowRadius:
    """Return a low estimate of the wetted radius, 1.35 √(d h), with its entry for the list of assumptions.

    From memory, and 4 to 13 % below what gun tables (from memory as well) print: measure the radius, or read it from the
    maker's chart.

    Parameters
    ----------
    nozzle : Nozzle
        The nozzle.
    pressure_kpa : float
        Pressure at its foot, 0 to 5000 kPa.

    Returns
    -------
    ThrowRadius
        radius_m, and what was taken for granted.

    Raises
    ------
    OutOfRangeError
        Pressure out of range.

    References
    ----------
    From memory.

    Examples
    --------
    >>> from dibble.sprinkler import Nozzle, throw_radius_m
    >>> round(throw_radius_m(Nozzle(25.4), 413.7).radius_m, 1)  # 290 ft across; gun tables have 325 ft
    44.2
    """
    return ThrowRadius(*_dibble.throw_radius_m(nozzle, pressure_kpa))
