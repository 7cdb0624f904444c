"""What several test files need."""

import signal
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest


@dataclass(frozen=True)
class Case:
    """One case of `tests/reference/sprinkler.toml`, which the Rust tests read too."""

    row: dict[str, Any]

    @property
    def id(self) -> str:
        return str(self.row["id"])

    @property
    def given(self) -> dict[str, Any]:
        return dict(self.row["inputs"])

    @property
    def want(self) -> dict[str, Any]:
        return dict(self.row["expected"])

    @property
    def recomputed(self) -> dict[str, Any]:
        return dict(self.row.get("recomputed", {}))

    def check(self, what: str, computed: float, want: float, within: float | None = None) -> None:
        """Fail with the source when a value is farther off than `within`, or than the case allows."""
        tolerance = self.row["tolerance"]
        within = within if within is not None else tolerance["abs"] if "abs" in tolerance else tolerance["rel"] * abs(want)
        memory = ", from memory" if self.row["provenance"] == "memory" else ""
        place = f"{self.row['source']}, {self.row.get('ref', '')}{memory}"
        assert abs(computed - want) <= within, f"{self.id}: {what} is {computed}, should be {want} within {within} ({place})"


@pytest.fixture
def ctrl_c() -> Iterator[None]:
    """Let an interrupt raise, also in a job of a script's background, where the shell has it ignored and Python minds that."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "cases(area, prefix, count): run for each case of sprinkler.toml whose id begins so")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    for mark in metafunc.definition.iter_markers("cases"):
        area, prefix, count = mark.args
        rows = tomllib.loads((Path(__file__).parents[1] / "reference/sprinkler.toml").read_text())["case"]
        found = [Case(row) for row in rows if row["area"] == area and row["id"].startswith(prefix)]
        assert len(found) == count, f"{area} {prefix}: their number is part of the claim"
        metafunc.parametrize("case", found, ids=[case.id for case in found])


def evaluated(tmin: Any, tmax: Any, ea: Any, u2: Any, rs: Any, latitude: Any, z: Any, day: Any, cn: float = 900.0, cd: float = 0.34) -> Any:
    """FAO-56 Eq. 6 with Eq. 7, 8, 11-13, 21-25, 37-40, written a second time from the paper, in NumPy."""
    mean = (tmax + tmin) / 2

    def saturation(t: Any) -> Any:
        return 0.6108 * np.exp(17.27 * t / (t + 237.3))

    es = (saturation(tmax) + saturation(tmin)) / 2
    delta = 4098 * saturation(mean) / (mean + 237.3) ** 2
    gamma = 0.665e-3 * 101.3 * ((293 - 0.0065 * z) / 293) ** 5.26
    phi = np.radians(latitude)
    dr = 1 + 0.033 * np.cos(2 * np.pi / 365 * day)
    declination = 0.409 * np.sin(2 * np.pi / 365 * day - 1.39)
    omega = np.arccos(np.clip(-np.tan(phi) * np.tan(declination), -1, 1))
    ra = 24 * 60 / np.pi * 0.0820 * dr * (omega * np.sin(phi) * np.sin(declination) + np.cos(phi) * np.cos(declination) * np.sin(omega))
    rso = (0.75 + 2e-5 * z) * ra
    rns = (1 - 0.23) * rs
    sigma = 4.903e-9
    black = sigma * ((tmax + 273.16) ** 4 + (tmin + 273.16) ** 4) / 2
    rnl = black * (0.34 - 0.14 * np.sqrt(ea)) * (1.35 * np.minimum(rs / rso, 1) - 0.35)
    return (0.408 * delta * (rns - rnl) + gamma * cn / (mean + 273) * u2 * (es - ea)) / (delta + gamma * (1 + cd * u2))


@pytest.fixture(scope="session")
def fao56_daily() -> Any:
    """Give the second evaluation of the paper's daily equation."""
    return evaluated
