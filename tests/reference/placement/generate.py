"""What SciPy's integer solver (HiGHS) finds in 60 s on 20 seeded fields: writes highs.toml beside this file.

The fields are drawn by a copy of `num::random::Stream` and by the same floating-point operations as in
tests/placement_reference.rs, so that both sides have the same trees and positions. Rates, water beside the block and the
model itself are written anew here. Run: python generate.py [first [last]]
"""

import math
import sys
import time
from pathlib import Path

import numpy as np
import scipy
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import bmat, csr_matrix, identity

FIELDS, SECONDS, SEED = 20, 60.0, 2026
LONGEST_MIN, SPRAY_LOSS, SHORT_MIN_PER_MM, WASTE_MIN_PER_M3 = 240.0, 0.05, 100.0, 3.0
M64, M128 = (1 << 64) - 1, (1 << 128) - 1


def mixed(state: int) -> tuple[int, int]:
    state = (state + 0x9E3779B97F4A7C15) & M64
    z = ((state ^ (state >> 30)) * 0xBF58476D1CE4E5B9) & M64
    z = ((z ^ (z >> 27)) * 0x94D049BB133111EB) & M64
    return state, z ^ (z >> 31)


class Stream:
    """PCG XSL RR 128/64, state and sequence by SplitMix64."""

    def __init__(self, seed: int, item: int) -> None:
        word, words = seed ^ mixed(item)[1], []
        for _ in range(4):
            word, out = mixed(word)
            words.append(out)
        self.state, self.increment = (words[0] << 64) | words[1], (words[2] << 64) | words[3] | 1

    def f64(self) -> float:
        self.state = (self.state * 47026247687942121848144207491837523525 + self.increment) & M128
        folded, turn = (self.state >> 64) ^ (self.state & M64), self.state >> 122
        return ((((folded >> turn) | (folded << (64 - turn))) & M64) >> 11) * (1.0 / 9007199254740992.0)


class Field:
    def __init__(self, k: int) -> None:
        u = Stream(SEED, k).f64
        trees, positions = 220.0 + 1700.0 * u(), 66.0 + 220.0 * u()
        w, h = 90.0 + 130.0 * u(), 70.0 + 110.0 * u()
        self.outline = [(0.0, 0.0), (w, 0.25 * h * u()), (w - 0.2 * w * u(), h), (0.15 * w * u(), h - 0.15 * h * u())]
        self.radius = 22.0 + 16.0 * u()
        self.flow = self.radius * self.radius * (0.2 + 0.1 * u())
        self.target = 10.0 + 10.0 * u()
        self.move = 15.0 + 25.0 * u()
        self.profile = ["cone", "parabola", "disc"][k % 3]
        self.hold, self.cap = self.target / 0.85, 3.0 * self.target if k % 4 == 3 else math.inf
        area = 0.0
        for (ax, ay), (bx, by) in self.edges():
            area += ax * by - ay * bx
        self.area = 0.5 * area
        s, g = math.sqrt(self.area / trees), math.sqrt(self.area / positions)
        self.trees = self.lattice(0.8 * s, 1.25 * s, w, h)
        self.positions = self.lattice(g, g, w, h)
        assert 200 <= len(self.trees) <= 2000, k
        assert 60 <= len(self.positions) <= 300, k

    def edges(self) -> list[tuple[tuple[float, float], tuple[float, float]]]:
        return [(self.outline[i], self.outline[(i + 1) % 4]) for i in range(4)]

    def lattice(self, dx: float, dy: float, w: float, h: float) -> np.ndarray:
        points, j = [], 0
        while (j + 0.5) * dy < h:
            i = 0
            while (i + 0.5) * dx < w:
                if self.inside((i + 0.5) * dx, (j + 0.5) * dy):
                    points.append(((i + 0.5) * dx, (j + 0.5) * dy))
                i += 1
            j += 1
        return np.array(points)

    def inside(self, x: float, y: float) -> bool:
        return all((bx - ax) * (y - ay) - (by - ay) * (x - ax) >= 0.0 for (ax, ay), (bx, by) in self.edges())

    def rates(self) -> np.ndarray:
        """mm/min at each tree (rows) from each position (columns)."""
        r = np.hypot(*(self.trees[:, None, :] - self.positions[None, :, :]).transpose(2, 0, 1)) / self.radius
        shape = {"cone": 1.0 - r, "parabola": 1.0 - r * r, "disc": np.ones_like(r)}[self.profile]
        full = {"cone": math.pi / 3.0, "parabola": math.pi / 2.0, "disc": math.pi}[self.profile]
        return np.where(r <= 1.0, shape, 0.0) * self.flow * (1.0 - SPRAY_LOSS) / (full * self.radius**2)

    def beside_m3_min(self) -> np.ndarray:
        """Water of each position that falls beside the block, m3/min: rays from the position to the nearest edge."""
        angle = (np.arange(40_000) + 0.5) * (2.0 * math.pi / 40_000)
        cx, cy = np.cos(angle), np.sin(angle)
        out = []
        for x, y in self.positions:
            edge = np.full_like(angle, np.inf)
            for (ax, ay), (bx, by) in self.edges():
                ex, ey = bx - ax, by - ay
                with np.errstate(divide="ignore"):
                    along = (ex * (ay - y) - ey * (ax - x)) / (ex * cy - ey * cx)
                edge = np.where(along > 0.0, np.minimum(edge, along), edge)
            r = np.minimum(edge / self.radius, 1.0)
            within = {"cone": 3 * r**2 - 2 * r**3, "parabola": 2 * r**2 - r**4, "disc": r**2}[self.profile]
            out.append(self.flow * (1.0 - SPRAY_LOSS) / 1000.0 * (1.0 - within.mean()))
        return np.array(out)


