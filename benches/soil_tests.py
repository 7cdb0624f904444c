"""A file of soil tests as long as you like: rows a second and peak memory, for one thread and for one to each core.

.venv/bin/python benches/soil_tests.py [ROWS]
"""

from __future__ import annotations

import csv
import resource
import sys
import tempfile
import time
from pathlib import Path

from dibble import batch

CASES = Path(__file__).parents[1] / "tests" / "cases"
FILE, OPTIONS = CASES / "soil_tests_142.csv", CASES / "soil_tests_142.toml"


def main() -> None:
    """Print one line for each number of threads."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "lab.csv"
        write(path, rows)
        for n_threads in (1, None):
            begun = time.perf_counter()
            summary = batch.recommend(path, OPTIONS, out=Path(place) / "answers.csv", n_threads=n_threads).summary
            seconds = time.perf_counter() - begun
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            speed = f"{summary.rows} rows in {seconds:.1f} s, {summary.rows / seconds:.0f} rows/s"
            print(f"{n_threads or 'all'} threads: {speed}, peak {peak:.0f} MB")


def write(path: Path, rows: int) -> None:
    """Write the file of three labs over and over, with other lab numbers in each copy."""
    preamble, *lines = csv.reader(FILE.read_text(encoding="utf-8").splitlines())
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(preamble)
        for number in range(rows):
            copy, at = divmod(number, len(lines))
            names = [f"{copy}x{cell}" if cell.startswith(("26-", "B5", "K-")) else cell for cell in lines[at][:5]]
            writer.writerow(names + lines[at][5:])


if __name__ == "__main__":
    main()
