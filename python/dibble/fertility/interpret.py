"""Classes of a soil test by named tables. Tables disagree: no one of them wins, and nothing is converted silently."""

from __future__ import annotations

from dibble import _dibble
from dibble._dibble import Comparison, Interpretation, SoilTest, Tables
from dibble._types import DetectionPolicy

__all__ = ["compare_tables", "interpret"]


def interpret(test: SoilTest, table: str, *, policy: DetectionPolicy = "half", tables: Tables | None = None) -> Interpretation:
    """Read a soil test by one table. Values by another extractant get no class, and a note that says why.

    Parameters
    ----------
    test : SoilTest
        The test.
    table : str
        Key of the table, an id or `id@edition`; `Tables().index("soil")` lists them.
    policy : {"limit", "half", "zero", "leave out"}
        The number that stands for a value below detection; its effect on the class is shown.
    tables : Tables, optional
        The tables to choose from; the shipped ones if not given.

    Returns
    -------
    Interpretation
        A reading for each nutrient of the table.

    Raises
    ------
    UnknownNameError, InconsistentError
        No such table, several editions and none named, or a table that reads nothing of this test.

    References
    ----------
    The answer names the table's.

    Examples
    --------
    71 lb/acre is the upper edge of "medium" at Rutgers:

    >>> from dibble import fertility
    >>> from dibble.fertility import SoilTest
    >>> test = SoilTest(measured={"P (element)": "71 lb/acre"}, extractant="Mehlich-3")
    >>> read = fertility.interpret(test, "rutgers-levels")
    >>> read.reading("P")["class"], read.reading("P")["meaning"]
    ('medium', 'marginal')
    """
    return _dibble.interpret(test, table, policy=policy, tables=tables)


def compare_tables(
    test: SoilTest, *, crop: str | None = None, policy: DetectionPolicy = "half", tables: Tables | None = None
) -> Comparison:
    """Read a soil test by every table that holds for its extractants, side by side. Nothing is chosen.

    Parameters
    ----------
    test : SoilTest
        The test.
    crop : str, optional
        Keep the tables that were made for it or for any crop.
    policy : {"limit", "half", "zero", "leave out"}
        The number that stands for a value below detection.
    tables : Tables, optional
        The tables to read by; the shipped ones if not given.

    Returns
    -------
    Comparison
        `interpretations`, `disagreements`, and in `ask` what you have to decide.

    Examples
    --------
    100 lb P/acre by Mehlich-1 is high to one table and more than enough to the next:

    >>> from dibble import fertility
    >>> from dibble.fertility import SoilTest
    >>> test = SoilTest(measured={"P (element)": "80 lb/acre"}, extractant="Mehlich-1")
    >>> found = fertility.compare_tables(test, crop="field nursery evergreens")
    >>> [read.reading("P")["meaning"] for read in found.interpretations]
    ['enough', 'more than enough']
    """
    return _dibble.compare_tables(test, crop=crop, policy=policy, tables=tables)
