"""The progress bar of long calls."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeAlias

from dibble.errors import DibbleTypeError, MissingError

Report: TypeAlias = Callable[[int, int], object]
"""Called now and then with the steps done and all steps."""

Progress: TypeAlias = bool | Report | None
"""A bar (True, needs tqdm), a function of (done, total), or nothing."""


@contextmanager
def reporting(progress: Progress, unit: str = "day") -> Iterator[Report | None]:
    """Give the function that a long call reports to."""
    if progress is None or progress is False:
        yield None
        return
    if progress is not True:
        if not callable(progress):
            message = f"progress is of class {type(progress).__name__}: True or a function of (done, total) is needed."
            raise DibbleTypeError(message, name="progress")
        yield progress
        return
    try:
        from tqdm.auto import tqdm
    except ModuleNotFoundError as error:
        message = "tqdm is not installed, and progress=True draws its bar. Install it, or give a function of (done, total)."
        raise MissingError(message, name="progress") from error
    with tqdm(unit=unit, leave=False) as bar:

        def report(done: int, total: int) -> None:
            bar.total = total or None
            bar.update(done - bar.n)

        yield report
