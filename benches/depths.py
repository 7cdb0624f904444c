"""Depth at trees from many sets of a sprinkler, beside NumPy broadcasting; see `compare.py` for how it is measured.

.venv/bin/python benches/depths.py
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from compare import compare, peak_bytes

from dibble.sprinkler import Sprinkler, apply

RADIUS_M, FLOW_L_MIN = 34.0, 303.0


def main() -> None:
    """Print memory from a process of its own, then the comparisons; in between a call that leaves the process with pages.

    NumPy's tables of all by all are new pages from the system in each call, unless larger ones were given back before.
    """
    gun = Sprinkler(flow_l_min=FLOW_L_MIN, radius_m=RADIUS_M)
    if sys.argv[1:] == ["memory"]:
        memory(gun)
        million(gun)
        return
    subprocess.run([sys.executable, __file__, "memory"], check=True)
    depths(gun, "5,000 trees at random", trees(5000))
    depths(gun, "1 ha raster at 0.5 m", raster())
    depths(gun, "5,000 trees at random, pages at hand,", trees(5000))


def depths(gun: Sprinkler, title: str, points: Any) -> None:
    """Compare depths from 60 sets."""
    sets, minutes = stands(60)
    calls: dict[str, Callable[[], Any]] = {
        "dibble": lambda: apply(gun, sets, points, minutes, n_threads=1),
        "NumPy": lambda: broadcast(sets, points, minutes),
        "by set": lambda: set_by_set(sets, points, minutes),
    }
    compare(f"{title} from 60 sets", len(points) * len(sets), "a tree and set", calls, lambda depth: {"depth": depth})


def trees(count: int) -> Any:
    """Give trees at random over a hectare."""
    return np.random.default_rng(1).uniform(0, 100, (count, 2))


def raster() -> Any:
    """Give the middles of half-meter squares of a hectare."""
    x, y = np.meshgrid(np.arange(0.25, 100, 0.5), np.arange(0.25, 100, 0.5))
    return np.column_stack([x.ravel(), y.ravel()])


def stands(count: int) -> tuple[Any, Any]:
    """Give positions over the hectare, and minutes."""
    random = np.random.default_rng(2)
    return random.uniform(0, 100, (count, 2)), random.uniform(20, 90, count)


def height_mm_min() -> float:
    """Rate at the foot of a cone: three times its mean."""
    return 3 * FLOW_L_MIN / (np.pi * RADIUS_M**2)


def broadcast(sets: Any, points: Any, minutes: Any) -> Any:
    """All trees by all sets at once."""
    dx = points[:, :1] - sets[:, 0]
    dy = points[:, 1:] - sets[:, 1]
    return np.maximum(1 - np.sqrt(dx * dx + dy * dy) / RADIUS_M, 0) @ (minutes * height_mm_min())


def set_by_set(sets: Any, points: Any, minutes: Any) -> Any:
    """One set after the other, which stays in the cache."""
    x, y = np.ascontiguousarray(points.T)
    depth = np.zeros(len(points))
    for (east, north), time_min in zip(sets, minutes, strict=True):
        dx, dy = x - east, y - north
        depth += np.maximum(1 - np.sqrt(dx * dx + dy * dy) / RADIUS_M, 0) * (time_min * height_mm_min())
    return depth


def memory(gun: Sprinkler) -> None:
    """Print by how much more sets raise the peak of the process."""
    points = raster()
    for count in (60, 6000):
        sets, minutes = stands(count)
        before = peak_bytes()
        apply(gun, sets, points, minutes, n_threads=1)
        print(f"40,000 points from {count} sets: the peak rises by {(peak_bytes() - before) / 1e6:.1f} MB")


def million(gun: Sprinkler) -> None:
    """Print time and peak for a million trees."""
    points, (sets, minutes) = trees(1_000_000), stands(60)
    before, begin = peak_bytes(), time.perf_counter()
    apply(gun, sets, points, minutes, n_threads=1)
    spent = time.perf_counter() - begin
    print(f"1,000,000 trees from 60 sets: {spent:.2f} s, the peak rises by {(peak_bytes() - before) / 1e6:.0f} MB", end=" ")
    print(f"to {peak_bytes() / 1e6:.0f} MB")


if __name__ == "__main__":
    main()
