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


def of(**odd: object) -> dict[str, object]:
    """Return jobs of which the second has a set with an odd field."""
    return {"jobs": [Job("A", sets(1, 5, 60)), {"name": "B", "sets": [{"name": "1", "move_min": 5, "run_min": 60} | odd]}]}


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
        *[
            ({"sprinklers": n}, errors.OutOfRangeError, f"sprinklers is {n}: sprinklers that run at the same time must be from 1 to 100.")
            for n in (0, -1, 101, 10**20)
        ],
        ({"sprinklers": 10**400}, errors.OutOfRangeError, "sprinklers is inf: "),
        ({"sprinklers": True}, errors.DibbleTypeError, "sprinklers is True (bool): a whole number is needed."),
        ({"sprinklers": None}, errors.DibbleTypeError, "sprinklers is None (NoneType): a whole number is needed."),
        ({"most_states": -1}, errors.OutOfRangeError, "most_states is -1: states of the exact search must be from 0 to 100000000."),
        ({"most_states": 2.5}, errors.DibbleTypeError, "most_states is 2.5 (float): a whole number is needed."),
        ({"jobs": None}, errors.DibbleTypeError, "jobs is None (NoneType): a list of jobs is needed."),
        ({"jobs": [Job(5, sets(1, 5, 60))]}, errors.DibbleTypeError, "jobs[0].name is 5 (int): text is needed."),  # type: ignore[arg-type]
        ({"jobs": [Job("A", None)]}, errors.DibbleTypeError, "jobs[0].sets is None (NoneType): a list of sets is needed."),  # type: ignore[arg-type]
        (
            {"jobs": [Job("A", sets(1, 5, 60), due=("2026-07-14", "2026-07-15"))]},  # type: ignore[arg-type]
            errors.DibbleTypeError,
            "jobs[0].due holds 2 moments: one is needed, or three (low end, likely, high end).",
        ),
        (of(may_split="no"), errors.DibbleTypeError, "jobs[1].sets[0].may_split is 'no' (str): True or False is needed."),
        (of(pulses=5), errors.DibbleTypeError, "jobs[1].sets[0].pulses is 5 (int): a list of pulses, each"),
        (of(pulses=[(5,)]), errors.DibbleTypeError, "jobs[1].sets[0].pulses[0] holds 1 numbers: two are needed"),
        (of(pulses=[(5, "x")]), errors.DibbleTypeError, "jobs[1].sets[0].pulses[0].soak_min is 'x' (str): a number is needed."),
        (of(move_min="x"), errors.DibbleTypeError, "jobs[1].sets[0].move_min is 'x' (str): a number is needed."),
        (of(run_min=None), errors.DibbleTypeError, "jobs[1].sets[0].run_min is None (NoneType): a number is needed."),
        ({"closed": 5}, errors.DibbleTypeError, "closed is 5 (int): a list of closed hours is needed."),
        ({"between_min": 5}, errors.DibbleTypeError, "between_min is 5 (int): a list of rows of minutes, one for each job, is needed."),
        ({"windows": [Window(5, "6:00")]}, errors.DibbleTypeError, "windows[0].opens is 5: a time of the day is needed."),  # type: ignore[arg-type]
        (
            {"now": "9999-12-31 23:59"},
            errors.UnreadableError,
            'cannot read date "9999-12-31": it lies outside the years 1800 to 2299. Write it as 2026-07-14.',
        ),
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


@pytest.mark.parametrize("moves", [-1, 10**20])
def test_moves_out_of_range_are_refused_with_their_range(moves: int) -> None:
    with pytest.raises(errors.OutOfRangeError, match=rf"^moves is {moves}: number of moves must be from 0 to 1000000\. Count"):
        cost.pass_cost(run_h=1, moves=moves)


@pytest.mark.parametrize("moves", ["12", None, float("nan"), True, 2.0])
def test_moves_are_a_whole_number(moves: object) -> None:
    with pytest.raises(errors.DibbleTypeError, match=r"^moves is .*: a whole number is needed\.$"):
        cost.pass_cost(run_h=1, moves=moves)  # type: ignore[arg-type]


def test_the_share_saved_has_two_ends() -> None:
    pair = cost.pass_worth(cost=1, trees=10, loss=3, saved=(0.1, 0.2))
    assert cost.pass_worth(cost=1, trees=10, loss=3, saved=[0.1, 0.2]) == pair
    with pytest.raises(errors.DibbleTypeError, match=r"^saved holds 1 numbers: two are needed, the low and the high end"):
        cost.pass_worth(cost=1, trees=10, loss=3, saved=(1,))
    with pytest.raises(errors.DibbleTypeError, match=r"^saved is 5 \(int\): a list of two numbers is needed\.$"):
        cost.pass_worth(cost=1, trees=10, loss=3, saved=5)  # type: ignore[arg-type]


def test_remedies_name_the_fault() -> None:
    def refused(remedy: object) -> str:
        with pytest.raises(errors.DibbleError) as caught:
            compare(farm(), WINDOWS, NOW, [remedy])  # type: ignore[list-item]
        return str(caught.value)

    assert refused({"what": "two", "sprinklers": -1}).startswith("sprinklers is -1: sprinklers that run at the same time")
    assert refused({"what": 2}) == "remedies[0].what is 2 (int): text is needed."
    assert refused({"what": "none", "jobs": 5}) == "remedies[0].jobs is 5 (int): a list of jobs is needed."
