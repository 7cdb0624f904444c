"""The ledger in Python: the same bits as in company, views without copies, interrupts, bad input."""

import os
import pickle
import signal
import subprocess
import sys
import threading
import time
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import polars as pl
import pytest

from dibble import water
from dibble.errors import (
    DibbleError,
    DibbleTypeError,
    InconsistentError,
    MissingError,
    OutOfRangeError,
    UnknownNameError,
    UnreadableError,
)
from dibble.soil import Profile, Soil
from dibble.stand import Stand, Surfaces
from dibble.water import Column, Reading, Refill, Season, Watering, run, run_season
from dibble.weather import Daily, Site, Weather

SITE = Site(45.2, 290)
LOAM = Soil.from_texture("silt loam")
FIR = Stand(species="Fraser fir", planted="2025-05-01", row_spacing_m=1.8, tree_spacing_m=1.8)


def summer(days: int = 60, **columns: Any) -> dict[str, Any]:
    dates = [str(np.datetime64("2026-06-01") + day) for day in range(days)]
    rain = [11.0 if day % 9 == 4 else 0.0 for day in range(days)]
    return {"date": dates, "tmin_c": [13.0] * days, "tmax_c": [26.0] * days, "rain_mm": rain, **columns}


WEATHER = Weather.from_table(summer())
DAILY = WEATHER.complete(SITE)


def test_run_season_is_the_columns_that_it_stands_for() -> None:
    season = run_season(WEATHER, SITE, LOAM, FIR, beside=True, curve_number=65)
    surfaces = Surfaces.over(FIR, DAILY)
    by_hand = run(
        [
            Column(name, DAILY, crop, Profile.uniform(LOAM), curve_number=65)
            for name, crop in {"tree": surfaces.tree, "strip": surfaces.strip, "alley": surfaces.alley}.items()
        ]
    )
    assert season.columns == ["tree", "strip", "alley"]
    assert {name: array.tobytes() for name, array in season.daily.items()} == {n: a.tobytes() for n, a in by_hand.daily.items()}
    assert run_season(DAILY, None, LOAM, FIR, beside=True, curve_number=65) == season


def agreed() -> Season:
    """Run the season of tests/reference/season.toml."""
    return run_season(
        WEATHER,
        SITE,
        LOAM,
        FIR,
        Refill.for_stand(FIR, "2026-06-01"),
        [Reading("2026-06-25", from_depth_m=0.05, to_depth_m=0.15, feel="moist", holes=3)],
        [Watering("2026-06-10", 12, rate_mm_h=19)],
        beside=True,
    )


def test_both_languages_give_one_answer() -> None:
    path = Path(__file__).resolve().parents[1] / "reference" / "season.toml"
    expected = tomllib.loads(path.read_text(encoding="utf-8"))
    season = agreed()
    assert season.columns == expected["columns"]
    assert set(season.totals) == set(expected["totals"])
    for name, values in expected["totals"].items():
        np.testing.assert_allclose(season.totals[name], values, rtol=1e-12, atol=1e-12, err_msg=f"tests/reference/season.toml, {name}")
    for name, values in expected["evening"].items():
        np.testing.assert_allclose(season.daily[name][-1], values, rtol=1e-12, atol=1e-12, err_msg=f"tests/reference/season.toml, {name}")


def test_a_column_is_the_same_alone_in_company_and_in_any_order() -> None:
    crop = Surfaces.over(FIR, DAILY).tree
    starts = np.linspace(0.1, 1.0, 40)
    together = run([Column(str(i), DAILY, crop, LOAM, start=start) for i, start in enumerate(starts)])
    reversed_ = run([Column(str(i), DAILY, crop, LOAM, start=start) for i, start in reversed(list(enumerate(starts)))], n_threads=1)
    for name, array in together.daily.items():
        assert array.shape == (60, 40)
        np.testing.assert_array_equal(array, reversed_.daily[name][:, ::-1])
    alone = run([Column("23", DAILY, crop, LOAM, start=starts[23])])
    assert alone.series("depletion_mm").tobytes() == together.series("depletion_mm", "23").tobytes()
    assert together.total("transpiration_mm", 23) == together.totals["transpiration_mm"][23] == alone.total("transpiration_mm")


