"""How fast water goes into the ground, and how to give it no faster.

Every function takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple, overload

from dibble import _dibble, _gate
from dibble._dibble import PulsePlan, Soil
from dibble._types import Floats, Number, Numbers, OnError

__all__ = [
    "Conductivity",
    "GreenAmptRow",
    "Infiltration",
    "MaximumRate",
    "PulsePlan",
    "basic_infiltration_mm_h",
    "conductivity",
    "green_ampt_row",
    "infiltrate",
    "maximum_rate_mm_h",
    "ponded_infiltration_mm",
    "ponding_time_h",
    "pulse_plan",
    "surface_storage_mm",
]


@overload
def ponding_time_h(
    *, rate_mm_h: Number, ksat_mm_h: Number, suction_mm: Number, moisture_deficit: Number, on_error: OnError = ...
) -> float: ...
@overload
def ponding_time_h(
    *, rate_mm_h: Numbers, ksat_mm_h: Numbers, suction_mm: Numbers, moisture_deficit: Numbers, on_error: OnError = ...
) -> Floats: ...
def ponding_time_h(
    *, rate_mm_h: Numbers, ksat_mm_h: Numbers, suction_mm: Numbers, moisture_deficit: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the time until water stands on the ground under a constant rate (Mein and Larson).

    Parameters
    ----------
    rate_mm_h : float or array-like
        Application rate, mm/h, 0 to 1000.
    ksat_mm_h : float or array-like
        Conductivity of the wetted soil, mm/h, 0.001 to 10,000.
    suction_mm : float or array-like
        Suction at the wetting front, mm, 1 to 5000.
    moisture_deficit : float or array-like
        Pore space still empty, m3/m3, 0 to 1.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        h; inf where the ground takes the rate for good, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Rawls, Brakensiek and Miller (1983), J. Hydraul. Eng. 109(1):62-70; Mein and Larson (1973).

    Examples
    --------
    >>> from dibble import soil
    >>> round(soil.ponding_time_h(rate_mm_h=19, ksat_mm_h=1.14, suction_mm=316.3, moisture_deficit=0.12), 3)
    0.128
    """
    return _dibble.ponding_time_h(
        rate_mm_h=rate_mm_h, ksat_mm_h=ksat_mm_h, suction_mm=suction_mm, moisture_deficit=moisture_deficit, on_error=on_error
    )


