"""Wind as a shift and a stretch of the wetted circle."""

from __future__ import annotations

from typing import NamedTuple

from dibble import _dibble
from dibble._dibble import Wind
from dibble._types import Assumed, Number

__all__ = ["GuessedWind", "Wind", "guess_wind"]


class GuessedWind(NamedTuple):
    """A guess of what wind does, and its entry for the list of assumptions."""

    wind: Wind
    assumed: Assumed


def guess_wind(wind_m_s: Number, from_deg: Number, radius_m: Number) -> GuessedWind:
    """Return a guess of what a wind does when nothing was measured.

    The circle is shifted by 0.04 of its radius and narrowed by 2 % for each m/s: our judgment, as no published factors could
    be read.

    Parameters
    ----------
    wind_m_s : float
        Wind speed, 0 to 10 m/s.
    from_deg : float
        Compass bearing that it blows from.
    radius_m : float
        Wetted radius in calm air.

    Returns
    -------
    GuessedWind
        wind, and what was taken for granted.

    Raises
    ------
    OutOfRangeError, InconsistentError
        A value out of range, or a speed above 10 m/s.

    References
    ----------
    Our judgment.

    Examples
    --------
    >>> from dibble.sprinkler import guess_wind
    >>> wind, assumed = guess_wind(3, 270, 35)  # a westerly of 7 mph
    >>> round(wind.drift_m, 2), wind.across
    (4.2, 0.94)
    """
    return GuessedWind(*_dibble.guess_wind(wind_m_s, from_deg, radius_m))
