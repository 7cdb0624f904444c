"""Many soil tests at once: kinds of tables, the file of three labs, memory, partitions, the command."""

import csv
import io
import json
import pickle
import subprocess
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from dibble import batch
from dibble.__main__ import main
from dibble.errors import (
    DibbleError,
    DibbleTypeError,
    FileError,
    InconsistentError,
    MissingError,
    UnknownNameError,
    UnreadableError,
)
from dibble.weather import Site, Weather

CASES = Path(__file__).parents[1] / "cases"
FILE, OPTIONS = CASES / "soil_tests_142.csv", CASES / "soil_tests_142.toml"
TRUTH = list(csv.DictReader((CASES / "soil_tests_142_truth.csv").read_text(encoding="utf-8").splitlines()))
TODAY = "2027-04-01"

TESTS: dict[str, list[Any]] = {
    "Grower": ["Alder Hill Trees"] * 4,
    "Sample": ["A", "B", "C", "D"],
    "Lab No": [1.0, 2.0, 3.0, 4.0],
    "Date": ["2026-10-12"] * 4,
    "Depth (in)": [6, 6, 6, 6],
    "Species": ["Fraser fir"] * 4,
    "Age": [3, 0, 1, None],
    "pH (water)": [5.7, 5.8, None, 5.6],
    "P ppm": [45.1, 50.0, 44.0, 61.25],
    "K ppm": [95.0, 60.5, 101.0, 90.0],
}
SAID = {
    "facts": {"form": "element", "extractant": "Mehlich-3", "trees_per_ha": 2965.3},
    "soil_tables": ["rutgers-levels"],
    "ph_table": "msu-soil-ph",
    "nitrogen_table": "msu-fraser-fir",
    "today": TODAY,
}


def tables() -> dict[str, Any]:
    import duckdb
    import pandas as pd
    import polars as pl
    import pyarrow as pa

    arrow = pa.table(TESTS)
    return {
        "pandas": pd.DataFrame(TESTS),
        "polars": pl.DataFrame(TESTS),
        "pyarrow": arrow,
        "lazy": pl.DataFrame(TESTS).lazy(),
        "duckdb": duckdb.from_arrow(arrow),
        "dict": TESTS,
    }


def cells(table: Any) -> dict[str, list[Any]]:
    """Columns of any table, with None for what is missing."""
    import narwhals.stable.v2 as nw

    columns = table if isinstance(table, dict) else nw.from_native(table, eager_only=True).to_dict(as_series=False)
    return {name: [None if v is None or v != v else v for v in values] for name, values in columns.items()}


def test_every_kind_of_table_gives_the_same_answers_in_its_own_kind() -> None:
    given = tables()
    want = cells(batch.recommend(TESTS, SAID, n_threads=1).table)
    assert want["status"] == ["ok", "usable with assumption", "usable with assumption", "usable with assumption"]
    assert want["n_g_per_tree"][1] == 0
    assert want["p_ppm"] == TESTS["P ppm"]
    assert list(want) == list(batch.columns())
    for kind, table in given.items():
        answered = batch.recommend(table, SAID).table
        assert cells(answered) == want, kind
        own = {"lazy": "polars", "duckdb": "pyarrow", "dict": "builtins"}.get(kind, kind)
        assert type(answered).__module__.startswith(own), kind


def test_a_pandas_index_is_kept_and_an_empty_table_has_every_column() -> None:
    import pandas as pd

    table = pd.DataFrame(TESTS, index=["w", "x", "y", "z"])
    assert list(batch.recommend(table, SAID).table.index) == ["w", "x", "y", "z"]
    full, empty = batch.recommend_table(table, SAID), batch.recommend_table(table.head(0), SAID)
    assert len(empty) == 0
    assert list(empty.columns) == list(batch.columns())
    assert empty.dtypes.tolist() == full.dtypes.tolist()


