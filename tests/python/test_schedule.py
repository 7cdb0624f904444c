"""The order of the week and its cost from Python: hand work, brute force, shapes of input, refusals."""

import datetime as dt
import itertools
import pickle
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import dibble
from dibble import cost, errors
from dibble.farm import Farm
from dibble.outlook import sensitivity
from dibble.schedule import (
    Closed,
    ClosedHours,
    Job,
    Remedy,
    Schedule,
    SetWork,
    Window,
    clock_words,
    closed_hours,
    compare,
    start_by,
)


def sets(count: int, move_min: float, run_min: float) -> list[SetWork]:
    return [SetWork(str(i + 1), move_min, run_min) for i in range(count)]


def farm() -> list[Job]:
    """Return the hand-worked farm of tests/schedule.rs: its latest begin is Tuesday 7:15 pm."""
    return [
        Job("A", sets(3, 30, 75), due="2026-07-15 09:00"),
        Job("B", sets(2, 30, 90), due=dt.datetime(2026, 7, 15, 21)),
        Job("C", sets(1, 30, 30), due=("2026-07-16 12:00", "2026-07-17", "2026-07-18")),
        Job("D", sets(1, 30, 150), due="2026-07-16 09:00"),
    ]


WINDOWS = [Window("5:00", "9:00"), Window("5 pm", dt.time(21), days="every day")]
NOW = "2026-07-14 05:00"


def test_the_hand_worked_farm_begins_at_a_quarter_past_seven() -> None:
    week = start_by(farm(), WINDOWS, NOW)
    assert (week.start_by, week.order, week.in_time, week.exact) == ("2026-07-14 19:15", ["A", "B", "D", "C"], True, True)
    assert week.start_by is not None
    assert clock_words(week.start_by) == "Tue 7:15 pm"
    assert week.timetable[0]["on"] == "2026-07-14 19:45"
    assert "start_by: 2026-07-14 19:15" in str(week)
    assert Schedule.from_json(week.to_json()) == week == pickle.loads(pickle.dumps(week))


def test_jobs_may_be_dicts_and_numbers_may_come_from_numpy() -> None:
    as_dicts = [job._asdict() | {"sets": [s._asdict() for s in job.sets]} for job in farm()]
    assert start_by(as_dicts, [w._asdict() for w in WINDOWS], NOW) == start_by(farm(), WINDOWS, NOW)
    run = np.array([120.0, 240.0])
    week = start_by([Job("dry", [SetWork("1", np.int64(0), run)], due="2026-07-15 12:00")], [Window("8:00", "12:00")], "2026-07-14 08:00")
    assert (week.start_by, week.timetable[0]["run_min"]) == ("2026-07-15 08:00", 240.0)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(0, 4), st.integers(0, 40)), min_size=1, max_size=5),
    st.integers(9, 14),
)
def test_the_order_equals_brute_force(drawn: list[tuple[int, int, int]], opened: int) -> None:
    now = dt.datetime(2026, 7, 14)
    jobs = [
        Job(str(i), [SetWork("1", 0, run)], due=now + dt.timedelta(days=day, hours=6, minutes=minute))
        for i, (run, day, minute) in enumerate(drawn)
    ]
    week = start_by(jobs, [Window("6:00", f"6:{opened:02}")], now)

    def worked(minutes: int) -> int:
        day, rest = divmod(minutes, 1440)
        return day * opened + min(max(rest - 360, 0), opened)

    def short(order: tuple[int, ...]) -> int:
        free, missing = 0, 0
        for i in order:
            run, day, minute = drawn[i]
            into = free % opened
            free = free + run if into + run <= opened else free - into + opened + run
            missing = max(missing, free - worked(1440 * day + 360 + minute))
        return missing

    least = min(short(order) for order in itertools.permutations(range(len(drawn))))
    assert round(60 * week.short_h) == least
    assert week.in_time == (least == 0)


def test_remedies_side_by_side() -> None:
    late = [*farm()[1:3], Job("D", sets(1, 30, 210), due="2026-07-16 09:00")]
    night = Remedy("an hour in the evening", windows=[*WINDOWS, Window("21:00", "22:00")])
    answers = compare(late, WINDOWS, "2026-07-15 17:00", [night, {"what": "two", "sprinklers": 2}])
    assert [(a["what"], a["in_time"]) for a in answers] == [("an hour in the evening", True), ("two", True)]


def test_closed_hours_and_progress() -> None:
    seen: list[tuple[int, int]] = []
    wind = Closed("2026-07-14 17:00", dt.datetime(2026, 7, 14, 21), "wind")
    week = start_by(farm(), WINDOWS, NOW, closed=[wind], progress=lambda done, total: seen.append((done, total)))
    assert week.in_time
    assert week.start_by is not None
    assert week.start_by < "2026-07-14 17:00"
    assert seen


