"""Friction in a pipe or hose: Hazen-Williams, Darcy-Weisbach with Colebrook; fittings; outlets along a lateral.

Every formula takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import Literal, TypeAlias, overload

from dibble import _dibble
from dibble._types import Floats, Number, Numbers, OnError

Fitting: TypeAlias = Literal[
    "globe_valve",
    "angle_valve",
    "gate_valve",
    "gate_valve_half_open",
    "check_valve",
    "elbow_90_flanged",
    "elbow_90",
    "elbow_45",
    "tee_run",
    "tee_branch",
    "return_bend",
]
Material: TypeAlias = Literal["lay_flat", "pvc", "polyethylene", "aluminum", "steel", "galvanized"]

__all__ = [
    "darcy_loss_m",
    "fitting_k",
    "fitting_loss_m",
    "friction_factor",
    "hazen_williams_c",
    "hazen_williams_loss_m",
    "kinematic_viscosity_m2_s",
    "multi_outlet_factor",
    "velocity_m_s",
]


@overload
def hazen_williams_loss_m(flow_l_min: Number, bore_mm: Number, length_m: Number, c: Number = ..., *, on_error: OnError = ...) -> float: ...
@overload
def hazen_williams_loss_m(
    flow_l_min: Numbers, bore_mm: Numbers, length_m: Numbers, c: Numbers = ..., *, on_error: OnError = ...
) -> Floats: ...
def hazen_williams_loss_m(
    flow_l_min: Numbers, bore_mm: Numbers, length_m: Numbers, c: Numbers = 140.0, *, on_error: OnError = "raise"
) -> float | Floats:
    """Return the head lost to friction by Hazen and Williams: 10.67 L Q^1.852 / (C^1.852 d^4.8704).

    Parameters
    ----------
    flow_l_min : float or array-like
        Flow, L/min.
    bore_mm : float or array-like
        True inner diameter, 1 to 2000 mm.
    length_m : float or array-like
        Length, m.
    c : float or array-like
        Hazen-Williams coefficient, 40 to 160; 140 for lay-flat hose at its true bore, and `hazen_williams_c` knows others.
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
    The equation in SI units; the fire service's 2 in coefficient of 8 at 100 gpm agrees within 4 %.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> loss_m = hydraulics.hazen_williams_loss_m(302.8, 50.8, 152.4)  # 80 gpm through 500 ft of 2 in: about 25 psi (common practice)
    >>> round(loss_m * hydraulics.KPA_PER_M / 6.895, 1)
    27.4
    """
    return _dibble.hazen_williams_loss_m(flow_l_min=flow_l_min, bore_mm=bore_mm, length_m=length_m, c=c, on_error=on_error)


@overload
def darcy_loss_m(
    flow_l_min: Number, bore_mm: Number, length_m: Number, roughness_mm: Number, water_c: Number = ..., *, on_error: OnError = ...
) -> float: ...
@overload
def darcy_loss_m(
    flow_l_min: Numbers, bore_mm: Numbers, length_m: Numbers, roughness_mm: Numbers, water_c: Numbers = ..., *, on_error: OnError = ...
) -> Floats: ...
def darcy_loss_m(
    flow_l_min: Numbers, bore_mm: Numbers, length_m: Numbers, roughness_mm: Numbers, water_c: Numbers = 15.0, *, on_error: OnError = "raise"
) -> float | Floats:
    """Return the head lost to friction by Darcy and Weisbach: f (L/d) v² / 2g, f by `friction_factor`.

    Parameters
    ----------
    flow_l_min : float or array-like
        Flow, L/min.
    bore_mm : float or array-like
        True inner diameter, 1 to 2000 mm.
    length_m : float or array-like
        Length, m.
    roughness_mm : float or array-like
        Roughness of the wall, 0 to 10 mm: 0.0015 for plastic, 0.046 for steel.
    water_c : float or array-like
        Temperature of the water, deg C.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        m of water, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range, or a wall rougher than 0.06 of the bore.

    References
    ----------
    Hydraulic Institute, Engineering Data Library: 8.90 ft per 100 ft at 70 gpm in 2 in schedule 40 steel.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> loss_m = hydraulics.darcy_loss_m(265, 52.5, 100, 0.0457, 15.6)
    >>> abs(loss_m - 8.90) < 0.1
    True
    """
    return _dibble.darcy_loss_m(
        flow_l_min=flow_l_min, bore_mm=bore_mm, length_m=length_m, roughness_mm=roughness_mm, water_c=water_c, on_error=on_error
    )


@overload
def friction_factor(reynolds: Number, relative_roughness: Number, *, on_error: OnError = ...) -> float: ...
@overload
def friction_factor(reynolds: Numbers, relative_roughness: Numbers, *, on_error: OnError = ...) -> Floats: ...
def friction_factor(reynolds: Numbers, relative_roughness: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the friction factor of Darcy and Weisbach: Colebrook and White's from a Reynolds number of 4000 on, 64/Re up to 2000.

    1/√f = -2 log10(ε/(3.7 d) + 2.51/(Re √f)), solved to 1e-12; a straight line between the two.

    Parameters
    ----------
    reynolds : float or array-like
        Reynolds number, up to 1e9.
    relative_roughness : float or array-like
        Roughness over bore, 0 to 0.06.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        In the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Colebrook (1939); Moody's chart.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> round(hydraulics.friction_factor(6e4, 0.0023), 4)
    0.0268
    """
    return _dibble.friction_factor(reynolds=reynolds, relative_roughness=relative_roughness, on_error=on_error)