def test_daily_numbers_are_read_only_views_of_one_memory() -> None:
    season = run_season(WEATHER, SITE, LOAM, FIR, beside=True)
    first, again = season.daily["depletion_mm"], season.daily["depletion_mm"]
    assert first is again
    alley = season.series("depletion_mm", "alley")
    assert np.shares_memory(first, alley)
    assert alley.tolist() == first[:, 2].tolist()
    for array in (first, alley, season.totals["rain_mm"]):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1.0
        with pytest.raises(ValueError, match="cannot set WRITEABLE"):
            first.flags.writeable = True
    with pytest.raises(TypeError, match="does not support item assignment"):
        season.daily["depletion_mm"] = first  # type: ignore[index]
    del season, again
    assert first[-1, 0] >= 0  # the view outlives the season


def test_a_season_survives_json_and_pickle_bit_for_bit() -> None:
    readings = [Reading("2026-07-10", from_depth_m=0.05, to_depth_m=0.15, feel="dry")]
    for record in ("all", "totals", ["ks", "rain_mm"]):
        season = run_season(WEATHER, SITE, LOAM, FIR, readings=readings, beside=True, record=record)
        assert Season.from_json(season.to_json()) == season == pickle.loads(pickle.dumps(season))
    assert season != run_season(WEATHER, SITE, LOAM, FIR)
    assert list(season.daily) == ["rain_mm", "ks"]
    with pytest.raises(UnreadableError, match=r"not written by this version"):
        Season._from_bytes(b"dibble 0\n{}")


@pytest.mark.parametrize(
    "thing",
    [
        Refill(allowed_depletion=0.4),
        Watering("2026-07-14", 12.7, rate_mm_h=19),
        Watering("2026-07-14", 12.7),
        Reading("2026-07-14", from_depth_m=0.05, to_depth_m=0.15, feel="25-50", holes=3),
        Reading("2026-07-14", from_depth_m=0.1, tension_kpa=45, uncertainty=float("inf")),
        Reading("2026-07-14", from_depth_m=0.1, water_content=0.21, uncertainty=0.0),
        Reading("2026-07-14", from_depth_m=0.1, available=0.5),
    ],
    ids=repr,
)
def test_small_records_come_back_from_repr_json_and_pickle(thing: Any) -> None:
    names = {"Refill": Refill, "Watering": Watering, "Reading": Reading}
    assert eval(repr(thing), names) == thing == type(thing).from_json(thing.to_json()) == pickle.loads(pickle.dumps(thing))


def test_the_weather_s_kind_of_table_comes_back() -> None:
    for kind in (pd.DataFrame, pl.DataFrame):
        season = run_season(Weather.from_table(kind(summer())), SITE, LOAM, FIR)
        assert type(season.to_table()) is kind
    long = run_season(WEATHER, SITE, LOAM, FIR, beside=True).to_table("pandas")
    assert long["column"].tolist()[:4] == ["tree", "strip", "alley", "tree"]
    assert long["date"].iloc[3] == pd.Timestamp("2026-06-02")
    wide = long.pivot_table(index="date", columns="column", values="depletion_mm")
    np.testing.assert_array_equal(wide["tree"], season.series("depletion_mm"))


def test_a_day_is_explained_in_words_and_numbers() -> None:
    season = run_season(WEATHER, SITE, LOAM, FIR)
    steps = season.explain("2026-06-20")
    transpiration = next(step for step in steps if step.what == "transpiration")
    assert np.prod([value for _, value, _ in transpiration.inputs]) == pytest.approx(transpiration.value, rel=1e-12)
    assert steps[len(steps) - 1] == steps[-1]
    assert "FAO-56 Eq. 84" in str(steps)
    assert len(list(steps)) == len(steps) == len(steps.to_dict())
    with pytest.raises(IndexError):
        steps[99]
    with pytest.raises(MissingError) as caught:
        run_season(WEATHER, SITE, LOAM, FIR, record=["ks"]).explain("2026-06-20")
    assert str(caught.value) == "the daily rain_mm is missing. Run the season with every series kept to have a day explained."


def test_a_reading_re_sets_the_ledger_and_says_so() -> None:
    reading = Reading("2026-06-20", from_depth_m=0.05, to_depth_m=0.15, available=0.2, uncertainty=0)
    season = run_season(WEATHER, SITE, LOAM, FIR, readings=[reading])
    (outcome,) = season.readings
    assert (outcome["verdict"], outcome["used_available"]) == ("merged", 0.2)
    assert outcome["text"].startswith("tree, 2026-06-20, 5 to 15 cm: the ledger had")
    assert np.sign(season.total("correction_mm")) == np.sign(outcome["used_available"] - outcome["ledger_available"]) != 0