@pytest.mark.parametrize(
    ("change", "kind", "message"),
    [
        ({"windows": [Window("6:00", "6:00")]}, errors.InconsistentError, "never opens"),
        ({"windows": [Window("25:00", "6:00")]}, errors.UnreadableError, 'cannot read time "25:00": there is no such time of the day.'),
        ({"windows": []}, errors.MissingError, "windows is missing."),
        ({"jobs": []}, errors.MissingError, "jobs is missing."),
        ({"jobs": [Job("A", sets(1, -5, 60))]}, errors.OutOfRangeError, "move_min is -5 min"),
        ({"jobs": [Job("A", sets(1, float("nan"), 60))]}, errors.OutOfRangeError, "move_min is NaN min"),
        ({"jobs": [Job("A", sets(1, 5, 600))]}, errors.InfeasibleError, "the longest working window is 240 min"),
        ({"jobs": [{"name": "A", "set": []}]}, errors.DibbleTypeError, "Give Job(name, sets, due"),
        ({"jobs": ["A"]}, errors.DibbleTypeError, "'A' is no Job."),
        ({"now": 5}, errors.DibbleTypeError, "now is 5: a time is needed."),
        ({"now": dt.datetime(2026, 7, 14, tzinfo=dt.UTC)}, errors.DibbleTypeError, "it carries a time zone"),
        ({"sprinklers": 0}, errors.InconsistentError, "0 sprinklers."),
    ],
)
def test_what_makes_no_sense_is_refused(change: dict[str, object], kind: type[Exception], message: str) -> None:
    asked = {"jobs": farm(), "windows": WINDOWS, "now": NOW} | change
    with pytest.raises(kind) as caught:
        start_by(**asked)  # type: ignore[arg-type]
    assert message in str(caught.value)


def test_cost_and_worth_add_up() -> None:
    of_pass = cost.pass_cost(run_h=10, fuel_per_h=2, fuel_price=1.5, moves=12, move_min=30, people=2, watch_h=2, wage_h=20, trees=1700)
    assert (of_pass.fuel, of_pass.labor, of_pass.total, of_pass.people_h) == (30.0, 280.0, 310.0, 14.0)
    tree = cost.tree_worth(price=30, years=8, interest=0.06, replant_cost=2)
    assert tree.present == pytest.approx(30 / 1.06**8, rel=1e-13)
    assert tree.loss == pytest.approx(2 + 30 / 1.06**8 - 30 / 1.06**9, rel=1e-13)
    worth = cost.pass_worth(cost=of_pass.total, trees=1700, loss=tree.loss, saved=(0.0, 0.5))
    assert worth.break_even_trees == pytest.approx(310 / tree.loss)
    assert worth.gain is not None
    assert worth.gain[0] == -310.0
    assert pickle.loads(pickle.dumps(worth)) == worth
    with pytest.raises(errors.OutOfRangeError, match=r"interest is 6: interest must be from 0 to 1\."):
        cost.tree_worth(price=30, years=8, interest=6)


def hours_of(first: str, wind_m_s: list[float]) -> dict[str, object]:
    start = dt.datetime.fromisoformat(first)
    return {"date": [start + dt.timedelta(hours=n) for n in range(len(wind_m_s))], "t_c": [20.0] * len(wind_m_s), "wind_m_s": wind_m_s}


def test_closed_hours_come_back_and_move_the_week() -> None:
    # the pump may run from 5 to 11 in the morning: the whole of the first one is closed
    shut = closed_hours(hours_of("2026-07-14 00:00", [9.0] * 12 + [1.0] * 60), wind_m_s=4.5)
    assert ClosedHours.from_json(shut.to_json()) == shut
    assert pickle.loads(pickle.dumps(shut)) == shut
    assert (shut.first, shut.last, shut.limits) == ("2026-07-14 00:00", "2026-07-17 00:00", {"wind_m_s": 4.5, "t_c": None})
    assert shut.closed == [{"from": "2026-07-14 00:00", "to": "2026-07-14 12:00", "why": "wind"}]
    # times that name the end of the hour begin one earlier
    ends = closed_hours(hours_of("2026-07-14 00:00", [9.0] * 12), wind_m_s=4.5, stamp="end")
    assert ends.closed == [{"from": "2026-07-13 23:00", "to": "2026-07-14 11:00", "why": "wind"}]
    farm, weather = Farm.demo(), Farm.demo_weather()
    week = dibble.plan(farm, weather, closed=shut).week
    assert week is not None
    assert min(run["begin"] for run in week["schedule"]["timetable"]) >= "2026-07-14 12:00"
    assert week["hours"]["limits"] == shut.limits
    now, windy = sensitivity(farm, weather).now[0], sensitivity(farm, weather, closed=shut).now[0]
    assert windy["start_h"] > now["start_h"]


@pytest.mark.parametrize(
    ("ask", "kind", "message"),
    [
        (lambda: closed_hours(hours_of("2026-07-14", [1.0])), errors.MissingError, "a limit is missing. Give the wind, the heat or both"),
        (
            lambda: closed_hours(hours_of("2026-07-14", [999.0]), wind_m_s=5),
            errors.OutOfRangeError,
            "2026-07-14 00:00: wind_m_s is 999 m/s:",
        ),
        (lambda: closed_hours("none.csv", wind_m_s=5), errors.FileError, "cannot read none.csv: "),
        (
            lambda: dibble.plan(Farm.demo(), Farm.demo_weather(), closed=[]),  # type: ignore[arg-type]
            errors.DibbleTypeError,
            "closed is of class list: a ClosedHours is needed.",
        ),
    ],
)
def test_hours_that_close_nothing_sensible_are_refused(ask: Callable[[], object], kind: type[Exception], message: str) -> None:
    with pytest.raises(kind) as refused:
        ask()
    assert str(refused.value).startswith(message)