@overload
def kinematic_viscosity_m2_s(water_c: Number, *, on_error: OnError = ...) -> float: ...
@overload
def kinematic_viscosity_m2_s(water_c: Numbers, *, on_error: OnError = ...) -> Floats: ...
def kinematic_viscosity_m2_s(water_c: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the kinematic viscosity of water, within 2 % between 0 and 50 deg C.

    Parameters
    ----------
    water_c : float or array-like
        Temperature of the water, deg C.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        m2/s, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Vogel's form, coefficients from memory.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> round(hydraulics.kinematic_viscosity_m2_s(20) * 1e6, 2)  # any handbook
    1.0
    """
    return _dibble.kinematic_viscosity_m2_s(water_c=water_c, on_error=on_error)


@overload
def velocity_m_s(flow_l_min: Number, bore_mm: Number, *, on_error: OnError = ...) -> float: ...
@overload
def velocity_m_s(flow_l_min: Numbers, bore_mm: Numbers, *, on_error: OnError = ...) -> Floats: ...
def velocity_m_s(flow_l_min: Numbers, bore_mm: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the mean speed in a full pipe.

    Parameters
    ----------
    flow_l_min : float or array-like
        Flow, L/min.
    bore_mm : float or array-like
        True inner diameter, 1 to 2000 mm.
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
    Definition.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> round(hydraulics.velocity_m_s(302.8, 50.8) / 0.3048, 1)  # ft/s; 5 is usual at the most
    8.2
    """
    return _dibble.velocity_m_s(flow_l_min=flow_l_min, bore_mm=bore_mm, on_error=on_error)


@overload
def fitting_loss_m(k: Number, flow_l_min: Number, bore_mm: Number, *, on_error: OnError = ...) -> float: ...
@overload
def fitting_loss_m(k: Numbers, flow_l_min: Numbers, bore_mm: Numbers, *, on_error: OnError = ...) -> Floats: ...
def fitting_loss_m(k: Numbers, flow_l_min: Numbers, bore_mm: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the head lost in fittings: K v² / 2g.

    Parameters
    ----------
    k : float or array-like
        Loss coefficients of the fittings, added up, 0 to 1000.
    flow_l_min : float or array-like
        Flow, L/min.
    bore_mm : float or array-like
        True inner diameter, 1 to 2000 mm.
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
    >>> k = hydraulics.fitting_k("gate_valve") + 2 * hydraulics.fitting_k("elbow_90")
    >>> round(hydraulics.fitting_loss_m(k, 302.8, 50.8), 2)
    1.0
    """
    return _dibble.fitting_loss_m(k=k, flow_l_min=flow_l_min, bore_mm=bore_mm, on_error=on_error)


def fitting_k(fitting: Fitting) -> float:
    """Return the usual loss coefficient of a fitting or valve: velocity heads lost. Real ones stray by 20 to 50 %.

    Parameters
    ----------
    fitting : str
        "globe_valve", "angle_valve", "gate_valve", "gate_valve_half_open", "check_valve", "elbow_90_flanged", "elbow_90",
        "elbow_45", "tee_run", "tee_branch", "return_bend".

    Returns
    -------
    float
        K.

    Raises
    ------
    UnknownNameError
        A fitting that is not known.

    References
    ----------
    A table of minor loss coefficients for fluid mechanics; the Hydraulic Institute warns of 20 to 50 % either way.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> hydraulics.fitting_k("globe_valve")
    10.0
    """
    return _dibble.fitting_k(fitting)


def hazen_williams_c(material: Material) -> float:
    """Return the usual Hazen-Williams coefficient of a material.

    Parameters
    ----------
    material : {"lay_flat", "pvc", "polyethylene", "aluminum", "steel", "galvanized"}
        What the pipe is made of.

    Returns
    -------
    float
        C.

    Raises
    ------
    UnknownNameError
        A material that is not known.

    References
    ----------
    Tables of Hazen-Williams coefficients; lay-flat stands in none, and 140 fits the fire service's 2 in coefficient within 4 %.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> hydraulics.hazen_williams_c("pvc")
    150.0
    """
    return _dibble.hazen_williams_c(material)


def multi_outlet_factor(outlets: int) -> float:
    """Return the friction of a lateral with equal outlets over that of the same pipe with all its flow to the end.

    F = Σ (k/n)^1.852 / n for k = 1 to n, the first outlet one space from the inlet.

    Parameters
    ----------
    outlets : int
        1 to 10,000.

    Returns
    -------
    float
        F.

    Raises
    ------
    OutOfRangeError
        No outlets, or too many.

    References
    ----------
    Christiansen (1942); tables print 0.402 for ten outlets.

    Examples
    --------
    >>> from dibble import hydraulics
    >>> round(hydraulics.multi_outlet_factor(10), 4)
    0.4022
    """
    return _dibble.multi_outlet_factor(outlets)
