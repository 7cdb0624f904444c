"""Soil tests: what the lab sheet says, checked, and what may be done with several of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import overload

from dibble import _dibble
from dibble._dibble import Exchange, SoilTest, Usability
from dibble._types import AcidityTerm, Day, DetectionPolicy, Floats, Number, Numbers, OnError, Quantity

__all__ = [
    "cec_by_summation",
    "manganese_index",
    "mean_ppm",
    "organic_nitrogen",
    "to_element",
    "usability",
    "words",
]


def words() -> dict[str, list[str]]:
    """Return the names that soil tests are written in, by kind: nutrients, extractants, units, buffers.

    Further spellings are read ("M3", "lbs/acre", "weak Bray"), in any case.

    Returns
    -------
    dict
        `nutrient`, `extractant`, `unit` and `buffer_method`, each a list.

    Examples
    --------
    >>> from dibble import fertility
    >>> fertility.words()["unit"]
    ['ppm', 'mg/dm3', 'lb/acre', 'kg/ha', 'meq/100 g', '%']
    """
    return _dibble.soil_test_words()


def to_element(nutrient: str, form: str, amount: Number) -> float:
    """Return the weight of the element in an amount of a form, in the unit of the amount.

    Parameters
    ----------
    nutrient : str
        "P", "K", "Mg", ...
    form : {"element", "oxide"}
        What the amount is an amount of.
    amount : float
        The amount, in any unit of weight.

    Returns
    -------
    float
        P = P2O5 / 2.2914, K = K2O / 1.2046, and so on.

    Raises
    ------
    UnknownNameError, InconsistentError
        A name that is not known, or an oxide that the trade does not write.

    References
    ----------
    IUPAC (2021) atomic weights.

    Examples
    --------
    >>> from dibble import fertility
    >>> round(fertility.to_element("K", "oxide", 100), 2)
    83.01
    """
    return _dibble.to_element(nutrient, form, amount)


def mean_ppm(tests: Sequence[SoilTest], nutrient: str, *, policy: DetectionPolicy = "half") -> float:
    """Return the mean of one nutrient over several tests, ppm of the element. Tests by different extractants have none.

    Parameters
    ----------
    tests : sequence of SoilTest
        The tests.
    nutrient : str
        "P", "K", ...
    policy : {"limit", "half", "zero", "leave out"}
        The number that stands for a value below detection.

    Returns
    -------
    float
        ppm of the element.

    Raises
    ------
    InconsistentError, MissingError
        More than one extractant, no test that has it, a value that the policy gives no number for.

    Examples
    --------
    >>> from dibble import fertility
    >>> from dibble.fertility import SoilTest
    >>> tests = [SoilTest(measured={"Mg": mg}, unit="ppm", extractant="Mehlich-3") for mg in (80, 100)]
    >>> fertility.mean_ppm(tests, "Mg")
    90.0
    """
    return _dibble.mean_ppm(tests, nutrient, policy=policy)


def usability(test: SoilTest, today: Day, *, planting: Day | None = None, south: bool = False) -> Usability:
    """Judge a sample by its age, depth, cores, season and what was spread before it.

    Parameters
    ----------
    test : SoilTest
        The test.
    today : datetime.date or str
        The day of asking.
    planting : datetime.date or str, optional
        The day that trees are to be planted.
    south : bool
        South of the equator?

    Returns
    -------
    Usability
        `status` and `reasons`.

    References
    ----------
    Each reason names its own.

    Examples
    --------
    >>> from dibble import fertility
    >>> from dibble.fertility import SoilTest
    >>> test = SoilTest(sampled="2023-05-01", depth_m=0.15, ph=5.6, measured={"Mg": 80}, unit="ppm", extractant="Mehlich-3")
    >>> judged = fertility.usability(test, "2027-05-01")
    >>> judged.status, judged.reasons[0]["words"]
    ('not usable', 'The sample is 4.0 years old. Sample again.')
    """
    return _dibble.usability(test, today, planting=planting, south=south)


def cec_by_summation(test: SoilTest, *, acidity: AcidityTerm, divisors: str = "exact") -> Exchange:
    """Sum up the cations on the exchange: Ca, Mg, K, Na and acidity, with base saturation.

    Parameters
    ----------
    test : SoilTest
        A test with Ca, Mg and K.
    acidity : {"Adams-Evans", "Mehlich", "SMP", "measured", "none"}
        How the acidity is found: by the lab's own buffer, as it was measured, or not counted.
    divisors : {"exact", "rounded"}
        ppm in a meq/100 g: from the atomic weights, or as labs round them (Ca 200, Mg 120, K 390, Na 230).

    Returns
    -------
    Exchange
        meq/100 g and percent.

    Raises
    ------
    MissingError, InconsistentError
        No Ca, Mg or K; no buffer pH, or one of another buffer; no measured acidity.

    References
    ----------
    Clemson Agricultural Service Laboratory; the answer names the source of its acidity term.

    Examples
    --------
    Clemson's sample: 3.83 meq/100 g, base saturation 37 %.

    >>> from dibble import fertility
    >>> from dibble.fertility import SoilTest
    >>> bases = {"Ca": 400, "Mg": 28, "K (element)": 221, "Na": 12}
    >>> test = SoilTest(buffer=7.7, buffer_method="Adams-Evans", measured=bases, unit="lb/acre", extractant="Mehlich-1")
    >>> sum_ = fertility.cec_by_summation(test, acidity="Adams-Evans", divisors="rounded")
    >>> round(sum_.cec_meq, 2), round(sum_.base_saturation_pct)
    (3.83, 37)
    """
    return _dibble.cec_by_summation(test, acidity=acidity, divisors=divisors)


def organic_nitrogen(
    *, organic_matter_pct: Number, depth_m: Quantity, bulk_density_g_cm3: Number, released_share: Number = 0.02
) -> tuple[float, float]:
    """Return the nitrogen in soil organic matter and what it may release in a year, kg/ha.

    Parameters
    ----------
    organic_matter_pct : float
        Percent by weight.
    depth_m : float or str
        Depth of the layer, m, or text, "6 in".
    bulk_density_g_cm3 : float
        Density of the layer, g/cm3.
    released_share : float
        Share that is released in a year; 0.02 is a rule from memory, and cold or wet ground releases less.

    Returns
    -------
    tuple of float
        Total and yearly release, kg/ha.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    5 % N in organic matter: Mississippi State University Extension, as quoted (2 % organic matter is 2,000 lb N/acre).

    Examples
    --------
    >>> from dibble import fertility, units
    >>> density = 2_000_000 * 0.45359237 / (4046.8564224 * 20 / 3 * 0.0254) / 1000
    >>> total, _ = fertility.organic_nitrogen(organic_matter_pct=2, depth_m=20 / 3 * 0.0254, bulk_density_g_cm3=density)
    >>> round(units.convert(total, "kg/ha", "lb/acre"))
    2000
    """
    return _dibble.organic_nitrogen(
        organic_matter_pct=organic_matter_pct, depth_m=depth_m, bulk_density_g_cm3=bulk_density_g_cm3, released_share=released_share
    )


@overload
def manganese_index(*, mn_ppm: Number, ph: Number, on_error: OnError = ...) -> float: ...
@overload
def manganese_index(*, mn_ppm: Numbers, ph: Numbers, on_error: OnError = ...) -> Floats: ...
def manganese_index(*, mn_ppm: Numbers, ph: Numbers, on_error: OnError = "raise") -> float | Floats:
    """Return the manganese availability index of Mehlich-3 manganese and pH: below 25 deficient, 100 and above high.

    Parameters
    ----------
    mn_ppm : float or array-like
        Manganese by Mehlich-3, ppm.
    ph : float or array-like
        Soil pH in water.
    on_error : {"raise", "nan"}
        For elements of arrays that are out of range.

    Returns
    -------
    float or ndarray
        101.7 + 3.75 Mn - 15.2 pH, in the broadcast shape.

    Raises
    ------
    OutOfRangeError
        A value out of range.

    References
    ----------
    Rutgers Soil Testing Laboratory, relative levels of nutrients.

    Examples
    --------
    >>> from dibble import fertility
    >>> round(fertility.manganese_index(mn_ppm=20, ph=6), 1)
    85.5
    """
    return _dibble.manganese_index(mn_ppm=mn_ppm, ph=ph, on_error=on_error)