def test_everything_that_was_taken_for_granted_is_listed() -> None:
    season = run_season(WEATHER, SITE, LOAM, FIR)
    keys = {row["key"] for row in season.assumptions}
    assert {"dew_from_tmin", "soil_from_class", "root_depth", "start_wetness", "curve_number_default"} <= keys
    told = run_season(WEATHER, SITE, LOAM, FIR, start=1, subsoil_start=1, curve_number=65)
    assert keys - {row["key"] for row in told.assumptions} == {"start_wetness", "subsoil_wetness", "curve_number_default"}
    assert "Season of 60 days" in season._repr_html_()
    assert repr(season) == "<Season of 60 days, 2026-06-01 to 2026-07-30, layered: tree>"


BAD: list[tuple[dict[str, Any], type[DibbleError], str]] = [
    ({"site": None}, MissingError, "site is missing. Give Site(latitude_deg, elevation_m) with the weather."),
    (
        {"soil": "silt loam"},
        DibbleTypeError,
        "soil is of class str: a Soil or a Profile is needed. Make one with dibble.soil.",
    ),
    (
        {"weather": summer()},
        DibbleTypeError,
        "weather is of class dict: a Weather or a Daily is needed. Read one with Weather.read_csv or Weather.from_table.",
    ),
    (
        {"start": 35},
        OutOfRangeError,
        'column "tree": start is 35: fraction must be from 0 to 1. Give a fraction from 0 to 1, 0.35 for 35 %.',
    ),
    (
        {"form": "fao"},
        UnknownNameError,
        'form "fao" is not known. Did you mean "fao56", "fao56 drain first"? Known: "layered", "fao56", "fao56 drain first".',
    ),
    (
        {"waterings": [Watering("2026-09-01", 9)]},
        InconsistentError,
        "the watering of 2026-09-01 lies outside the season, 2026-06-01 to 2026-07-30. Give weather for that day, or leave it out.",
    ),
    (
        {"stand": Stand(species="white pine", planted="2027-05-01", row_spacing_m=1.8, tree_spacing_m=1.8)},
        InconsistentError,
        "white pine planted on 2027-05-01 has no weather after planting. Check the planting date, or give weather that reaches beyond it.",
    ),
    ({"winter": "freeze"}, UnknownNameError, 'winter "freeze" is not known. Known: "refuse", "skip", "ignore".'),
]


@pytest.mark.parametrize(("changed", "kind", "message"), BAD, ids=[next(iter(case[0])) for case in BAD])
def test_bad_seasons_are_refused_in_words(changed: dict[str, Any], kind: type[DibbleError], message: str) -> None:
    given: dict[str, Any] = {"weather": WEATHER, "site": SITE, "soil": LOAM, "stand": FIR}
    with pytest.raises(kind) as caught:
        run_season(**{**given, **changed})
    assert str(caught.value) == message


def test_other_bad_input_is_refused_in_words() -> None:
    with pytest.raises(MissingError, match=r"^rain_mm is missing on 60 days|rain"):
        run_season(Weather.from_table({k: v for k, v in summer().items() if k != "rain_mm"}), SITE, LOAM, FIR)
    with pytest.raises(MissingError) as nothing:
        Reading("2026-07-14", from_depth_m=0.1)
    assert str(nothing.value) == "what the reading says is missing. Give one of feel, tension_kpa, water_content and available."
    with pytest.raises(InconsistentError) as upside_down:
        Reading("2026-07-14", from_depth_m=0.2, to_depth_m=0.1, feel="dry")
    assert str(upside_down.value) == (
        "the reading of 2026-07-14 runs from 0.2 m up to 0.1 m. Give the upper edge first; depth counts downwards."
    )
    with pytest.raises(OutOfRangeError, match=r"^depth_mm is -1 mm: "):
        Watering("2026-07-14", -1)
    with pytest.raises(InconsistentError) as swapped:
        Refill(efficiency=(0.8, 0.6))
    assert str(swapped.value) == "efficiency runs from 0.8 to 0.6. Give the low end first, such as (0.65, 0.80)."
    with pytest.raises(MissingError, match=r"^a column is missing"):
        run([])
    with pytest.raises(OutOfRangeError, match=r"^ledger is 1.5: "):
        water.weigh(ledger=1.5, ledger_sd=0.1, reading=0.5, reading_sd=0.1)
    season = run_season(WEATHER, SITE, LOAM, FIR)
    with pytest.raises(UnknownNameError, match=r'^series "depletion" is not known\. Did you mean "depletion_mm"'):
        season.series("depletion")
    with pytest.raises(UnknownNameError, match=r'^column "alley" is not known\. Known: "tree"\.'):
        season.series("depletion_mm", "alley")
    with pytest.raises(InconsistentError, match=r"^column -1 is not within the season, which has 1\."):
        season.series("depletion_mm", -1)


