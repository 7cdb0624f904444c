"""The exceptions of dibble, one class for each thing that a caller handles differently.

All are `DibbleError`, which is a `ValueError`. Each says what was asked, which value, its unit, what is permitted and
what to do; the same facts stand in its attributes, and it survives pickling.
"""

from __future__ import annotations

from typing import Any

__all__ = [
    "CancelledError",
    "DibbleError",
    "DibbleTypeError",
    "FileError",
    "InconsistentError",
    "InfeasibleError",
    "InternalError",
    "MissingError",
    "OutOfRangeError",
    "SeveralError",
    "UnknownNameError",
    "UnreadableError",
    "WorkLimitError",
]


class DibbleError(ValueError):
    """A call was refused.

    Attributes
    ----------
    name : str or None
        The quantity or thing the error is about.
    value : float or str or None
        The refused number or text.
    unit : str or None
        Unit of the number, empty for fractions and counts.
    index : int or None
        First faulty element of an array argument, counted in C order over the broadcast shape.
    row : int or None
        Row of a table, counted from 0.
    place : str or None
        Where it was found, for instance a file and line.
    problems : tuple of DibbleError
        All problems when several were found at once, else empty.
    """

    def __init__(
        self,
        message: str = "",
        *,
        name: str | None = None,
        value: float | str | None = None,
        unit: str | None = None,
        index: int | None = None,
        row: int | None = None,
        place: str | None = None,
        problems: tuple[DibbleError, ...] = (),
    ) -> None:
        super().__init__(message)
        self.name = name
        self.value = value
        self.unit = unit
        self.index = index
        self.row = row
        self.place = place
        self.problems = problems

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (str(self),), dict(vars(self))


class OutOfRangeError(DibbleError):
    """A number outside its permitted range, or one that is not finite."""


class MissingError(DibbleError):
    """Something that was needed was not given."""


class UnknownNameError(DibbleError):
    """A name outside a closed list; the nearest known names are in the message."""


class UnreadableError(DibbleError):
    """Text that does not parse."""


class InconsistentError(DibbleError):
    """Values that are possible one by one and impossible together."""


class InfeasibleError(DibbleError):
    """A question without an answer: the message says what would have to give."""


class CancelledError(DibbleError):
    """Stopped on request."""


class WorkLimitError(DibbleError):
    """The limit on work was reached before the end."""


class FileError(DibbleError):
    """A file could not be read or written."""


class InternalError(DibbleError):
    """A fault of dibble or of a library under it, caught before it reached the caller."""


class SeveralError(DibbleError):
    """Several problems at once; `problems` lists them."""


class DibbleTypeError(DibbleError, TypeError):
    """An argument of a kind that cannot be used: complex, text, masked, unaligned, a date with a time."""


def _from_core(kind: str, message: str, facts: dict[str, Any]) -> DibbleError:
    """Build the exception for an error of the core; called by the extension module."""
    return _KINDS.get(kind, DibbleError)(message, **facts)


_KINDS: dict[str, type[DibbleError]] = {
    "out_of_range": OutOfRangeError,
    "missing": MissingError,
    "unknown": UnknownNameError,
    "unreadable": UnreadableError,
    "inconsistent": InconsistentError,
    "infeasible": InfeasibleError,
    "cancelled": CancelledError,
    "limit": WorkLimitError,
    "file": FileError,
    "internal": InternalError,
    "several": SeveralError,
    "type": DibbleTypeError,
}
