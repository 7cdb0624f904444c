"""Spray that never reaches the ground, as a range: by climate, or by published regressions.

Every formula takes scalars or array-likes that broadcast together: scalars give a `float`, arrays an array. NaN in an array
means missing and gives NaN at its place. A scalar out of range raises; elements of arrays that are out of range raise, or
become NaN with `on_error="nan"`. Arrays of 65,536 elements or more are read in place: do not write to them during the call.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, overload

import numpy as np

from dibble import _dibble, _gate
from dibble._types import Assumed, Floats, Number, Numbers, OnError
from dibble.errors import DibbleTypeError

__all__ = ["PublishedLoss", "PublishedLosses", "SprayLoss", "effective_share", "published_losses", "spray_loss"]


class SprayLoss(NamedTuple):
    """A range of the share of water that is lost as spray."""

    low: float
    middle: float
    high: float
    assumed: Assumed


class PublishedLoss(NamedTuple):
    """What one publication says, and whether it counts in the range."""

    loss: float
    source: str
    counted: bool


class PublishedLosses(NamedTuple):
    """The range of the losses that count, and each publication."""

    low: float
    high: float
    each: list[PublishedLoss]


def spray_loss(climate: Literal["humid", "dry"]) -> SprayLoss:
    """Return what is usually lost as spray, with its entry for the list of assumptions.

    2 to 8 % in humid air, 10 to 25 % in dry air: our judgment, between Florida's measured 1.5 to 3 % and semi-arid Spain's
    14 to 23 %.

    Parameters
    ----------
    climate : {"humid", "dry"}
        The air.

    Returns
    -------
    SprayLoss
        low, middle, high (shares), and what was taken for granted.

    Raises
    ------
    UnknownNameError
        A climate that is not known.

    References
    ----------
    Our judgment.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> loss = sprinkler.spray_loss("humid")
    >>> loss.low, loss.middle, loss.high
    (0.02, 0.05, 0.08)
    """
    low, high, assumed = _dibble.spray_loss(climate)
    return SprayLoss(low, (low + high) / 2, high, assumed)


def published_losses(
    *, wind_m_s: Number, t_c: Number, rh_pct: Number, pressure_kpa: Number, nozzle_mm: Number, night: bool = False
) -> PublishedLosses:
    """Return losses by the published regressions that the data allow, and the range of those that count.

    They were fitted to small nozzles on dry plateaus, so they run high in humid country. One counts if it lies within 0 to
    40 %, which is what the trials span, and is not from memory.

    Parameters
    ----------
    wind_m_s, t_c, rh_pct : float
        Wind speed, temperature and relative humidity of the air.
    pressure_kpa, nozzle_mm : float
        Pressure at the nozzle, and its bore.
    night : bool
        Day and night have equations of their own.

    Returns
    -------
    PublishedLosses
        low, high, and each with loss, source and counted.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Playán et al. (2005), Agricultural Water Management 76:139-159, with the older equations that it lists.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> found = sprinkler.published_losses(wind_m_s=3, t_c=25, rh_pct=50, pressure_kpa=300, nozzle_mm=4.4)
    >>> round(100 * found.low), round(100 * found.high), len(found.each)
    (9, 23, 8)
    """
    if not isinstance(night, (bool, np.bool_)):
        raise DibbleTypeError(f"night is {_gate.brief(night)}: True or False is needed.", name="night")
    low, high, each = _dibble.published_losses(
        wind_m_s=wind_m_s, t_c=t_c, rh_pct=rh_pct, pressure_kpa=pressure_kpa, nozzle_mm=nozzle_mm, night=bool(night)
    )
    return PublishedLosses(low, high, [PublishedLoss(*row) for row in each])


@overload
def effective_share(*, eto_mm: Number, wind_m_s: Number, pressure_kpa: Number, nozzle_mm: Number, on_error: OnError = ...) -> float: ...
@overload
def effective_share(
    *, eto_mm: Numbers, wind_m_s: Numbers, pressure_kpa: Numbers, nozzle_mm: Numbers, on_error: OnError = ...
) -> Floats: ...
def effective_share(
    *, eto_mm: Numbers, wind_m_s: Numbers, pressure_kpa: Numbers, nozzle_mm: Numbers, on_error: OnError = "raise"
) -> float | Floats:
    """Return the share of the water that reaches the ground, by how coarse the spray is; from memory.

    For guns, whose coarse drops lose little: about 3 % where small nozzles lose 6 %.

    Parameters
    ----------
    eto_mm : float or array-like
        Reference evapotranspiration, mm/day.
    wind_m_s : float or array-like
        Wind speed, m/s.
    pressure_kpa : float or array-like
        Pressure at the nozzle, kPa.
    nozzle_mm : float or array-like
        Bore of the nozzle, mm.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        Fraction, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Keller and Bliesner (1990), from memory; the CIGR Handbook's Eq. 5.152 prints the wind term with the other sign.

    Examples
    --------
    >>> from dibble import sprinkler
    >>> round(sprinkler.effective_share(eto_mm=6, wind_m_s=12 / 3.6, pressure_kpa=413.7, nozzle_mm=15.7), 3)
    0.973
    """
    return _dibble.effective_share(eto_mm=eto_mm, wind_m_s=wind_m_s, pressure_kpa=pressure_kpa, nozzle_mm=nozzle_mm, on_error=on_error)