def test_the_file_of_three_labs_lands_where_its_truth_table_says(tmp_path: Path) -> None:
    answers = batch.recommend(FILE, OPTIONS, letters=True)
    for at, truth in enumerate(TRUTH):
        got = {name: answers.table[name][at] for name in ("line", "kind", "status", "reasons")}
        assert (int(got["line"]), got["kind"], got["status"]) == (int(truth["line"]), truth["kind"], truth["status"]), truth
        assert set((got["reasons"] or "").split("; ")) == set(truth["reasons"].split(";")), truth
    assert answers.summary.rows == len(TRUTH) == 142
    assert sum(answers.summary.statuses.values()) == 142
    with pytest.raises(InconsistentError, match=r"^P was extracted in 3 ways \(Mehlich-1, Mehlich-3, Bray P1\)"):
        answers.summary.mean_ppm("P")
    assert len(answers.letters()) == 12
    # to a file: the same rows, nothing held
    written = batch.recommend(FILE, OPTIONS, out=tmp_path / "r.csv")
    assert written.table is None
    rows = list(csv.DictReader((tmp_path / "r.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["status"] for row in rows] == answers.table["status"]
    for name in ("p_ppm", "n_kg_ha", "k2o_g_per_tree"):
        assert [float(row[name] or "nan") for row in rows] == pytest.approx(answers.table[name], rel=0, abs=0, nan_ok=True)


def test_threads_change_nothing() -> None:
    one, many = (batch.recommend(FILE, OPTIONS, n_threads=n, letters=True) for n in (1, 4))
    assert cells(one.table) == cells(many.table)
    assert (one.log, one.summary, one.letters()) == (many.log, many.summary, many.letters())


def copies(count: int) -> str:
    """Write the file over and over, with other growers, clients and lab numbers in each copy."""
    preamble, heading, *rows = csv.reader(FILE.read_text(encoding="utf-8").splitlines())
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(preamble)
    for copy in range(count):
        writer.writerow(heading)
        for row in rows:
            one = [f"{copy}x{cell}" if at in (3, 4) and cell.startswith(("26-", "B5", "K-")) else cell for at, cell in enumerate(row)]
            if any(cell.endswith(" Lab") for cell in row):
                one[:2] = [f"{cell} {copy}" if cell and at < len(row) else cell for at, cell in enumerate(one[:2])]
            writer.writerow(one)
    return out.getvalue()


# The high-water mark of the process itself: ru_maxrss would begin at the size of the process that started it.
MEASURE = """
import json, pathlib, sys
from dibble import batch
answers = batch.recommend(sys.argv[1], sys.argv[2], out=sys.argv[3], n_threads=2)
marks = dict(line.split(":", 1) for line in pathlib.Path("/proc/self/status").read_text().splitlines())
print(json.dumps([answers.summary.rows, answers.summary.statuses, int(marks["VmHWM"].split()[0])]))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="the high-water mark is read from /proc")
def test_a_hundred_thousand_rows_take_hardly_more_memory_than_ten_thousand(tmp_path: Path) -> None:
    once = batch.recommend(FILE, OPTIONS).summary.statuses
    peaks = []
    for count in (71, 705):
        path = tmp_path / f"{count}.csv"
        path.write_text(copies(count), encoding="utf-8")
        command = [sys.executable, "-c", MEASURE, str(path), str(OPTIONS), str(tmp_path / "out.csv")]
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        rows, statuses, peak = json.loads(done.stdout)
        assert rows == 143 * count - 1
        # each copy but the first begins with a heading, which is set apart
        want = {status: n * count + (count - 1 if status == "not usable" else 0) for status, n in once.items()}
        assert statuses == want
        peaks.append(peak)
    assert peaks[1] <= 1.2 * peaks[0], peaks


def test_answers_pickle_and_partitions_go_through_two_processes() -> None:
    import dask.dataframe
    import distributed
    import pandas as pd

    dd: Any = dask.dataframe
    dist: Any = distributed

    assert pickle.loads(pickle.dumps(batch.recommend_table)) is batch.recommend_table
    answers = batch.recommend(TESTS, SAID)
    assert pickle.loads(pickle.dumps(answers)).summary == answers.summary
    many = {name: values * 6 for name, values in TESTS.items()}
    table = pd.DataFrame({**many, "Lab No": range(24), "Sample": [f"S{n}" for n in range(24)]})
    want = batch.recommend_table(table, SAID)
    with (
        dist.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0") as cluster,
        dist.Client(cluster) as client,
    ):
        parts = dd.from_pandas(table, npartitions=4)
        got = parts.map_partitions(batch.recommend_table, SAID, meta=batch.recommend_table(table.head(0), SAID)).compute()
        assert len(client.scheduler_info()["workers"]) == 2
    # rows are counted within a partition
    pd.testing.assert_frame_equal(got.drop(columns="line"), want.drop(columns="line"))


def test_a_declared_column_and_options_of_every_form(tmp_path: Path) -> None:
    tests = {"ID": ["A"], "PHOS": [45.0], "pH (water)": [5.7]}
    said = {"columns": {"ID": "sample", "PHOS": "P (element) ppm Mehlich-3"}, "today": TODAY}
    (tmp_path / "o.json").write_text(json.dumps(said), encoding="utf-8")
    (tmp_path / "o.toml").write_text('today = 2027-04-01\n[columns]\nID = "sample"\nPHOS = "P (element) ppm Mehlich-3"\n', encoding="utf-8")
    for options in (said, tmp_path / "o.json", str(tmp_path / "o.toml")):
        answers = batch.recommend(tests, options)
        assert answers.table["p_ppm"].tolist() == [45.0]
        assert {"key": "column", "count": 1, "lines": [1], "words": '"PHOS" declared as: P, element, ppm, Mehlich-3.'} in answers.log


def test_bad_calls_say_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(MissingError, match=r"^today is missing: the age of samples is counted to it\. Give today="):
        batch.recommend(TESTS)
    with pytest.raises(MissingError, match=r"the table has no columns"):
        batch.recommend({}, today=TODAY)
    with pytest.raises(MissingError, match=r'^a column of a nutrient or of pH is missing\. Declare what the columns mean .* Headings: "a"'):
        batch.recommend({"a": ["x"]}, today=TODAY)
    with pytest.raises(UnknownNameError, match="rutgers-levels"):
        batch.recommend(TESTS, today=TODAY, soil_tables=["rutgers"])
    with pytest.raises(UnreadableError, match='unknown key "soil_table"'):
        batch.recommend(TESTS, {"soil_table": "x"}, today=TODAY)
    with pytest.raises(InconsistentError, match=r"^the columns have 1, 2 rows\. Give columns of one length\.$"):
        batch.recommend({"Sample": ["A"], "pH": [5, 6]}, today=TODAY)
    with pytest.raises(InconsistentError, match=r"^out= is for CSV files"):
        batch.recommend(TESTS, SAID, out=tmp_path / "x.csv")
    with pytest.raises(DibbleTypeError, match=r"class int: a dataframe"):
        batch.recommend(5, SAID)
    with pytest.raises(FileError, match=r"^cannot read .*absent\.csv"):
        batch.recommend(tmp_path / "absent.csv", SAID)
    with pytest.raises(FileError, match=r"^cannot read .*absent\.toml"):
        batch.recommend(TESTS, tmp_path / "absent.toml")
    with pytest.raises(MissingError, match=r"^letters are missing"):
        batch.recommend(TESTS, SAID).letters()
    (tmp_path / "empty.csv").write_text("Sample,pH,P ppm\n", encoding="utf-8")
    with pytest.raises(MissingError, match=r"^empty\.csv: a row under the heading is missing"):
        batch.recommend(tmp_path / "empty.csv", SAID)


def test_reference_et_of_a_table_is_that_of_the_weather_in_the_order_of_rows() -> None:
    import polars as pl

    site = Site(45.2, 290)
    days = pl.DataFrame({"date": ["2026-07-03", "2026-07-01", "2026-07-02"], "tmin_c": [14.0, 12.0, 14.5], "tmax_c": [28.0, 26.0, 29.0]})
    table = batch.reference_et(days, site)
    assert isinstance(table, pl.DataFrame)
    assert table["date"].to_list() == days["date"].to_list()
    want = Weather.from_table(days).complete(site, "zero").eto_mm
    assert np.array_equal(table["eto_mm"].to_numpy(), want[[2, 0, 1]])


def test_the_command_writes_answers_log_and_letters(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["soil-tests", str(FILE), "--options", str(OPTIONS), "--out", str(tmp_path / "out")]) == 0
    page = capsys.readouterr().out
    assert "142 rows: 26 ok, 84 usable with assumption, 32 not usable." in page
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["letters", "log.txt", "results.csv"]
    answers = batch.recommend(FILE, OPTIONS, letters=True)
    letters = {p.read_text(encoding="utf-8") for p in (tmp_path / "out" / "letters").iterdir()}
    assert letters == set(answers.letters().values())
    log = (tmp_path / "out" / "log.txt").read_text(encoding="utf-8")
    assert 'column (line 3): "P ppm" guessed as: P, ppm.' in log
    assert "other_heading (line 62, 108)" in log
    rows = list(csv.DictReader((tmp_path / "out" / "results.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["status"] for row in rows] == [truth["status"] for truth in TRUTH]


def test_the_command_refuses_and_leaves_nothing_behind(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_bytes(FILE.read_bytes() + b'"A",\xff\xfe,b\n' * 3)
    assert main(["soil-tests", str(bad), "--options", str(OPTIONS), "--out", str(tmp_path / "out")]) == 1
    told = capsys.readouterr()
    assert not told.out
    assert told.err.startswith("dibble: ")
    assert not (tmp_path / "out").exists()
    assert main(["soil-tests", str(FILE), "--soil-table", "rutgers", "--out", str(tmp_path / "out")]) == 1
    assert "Did you mean" in capsys.readouterr().err
    with pytest.raises(SystemExit) as stop:
        main(["soil-tests", str(FILE)])
    assert stop.value.code == 2


GOOD: dict[str, list[Any]] = {"Sample": ["A"], "pH (water)": [5.7], "K (element) ppm Mehlich-3": [61]}


@pytest.mark.parametrize("missing", [pd.NA, pd.NaT, None, float("nan")])
def test_every_sign_for_a_missing_cell_is_an_empty_cell(missing: Any) -> None:
    answers = batch.recommend(GOOD | {"pH (water)": [missing]}, today="2027-04-01")
    assert "ph_missing" in answers.table["reasons"][0]


def test_labels_of_a_dataframe_need_be_neither_text_nor_unique() -> None:
    twice = pd.DataFrame([["A", 5.7, 61, 5.1]], columns=["Sample", "pH (water)", "K (element) ppm Mehlich-3", "pH (water)"])
    assert "columns_differ" in batch.recommend(twice, today="2027-04-01").table["reasons"][0]
    levels = pd.MultiIndex.from_tuples([("Sample", ""), ("pH", "(water)"), ("K (element)", "ppm Mehlich-3")])
    assert len(batch.recommend(pd.DataFrame([["A", 5.7, 61]], columns=levels), today="2027-04-01").table) == 1


def test_one_table_may_be_named_without_a_list() -> None:
    one, listed = (batch.recommend(GOOD, today="2027-04-01", soil_tables=name) for name in ("rutgers-levels", ["rutgers-levels"]))
    assert one.log == listed.log


@pytest.mark.parametrize(
    ("table", "options", "more", "message"),
    [
        (GOOD | {"Sample": "A"}, None, {}, "column 'Sample' is of class str: a list with one cell for each row is needed."),
        (
            GOOD | {"Sample": [["A", "B"]]},
            None,
            {},
            "line 2, column 'Sample': a cell holds ['A', 'B'] (list): one number or text is needed in each cell.",
        ),
        (GOOD | {"Sample": {"A": 1}}, None, {}, "column 'Sample' is of class dict: a list with one cell for each row is needed."),
        (GOOD, {1: 2}, {}, "options cannot be used: the key 1 is no text. Give text, finite numbers, lists and mappings."),
        (
            GOOD,
            {"facts": {"trees_per_ha": "many"}},
            {},
            'the options: cannot read option facts.trees_per_ha "many": it is text where a number is needed. '
            "The keys are those of dibble's batch options.",
        ),
        (
            GOOD,
            {"facts": []},
            {},
            'the options: cannot read option facts "[]": it is a list where a table is needed. '
            "The keys are those of dibble's batch options.",
        ),
        (
            GOOD,
            {"contact": "\ud800"},
            {},
            "option contact cannot be used: '\\ud800' holds half a character. Give text, finite numbers, lists and mappings.",
        ),
        (
            GOOD,
            {"facts": {"spacing": "near"}},
            {},
            'facts: cannot read spacing "near": it is no spacing. Write it as 5 x 6 ft, or give trees_per_ha.',
        ),
        (GOOD, None, {"n_threads": -1}, "n_threads is -1: it must be 1 or more. Leave it out for one to each core."),
        (GOOD, 5, {}, "options is of class int: a mapping, or the path of a TOML or JSON file, is needed."),
        (GOOD, None, {"soil_tables": 5}, "soil_tables is 5: names of tables are needed, as in soil_tables=['rutgers-levels']."),
        (
            GOOD,
            {"facts": {"trees_per_ha": float("nan")}},
            {},
            "option facts.trees_per_ha cannot be used: it is nan, and a number must be finite. "
            "Give text, finite numbers, lists and mappings.",
        ),
        (GOOD, None, {"n_threads": 0}, "n_threads is 0. Give 1 to 1024 threads, or none for one to each core."),
        (
            GOOD,
            {"facts": {"trees_per_ha": -1}},
            {},
            "facts: trees_per_ha is -1: trees in a hectare must be from 1 to 1000000. Give trees per hectare; 1,200 per acre is 2,965.",
        ),
    ],
)
def test_what_is_no_table_and_no_option_is_refused_in_words(table: Any, options: Any, more: dict[str, Any], message: str) -> None:
    with pytest.raises(DibbleError) as caught:
        batch.recommend(table, options, today="2027-04-01", **more)
    assert str(caught.value) == message


def test_options_that_refer_to_themselves_or_go_too_deep_are_refused(tmp_path: Path) -> None:
    circle: dict[str, Any] = {}
    circle["facts"] = circle
    deep = tmp_path / "deep.json"
    deep.write_text("[" * 100_000, encoding="utf-8")
    listed = tmp_path / "listed.toml"
    listed.write_text("[1]", encoding="utf-8")
    for options, words in (
        (circle, "or hold themselves"),
        (deep, "stand too deep in each other"),
        ("a\0b", "holds a zero character"),
        (listed, "holds a list, and options are a mapping of keys"),
    ):
        with pytest.raises(DibbleError, match=words):
            batch.recommend(GOOD, options, today="2027-04-01")


def test_paths_that_no_system_takes_are_refused(tmp_path: Path) -> None:
    lab = tmp_path / "lab.csv"
    lab.write_text("Sample,pH,P\nA,5.7,45\n", encoding="utf-8")
    for odd, words in (("a\0b", "holds a zero character"), ("a\ud800b", "holds half a character")):
        with pytest.raises(FileError, match=rf"^table .* is no path: it {words}"):
            batch.recommend(odd, today=TODAY)
        with pytest.raises(FileError, match=rf"^out .* is no path: it {words}"):
            batch.recommend(lab, today=TODAY, out=odd)
    with pytest.raises(DibbleTypeError, match=r"^out is 5 \(int\): a path is needed"):
        batch.recommend(lab, today=TODAY, out=5)  # type: ignore[arg-type]


def test_cells_of_every_class_are_read_or_refused_by_their_place() -> None:
    def reasons(cell: Any) -> str:
        return str(batch.recommend(GOOD | {"pH (water)": [cell]}, today=TODAY).table["reasons"][0])

    for missing in (np.ma.masked, Decimal("sNaN"), np.datetime64("NaT")):
        assert "ph_missing" in reasons(missing)
    for read in (Decimal("5.7"), b"5.7"):
        assert "ph_missing" not in reasons(read)
    for odd in ("\ud800", complex(1, 2), float("inf")):
        assert "number_unreadable" in reasons(odd)
    for refused in (np.array([1, 2]), {"a": 1}, 10**5000):
        with pytest.raises(DibbleTypeError, match=r"^line 2, column 'pH \(water\)': a cell holds "):
            reasons(refused)
    # halves of characters stand as escapes, in names and headings
    assert batch.recommend(GOOD | {"Sample": ["A\udc80"], "\ud800": [1]}, today=TODAY).table["sample"] == ["A\\udc80"]


def test_lines_are_those_of_the_same_table_as_a_file(tmp_path: Path) -> None:
    pd.DataFrame(TESTS).to_csv(tmp_path / "tests.csv", index=False)
    of_table, of_file = (batch.recommend(table, SAID) for table in (TESTS, tmp_path / "tests.csv"))
    assert of_table.table["line"].tolist() == of_file.table["line"].tolist() == [2, 3, 4, 5]
    assert of_table.log == of_file.log


def test_the_options_shown_in_help_and_front_page_work(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["soil-tests", "--help"])
    shown = capsys.readouterr().out.split("every key is optional:\n")[1].split("\nThe folder")[0]
    page = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    of_page = page.split("`--options lab.toml`:\n\n```toml\n")[1].split("```")[0]
    tests = {"Sample": ["A"], "Lab": ["Lakeshore Lab"], "Date": ["3/4/2026"], "pH": [5.7], "PHOS": [45]}
    for number, text in enumerate((shown, of_page)):
        options = tmp_path / f"{number}.toml"
        options.write_text(text, encoding="utf-8")
        answers = batch.recommend(tests, options, today="2027-04-01")
        assert (answers.table["sampled"], answers.table["p_class"]) == (["2026-03-04"], ["high"])