@overload
def ponded_infiltration_mm(
    *, time_h: Number, ksat_mm_h: Number, suction_mm: Number, moisture_deficit: Number, on_error: OnError = ...
) -> float: ...
@overload
def ponded_infiltration_mm(
    *, time_h: Numbers, ksat_mm_h: Numbers, suction_mm: Numbers, moisture_deficit: Numbers, on_error: OnError = ...
) -> Floats: ...
def ponded_infiltration_mm(
    *, time_h: Numbers, ksat_mm_h: Numbers, suction_mm: Numbers, moisture_deficit: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the depth that ponded ground takes in over a time (Green and Ampt).

    Parameters
    ----------
    time_h : float or array-like
        Time since ponding began, h.
    ksat_mm_h : float or array-like
        Conductivity of the wetted soil, mm/h, 0.001 to 10,000.
    suction_mm : float or array-like
        Suction at the wetting front, mm, 1 to 5000.
    moisture_deficit : float or array-like
        Pore space still empty, m3/m3, 0 to 1.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        mm, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Rawls, Brakensiek and Miller (1983), J. Hydraul. Eng. 109(1):62-70; Chow, Maidment and Mays (1988), Example 4.3.1, has
    31.7 mm (from memory).

    Examples
    --------
    >>> from dibble import soil
    >>> round(soil.ponded_infiltration_mm(time_h=1, ksat_mm_h=6.5, suction_mm=167, moisture_deficit=0.34), 1)
    31.7
    """
    return _dibble.ponded_infiltration_mm(
        time_h=time_h, ksat_mm_h=ksat_mm_h, suction_mm=suction_mm, moisture_deficit=moisture_deficit, on_error=on_error
    )


@overload
def surface_storage_mm(slope_pct: Number, *, on_error: OnError = ...) -> float: ...
@overload
def surface_storage_mm(slope_pct: Numbers, *, on_error: OnError = ...) -> Floats: ...
def surface_storage_mm(slope_pct: Numbers, *, on_error: OnError = "raise") -> float | Floats:
    """Return the depth of water that hollows of the surface hold before it begins to run. Our judgment; measure it.

    Parameters
    ----------
    slope_pct : float or array-like
        Slope, %, 0 to 100.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        mm, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Our judgment, about two fifths of what is allowed under center pivots on tilled ground (from memory).

    Examples
    --------
    >>> from dibble import soil
    >>> soil.surface_storage_mm([0, 2, 4, 8]).tolist()
    [5.0, 3.0, 2.0, 1.0]
    """
    return _dibble.surface_storage_mm(slope_pct=slope_pct, on_error=on_error)


def pulse_plan(
    *,
    depth_mm: Number,
    depletion_mm: Number,
    rate_mm_h: Number,
    ksat_mm_h: Number,
    suction_mm: Number,
    moisture_deficit: Number,
    storage_mm: Number,
    within_h: Number = 24.0,
) -> PulsePlan:
    """Return how to put a depth of water into slow ground without runoff: minutes on, minutes off, how many times.

    On until the hollows of the surface are full, off until all has soaked in, and again; recovery of the ground's intake in
    the pauses is not credited.

    Parameters
    ----------
    depth_mm : float
        Depth wanted, mm.
    depletion_mm : float
        What the root zone lacks, mm: the plan never puts on more.
    rate_mm_h : float
        Rate of the sprinkler at the place, mm/h.
    ksat_mm_h, suction_mm, moisture_deficit : float
        As for `ponding_time_h`.
    storage_mm : float
        Depth that hollows hold, mm; see `surface_storage_mm`.
    within_h : float
        Hours that may pass until the last drop has soaked in.

    Returns
    -------
    PulsePlan
        depth_mm, short_mm, limit, pulses, on_min, elapsed_h.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Rawls, Brakensiek and Miller (1983), J. Hydraul. Eng. 109(1):62-70.

    Examples
    --------
    A clay whose root zone lacks 8.6 mm, under a sprinkler of 19 mm/h:

    >>> from dibble import soil
    >>> plan = soil.pulse_plan(
    ...     depth_mm=19, depletion_mm=8.6, rate_mm_h=19, ksat_mm_h=1.14, suction_mm=316.3, moisture_deficit=0.12, storage_mm=3
    ... )
    >>> plan.limit, round(plan.depth_mm, 1), len(plan.pulses), round(plan.on_min), round(plan.elapsed_h, 1)
    ('depletion', 8.6, 1, 27, 0.8)
    """
    return _dibble.pulse_plan(
        depth_mm=depth_mm,
        depletion_mm=depletion_mm,
        rate_mm_h=rate_mm_h,
        ksat_mm_h=ksat_mm_h,
        suction_mm=suction_mm,
        moisture_deficit=moisture_deficit,
        storage_mm=storage_mm,
        within_h=within_h,
    )


class Infiltration(NamedTuple):
    """Where the water of an application went."""

    applied_mm: float
    infiltrated_mm: float
    runoff_mm: float
    standing_mm: float
    ponded_after_h: float | None
    """Hours until water first stood on the ground; None if it never did."""


def infiltrate(
    steps: Iterable[tuple[Number, Number]], *, ksat_mm_h: Number, suction_mm: Number, moisture_deficit: Number, storage_mm: Number = 0.0
) -> Infiltration:
    """Return where the water goes under rates that change in steps.

    Parameters
    ----------
    steps : iterable of (rate_mm_h, duration_h)
        The rates in order, mm/h, each with how long it lasts, h; a rate of 0 is a pause.
    ksat_mm_h, suction_mm, moisture_deficit : float
        As for `ponding_time_h`.
    storage_mm : float
        Depth that hollows hold, mm.

    Returns
    -------
    Infiltration
        applied_mm, infiltrated_mm, runoff_mm, standing_mm, ponded_after_h.

    Raises
    ------
    OutOfRangeError
        A value out of range, with its step.

    References
    ----------
    Rawls, Brakensiek and Miller (1983), J. Hydraul. Eng. 109(1):62-70; Mein and Larson (1973).

    Examples
    --------
    19 mm in one hour on a clay, by the lowest and the highest conductivity that sources give it:

    >>> from dibble import soil
    >>> clay = dict(suction_mm=316.3, moisture_deficit=0.12)
    >>> [round(soil.infiltrate([(19, 1)], ksat_mm_h=k, **clay).infiltrated_mm / 19, 2) for k in (0.3, 1.14)]
    [0.26, 0.51]
    """
    return Infiltration(
        *_dibble.infiltrate(
            _gate.rows("steps", steps, "(rate_mm_h, duration_h)", 2),
            ksat_mm_h=ksat_mm_h,
            suction_mm=suction_mm,
            moisture_deficit=moisture_deficit,
            storage_mm=storage_mm,
        )
    )


class GreenAmptRow(NamedTuple):
    """Green-Ampt parameters of a texture class."""

    porosity: float
    effective_porosity: float
    suction_mm: float
    conductivity_mm_h: float
    """Of the wetted soil: already half of the saturated one."""


def green_ampt_row(texture: str) -> GreenAmptRow:
    """Return the published Green-Ampt parameters of a texture class.

    Parameters
    ----------
    texture : str
        Texture class, "silt loam".

    Returns
    -------
    GreenAmptRow
        porosity, effective_porosity, suction_mm, conductivity_mm_h.

    Raises
    ------
    UnknownNameError
        A class that is not known.

    References
    ----------
    Rawls, Brakensiek and Miller (1983), J. Hydraul. Eng. 109(1):62-70. Porosities, and conductivities but those of loamy
    sand, sandy loam, loam and clay, from memory.

    Examples
    --------
    >>> from dibble import soil
    >>> soil.green_ampt_row("clay")
    GreenAmptRow(porosity=0.475, effective_porosity=0.385, suction_mm=316.3, conductivity_mm_h=0.3)
    """
    return GreenAmptRow(*_dibble.rawls_row(texture))


class MaximumRate(NamedTuple):
    """The highest rate that a sprinkler should apply, and how well it is known."""

    rate_mm_h: float
    from_memory: bool
    source: str


def maximum_rate_mm_h(texture: str, slope_pct: Number, *, covered: bool, compact_subsoil: bool = False) -> MaximumRate:
    """Return the highest rate that a sprinkler should apply on this ground: a cross-check on the intake equation.

    Parameters
    ----------
    texture : str
        Texture class at the surface.
    slope_pct : float
        Slope, %, 0 to 100.
    covered : bool
        Is it under grass, mulch or litter?
    compact_subsoil : bool
        Is there compact subsoil beneath?

    Returns
    -------
    MaximumRate
        rate_mm_h, from_memory, source.

    Raises
    ------
    OutOfRangeError, UnknownNameError
        A slope out of range, or a class that is not known.

    References
    ----------
    USDA maximum precipitation rates, as the `source` of the answer says.

    Examples
    --------
    >>> from dibble import soil
    >>> soil.maximum_rate_mm_h("clay", 3, covered=True).rate_mm_h / 25.4
    0.2
    """
    return MaximumRate(*_dibble.maximum_rate(texture, slope_pct, covered, compact_subsoil))


class Conductivity(NamedTuple):
    """Conductivity of the wetted soil, with the span of what may be said of it."""

    value_mm_h: float
    low_mm_h: float
    high_mm_h: float
    source: str


def conductivity(soil: Soil, measured_mm_h: Number | None = None) -> Conductivity:
    """Return the conductivity of the wetted soil, for `ponding_time_h` and the other formulas of intake.

    As measured (an infiltrometer, or hours of sprinkling without runoff), else half the soil's saturated one. Unmeasured, it lies
    between the lower of half and the texture's table value, and the saturated one.

    Parameters
    ----------
    soil : Soil
        The soil.
    measured_mm_h : float, optional
        What was measured, mm/h.

    Returns
    -------
    Conductivity
        value_mm_h, low_mm_h, high_mm_h, source.

    Raises
    ------
    OutOfRangeError
        A measured value out of range.

    References
    ----------
    Bouwer's half, as in Rawls, Brakensiek and Miller (1983), J. Hydraul. Eng. 109(1):62-70.

    Examples
    --------
    >>> from dibble import soil
    >>> clay = soil.Soil.from_texture("clay")
    >>> k = soil.conductivity(clay)
    >>> k.value_mm_h == clay.ksat_mm_h / 2, k.low_mm_h, k.high_mm_h == clay.ksat_mm_h
    (True, 0.3, True)
    >>> soil.conductivity(clay, 2).source
    'measured'
    """
    return Conductivity(*_dibble.conductivity(soil, measured_mm_h))


def basic_infiltration_mm_h(texture: str) -> tuple[float, float] | None:
    """Return the basic infiltration rate of a texture class, low and high, where the source lists it.

    Parameters
    ----------
    texture : str
        Texture class, "silt loam".

    Returns
    -------
    tuple of float or None
        Low and high, mm/h; None for a class that was not read in the source.

    Raises
    ------
    UnknownNameError
        A class that is not known.

    References
    ----------
    FAO Irrigation Water Management Training Manual, Annex 2, as quoted.

    Examples
    --------
    >>> from dibble import soil
    >>> soil.basic_infiltration_mm_h("loam")
    (10.0, 20.0)
    """
    return _dibble.basic_infiltration_mm_h(texture)