def test_the_number_of_threads_comes_from_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    crop = Surfaces.over(FIR, DAILY).tree
    columns = [Column(str(i), DAILY, crop, LOAM) for i in range(40)]
    monkeypatch.setenv("DIBBLE_NUM_THREADS", "2")
    expected = run(columns, record="totals")
    monkeypatch.setenv("DIBBLE_NUM_THREADS", "many")
    with pytest.raises(UnreadableError, match=r'^DIBBLE_NUM_THREADS is "many": a number of threads is needed\.'):
        run(columns)
    assert run(columns, record="totals", n_threads=1) == expected
    with pytest.raises(InconsistentError, match=r"^n_threads is 0\."):
        run(columns, n_threads=0)


def test_eight_threads_give_one_answer() -> None:
    expected = run_season(WEATHER, SITE, LOAM, FIR)
    answers: list[bool] = []

    def work() -> None:
        answers.extend(run_season(WEATHER, SITE, LOAM, FIR) == expected for _ in range(5))

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [True] * 40


def many() -> list[Column]:
    """Enough work for seconds: two thousand blocks of columns through fifty years."""
    daily = DAILY.extended(3660, mean_of=7)
    for _ in range(4):
        daily = daily.extended(3660, mean_of=7)
    crop = Surfaces.over(FIR, daily).tree
    return [Column(str(i), daily, crop, LOAM) for i in range(30_000)]


def test_progress_is_told_and_its_exception_stops_the_run() -> None:
    seen: list[tuple[int, int]] = []
    run_season(WEATHER, SITE, LOAM, FIR, progress=lambda done, total: seen.append((done, total)))
    assert seen[-1] == (60, 60)

    def enough(done: int, total: int) -> None:
        assert 0 <= done < total or total == 0
        raise KeyboardInterrupt

    start = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        run(many(), record="totals", progress=enough)
    assert time.monotonic() - start < 60


INTERRUPTED = """
import sys, time
sys.path.insert(0, sys.argv[1])
from test_water import many, run
columns = many()
print("ready", flush=True)
try:
    run(columns, record="totals")
except KeyboardInterrupt:
    print(time.monotonic(), flush=True)
"""


@pytest.mark.usefixtures("ctrl_c")  # what a process ignores, its children ignore
@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent the POSIX way")
def test_ctrl_c_returns_within_a_fifth_of_a_second() -> None:
    # 0.05 s between two looks and 0.1 s of patience; the rest, and a few tries, are for a busy machine
    assert any(returned_after() < 0.4 for _ in range(4))


def returned_after() -> float:
    here = str(Path(__file__).parent)
    with subprocess.Popen([sys.executable, "-c", INTERRUPTED, here], stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
        time.sleep(0.3)  # well within the run
        sent = time.monotonic()  # one clock for all processes
        os.kill(child.pid, signal.SIGINT)
        returned = float(child.stdout.readline())
    return returned - sent


def test_days_that_are_complete_need_no_site() -> None:
    assert isinstance(DAILY, Daily)
    with pytest.raises(InconsistentError, match=r"^site is not the one that the days were made complete with"):
        run_season(DAILY, Site(10, 20), LOAM, FIR)


def test_a_season_is_drawn_and_a_season_without_its_series_says_so() -> None:
    season = run_season(DAILY, None, LOAM, FIR, refill=Refill())
    figure = season.plot(allowed_depletion=0.35, units="us")
    above, below = figure.axes
    assert above.get_ylabel() == "a day's water, in"
    drawn = {line.get_label(): line.get_ydata() for line in below.get_lines()}
    assert np.allclose(drawn["depletion of the root zone"], season.series("depletion_mm") / 25.4)
    assert np.allclose(drawn["water at"], 0.35 * season.series("taw_mm") / 25.4)
    totals = run_season(DAILY, None, LOAM, FIR, record="totals")
    with pytest.raises(MissingError, match=r"^the series rain_mm, .* were not kept\. Run the season with record='all' to draw it\.$"):
        totals.plot()
