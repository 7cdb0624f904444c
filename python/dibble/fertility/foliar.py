"""Needle tests, and pale trees."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from dibble import _dibble, _gate
from dibble._dibble import FoliarComparison, FoliarReading, FoliarTest, Interpretation, PaleDiagnosis, Tables
from dibble._types import Number

__all__ = [
    "PairLine",
    "compare_foliar",
    "compare_pair",
    "interpret_foliar",
    "measured_signs",
    "pale_signs",
    "rank_pale",
]


class PairLine(NamedTuple):
    """An element in good and in bad trees."""

    nutrient: str
    good_pct: float
    """Percent of dry weight."""
    bad_pct: float
    """Percent of dry weight."""
    ratio: float
    """Bad over good."""


def interpret_foliar(test: FoliarTest, table: str, *, tables: Tables | None = None) -> FoliarReading:
    """Read a needle test by one table, and say where the sample and the table do not fit.

    Parameters
    ----------
    test : FoliarTest
        The test.
    table : str
        Key of the table; `Tables().index("foliar")` lists them.
    tables : Tables, optional
        The tables to choose from; the shipped ones if not given.

    Returns
    -------
    FoliarReading
        `lines` and `mismatches`.

    Raises
    ------
    UnknownNameError, InconsistentError
        No such table, or several editions and none named.

    References
    ----------
    The answer names the table's.

    Examples
    --------
    The standard for balsam fir is 1.67 to 2.00 % N:

    >>> from dibble import fertility
    >>> from dibble.fertility import FoliarTest
    >>> read = fertility.interpret_foliar(FoliarTest("balsam fir", {"N": 1.5}), "balsam-fir-new-brunswick")
    >>> read.lines[0]["standing"], read.mismatches[-1]
    ('below', 'the day of sampling is not given')
    """
    return _dibble.interpret_foliar(test, table, tables=tables)


def compare_foliar(test: FoliarTest, *, tables: Tables | None = None) -> FoliarComparison:
    """Read a needle test by every table of its species, or by those for conifers in general where there is none.

    Parameters
    ----------
    test : FoliarTest
        The test.
    tables : Tables, optional
        The tables to read by; the shipped ones if not given.

    Returns
    -------
    FoliarComparison
        `readings`, `disagreements`, and in `ask` what you have to decide.

    Examples
    --------
    >>> from dibble import fertility
    >>> from dibble.fertility import FoliarTest
    >>> found = fertility.compare_foliar(FoliarTest("balsam fir", {"N": 1.5}))
    >>> [read.table for read in found.readings]
    ['balsam-fir-new-brunswick@thesis record']
    """
    return _dibble.compare_foliar(test, tables=tables)


def compare_pair(good: FoliarTest, bad: FoliarTest) -> list[PairLine]:
    """Hold the needles of bad trees against those of good ones of the same field; what falls short most comes first.

    Parameters
    ----------
    good, bad : FoliarTest
        Two samples of one species.

    Returns
    -------
    list of PairLine
        Elements that both samples have.

    Raises
    ------
    InconsistentError, MissingError
        Two species, or no element that both have.

    Examples
    --------
    >>> from dibble import fertility
    >>> from dibble.fertility import FoliarTest
    >>> good, bad = FoliarTest("Fraser fir", {"N": 2.0, "Mg": 0.10}), FoliarTest("Fraser fir", {"N": 1.8, "Mg": 0.05})
    >>> fertility.compare_pair(good, bad)[0]
    PairLine(nutrient='Mg', good_pct=0.1, bad_pct=0.05, ratio=0.5)
    """
    return [PairLine(*line) for line in _dibble.compare_pair(good, bad)]


def pale_signs() -> list[str]:
    """Return the signs that `rank_pale` knows: what is seen on the trees and in the field, and what tests show.

    Returns
    -------
    list of str
        In words.

    Examples
    --------
    >>> from dibble import fertility
    >>> fertility.pale_signs()[:3]
    ['older needles first', 'new needles first', 'even pale green']
    """
    return _dibble.pale_signs()


def measured_signs(
    *,
    ph: Number | None = None,
    species: str | None = None,
    ph_table: str | None = None,
    needles: FoliarReading | None = None,
    soil: Interpretation | None = None,
    tables: Tables | None = None,
) -> list[str]:
    """Return the signs that tests show: the pH against a target, needles against a table, the soil against its classes.

    Parameters
    ----------
    ph : float, optional
        Soil pH in water; needs `species`.
    species : str, optional
        Species, in English.
    ph_table : str, optional
        Key of the table of pH targets; may be left out where all sources agree.
    needles : FoliarReading, optional
        A needle test read by a table.
    soil : Interpretation, optional
        A soil test read by a table.
    tables : Tables, optional
        The tables of pH targets; the shipped ones if not given.

    Returns
    -------
    list of str
        Signs for `rank_pale`.

    Raises
    ------
    MissingError, UnknownNameError, OutOfRangeError
        A pH without species, sources that differ and none named, a pH out of range.

    Examples
    --------
    >>> from dibble import fertility
    >>> fertility.measured_signs(ph=6.8, species="Fraser fir", ph_table="msu-soil-ph")
    ['pH above the range']
    """
    return _dibble.measured_signs(ph=ph, species=species, ph_table=ph_table, needles=needles, soil=soil, tables=tables)


def rank_pale(signs: Sequence[str]) -> PaleDiagnosis:
    """Rank the causes of pale trees by the signs seen and measured.

    The order is a place to begin looking, not a finding: each cause carries the test that would tell it from the others,
    and many are not cured by fertilizer.

    Parameters
    ----------
    signs : sequence of str
        From `pale_signs` and `measured_signs`.

    Returns
    -------
    PaleDiagnosis
        `causes`, the likeliest first.

    Raises
    ------
    UnknownNameError, InconsistentError, SeveralError
        A sign that is not known, one given twice, two that exclude each other.

    References
    ----------
    Each cause's own; the weights are our judgment.

    Examples
    --------
    >>> from dibble import fertility
    >>> found = fertility.rank_pale(["yellow tips", "knolls or sand", "pH within the range"])
    >>> found.causes[0]["id"], found.causes[0]["cured_by_fertilizer"]
    ('magnesium', True)
    """
    return _dibble.rank_pale(_gate.texts("signs", signs))