def solve(field: Field) -> dict[str, float]:
    a = field.rates()
    n, m = a.shape
    with np.errstate(divide="ignore"):
        alone = np.where(a > 0.0, field.target / a, 0.0).max(axis=0)
        top = np.where(a > 0.0, field.cap / a, np.inf).min(axis=0)
    most = np.minimum(np.minimum(LONGEST_MIN, alone), top)
    reached = a @ most >= field.target
    minute = 1.0 + WASTE_MIN_PER_M3 * field.beside_m3_min()
    drained = WASTE_MIN_PER_M3 * field.area / n / 1000.0
    cost = np.concatenate([minute, np.full(m, field.move), np.where(reached, SHORT_MIN_PER_MM, 0.0), np.full(n, drained)])
    rates, eye = csr_matrix(a), identity(n, format="csr")
    rows = [[rates, None, eye, None], [rates, None, None, -eye], [identity(m), -csr_matrix(np.diag(most)), None, None]]
    low = np.concatenate([np.where(reached, field.target, 0.0), np.full(n + m, -np.inf)])
    high = np.concatenate([np.full(n, np.inf), np.full(n, field.hold), np.zeros(m)])
    matrix = bmat(rows, format="csr")
    constraints = [LinearConstraint(matrix, low, high)]
    if math.isfinite(field.cap):
        constraints.append(LinearConstraint(bmat([[rates, csr_matrix((n, m + 2 * n))]], format="csr"), -np.inf, field.cap))
    whole = np.concatenate([np.zeros(m), np.ones(m), np.zeros(2 * n)])
    upper = np.concatenate([most, np.ones(m), np.full(2 * n, np.inf)])
    begin = time.monotonic()
    found = milp(cost, integrality=whole, bounds=Bounds(0.0, upper), constraints=constraints, options={"time_limit": SECONDS})
    spent = time.monotonic() - begin
    if found.x is None:
        return {"trees": n, "positions": m, "seconds": spent}
    minutes, open_ = np.maximum(found.x[:m], 0.0), np.round(found.x[m : 2 * m])
    depth = a @ (minutes * open_)
    short = np.where(reached, np.maximum(field.target - depth, 0.0), 0.0)
    # counted anew from positions and minutes, so that the solver's tolerances do not enter
    total = minute @ (minutes * open_) + field.move * open_.sum() + SHORT_MIN_PER_MM * short.sum()
    total += drained * np.maximum(depth - field.hold, 0.0).sum()
    return {
        "trees": n,
        "positions": m,
        "sets": int(open_.sum()),
        "objective_min": total,
        "solver_objective_min": found.fun,
        "bound_min": found.mip_dual_bound,
        "short_mm": float(short.sum()),
        "seconds": spent,
    }


def main() -> None:
    first, last = int(sys.argv[1]) if len(sys.argv) > 1 else 0, int(sys.argv[2]) if len(sys.argv) > 2 else FIELDS - 1
    out = Path(__file__).parent / ("highs.toml" if (first, last) == (0, FIELDS - 1) else f"highs_{first}_{last}.toml")
    lines = [
        'source = "SciPy (HiGHS), tests/reference/placement/generate.py"',
        f'ref = "scipy {scipy.__version__}, scipy.optimize.milp, time limit {SECONDS:.0f} s a field, two shared cores"',
        'provenance = "recomputed"',
    ]
    for k in range(first, last + 1):
        result = solve(Field(k))
        lines += ["", "[[field]]", f"item = {k}"]
        lines += [f"{key} = {value}" if isinstance(value, int) else f"{key} = {float(value):.6f}" for key, value in result.items()]
        out.write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
