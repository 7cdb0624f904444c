"""What may come in as numbers, what comes out, and the exact words for what may not."""

import pickle
import threading
from fractions import Fraction
from typing import Any

import numpy as np
import pandas as pd
import pint
import polars as pl
import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from dibble import units
from dibble._gate import day, thread_count
from dibble.errors import DibbleTypeError, MissingError, OutOfRangeError, UnknownNameError, UnreadableError

PLAIN = "Give floats, integers or unsigned integers; missing values are NaN."


def liters(depth_mm: Any, area_m2: Any = 2.0, **options: Any) -> Any:
    return units.depth_to_volume_l(depth_mm=depth_mm, area_m2=area_m2, **options)


@pytest.mark.parametrize("scalar", [3, 3.0, np.float64(3), np.float32(3), np.int8(3), np.uint64(3), np.array(3.0), np.array(3)])
def test_a_scalar_of_any_kind_gives_a_float(scalar: Any) -> None:
    out = liters(scalar)
    assert type(out) is float
    assert out == 6.0


@pytest.mark.parametrize(
    "column",
    [
        [1, 2, 3],
        (1.0, 2.0, 3.0),
        range(1, 4),
        np.array([1, 2, 3], dtype=np.uint8),
        np.array([1, 2, 3], dtype=np.float32),
        np.array([1, 2, 3], dtype=">f8"),
        np.array([3.0, 2.0, 1.0])[::-1],
        pd.Series([1.0, 2.0, 3.0]),
        pd.Series([1, 2, 3], dtype="Int64"),
        pd.Series([1.0, 2.0, 3.0], dtype="double[pyarrow]"),
        pl.Series([1, 2, 3]),
        pa.array([1.0, 2.0, 3.0]),
        pa.chunked_array([[1.0], [2.0, 3.0]]),
    ],
    ids=lambda c: f"{type(c).__module__}.{type(c).__name__}.{getattr(c, 'dtype', getattr(c, 'type', ''))}",
)
def test_columns_of_any_kind_are_read(column: Any) -> None:
    out = liters(column)
    assert isinstance(out, np.ndarray)
    assert out.dtype == np.float64
    assert out.tolist() == [2.0, 4.0, 6.0]


@pytest.mark.parametrize(
    "column",
    [
        [1.0, np.nan, 3.0],
        pd.Series([1, None, 3], dtype="Int64"),
        pd.Series([1.0, None, 3.0], dtype="Float64"),
        pd.Series([1.0, None, 3.0], dtype="double[pyarrow]"),
        pl.Series([1, None, 3]),
        pa.array([1.0, None, 3.0]),
    ],
    ids=lambda c: f"{type(c).__module__}.{type(c).__name__}.{getattr(c, 'dtype', getattr(c, 'type', ''))}",
)
def test_a_missing_element_gives_nan_at_its_place(column: Any) -> None:
    for mode in ("raise", "nan"):
        np.testing.assert_array_equal(liters(column, on_error=mode), [2.0, np.nan, 6.0])


def test_shapes_broadcast() -> None:
    depth = np.arange(6.0).reshape(2, 3)
    out = liters(depth, [[1.0], [10.0]])
    np.testing.assert_array_equal(out, depth * [[1.0], [10.0]])
    assert liters(np.empty((0, 3))).shape == (0, 3)
    assert liters(np.asfortranarray(depth)).tolist() == (depth * 2).tolist()


def unaligned() -> np.ndarray[Any, Any]:
    return np.frombuffer(b"x" * 17, dtype=np.uint8)[1:].view(np.float64)


@pytest.mark.parametrize(
    ("value", "message"),
    [
        (1j, f"depth_mm is 1j (complex): a number is needed. {PLAIN}"),
        ("1", f"depth_mm is '1' (str): a number is needed. {PLAIN}"),
        (None, f"depth_mm is None (NoneType): a number is needed. {PLAIN}"),
        (True, f"depth_mm is True (bool): a number is needed. {PLAIN}"),
        (Fraction(1, 2), f"depth_mm is Fraction(1, 2) (Fraction): a number is needed. {PLAIN}"),
        ([1 + 0j], f"depth_mm is an array of complex128 with shape (1,): the imaginary part would be lost. {PLAIN}"),
        ([True, False], f"depth_mm is an array of bool with shape (2,): truth values are not numbers. {PLAIN}"),
        (["1", "2"], f"depth_mm is an array of <U1 with shape (2,): text is not numbers. {PLAIN}"),
        ([1.0, None], f"depth_mm is an array of object with shape (2,): objects are not numbers. {PLAIN}"),
        (
            np.array(["2026-07-14"], dtype="datetime64[D]"),
            f"depth_mm is an array of datetime64[D] with shape (1,): dates are not numbers. {PLAIN}",
        ),
        (
            np.ma.masked_array([1.0, 2.0], mask=[False, True]),
            "depth_mm is an array of float64 with shape (2,): its mask would be lost. Fill it first: array.filled(numpy.nan).",
        ),
        (
            unaligned(),
            "depth_mm is an array of float64 with shape (2,): it is an unaligned view: its elements do not lie on addresses "
            "that can be read at once. Copy it first: array.copy().",
        ),
    ],
    ids=["complex", "text", "none", "bool", "fraction", "complexes", "bools", "texts", "objects", "dates", "masked", "unaligned"],
)
def test_what_is_not_numbers_is_refused(value: Any, message: str) -> None:
    with pytest.raises(DibbleTypeError) as caught:
        liters(value)
    assert str(caught.value) == message
    assert caught.value.name == "depth_mm"
    assert isinstance(caught.value, TypeError)


def test_shapes_that_do_not_fit_are_named() -> None:
    with pytest.raises(DibbleTypeError) as caught:
        liters([1.0, 2.0], [1.0, 2.0, 3.0])
    assert str(caught.value) == (
        "shapes do not fit together: depth_mm (2,), area_m2 (3,). Give arrays of one shape, or of shapes that NumPy can broadcast."
    )


RANGE = "water depth must be from 0 to 2000 mm. Give millimeters; 1 in is 25.4 mm."


@pytest.mark.parametrize(("value", "shown"), [(np.nan, "NaN"), (np.inf, "inf"), (-np.inf, "-inf"), (-1, "-1"), (2000.5, "2000.5")])
def test_a_scalar_out_of_range_is_refused_in_every_mode(value: float, shown: str) -> None:
    for mode in ("raise", "nan"):
        with pytest.raises(OutOfRangeError) as caught:
            liters(value, on_error=mode)
        assert str(caught.value) == f"depth_mm is {shown} mm: {RANGE}"
        assert (caught.value.name, caught.value.unit, caught.value.index) == ("depth_mm", "mm", None)


def test_a_scalar_broadcast_against_arrays_is_refused_in_every_mode() -> None:
    for mode in ("raise", "nan"):
        with pytest.raises(OutOfRangeError, match=r"^area_m2 is -1 m2: "):
            liters([1.0, 2.0], -1, on_error=mode)


def test_an_array_names_its_first_faulty_element_and_counts_the_rest() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        liters([1.0, np.nan, -2.0, np.inf, -3.0])
    assert str(caught.value) == f"depth_mm[2] is -2 mm: {RANGE} (2 more values are out of range)"
    back = pickle.loads(pickle.dumps(caught.value))
    assert (back.index, back.value, back.name, str(back)) == (2, -2.0, "depth_mm", str(caught.value))


def test_faulty_elements_become_nan_when_asked() -> None:
    np.testing.assert_array_equal(liters([1.0, np.nan, -2.0, np.inf], on_error="nan"), [2.0, np.nan, np.nan, np.nan])


def test_an_unknown_mode_is_refused() -> None:
    with pytest.raises(UnknownNameError) as caught:
        liters([1.0], on_error="ignore")
    assert str(caught.value) == 'on_error "ignore" is not known. Known: "raise", "nan".'


def test_quantities_with_units_are_converted() -> None:
    registry: Any = pint.UnitRegistry()
    assert liters(registry.Quantity(1.0, "inch"), registry.Quantity(1.0, "acre")) == pytest.approx(25.4 * 4046.873, rel=1e-5)
    assert liters(registry.Quantity(np.array([1.0, 2.0]), "cm")).tolist() == [20.0, 40.0]
    with pytest.raises(DibbleTypeError, match=r"^depth_mm is 1.0 second: it cannot be converted to millimeter"):
        liters(registry.Quantity(1.0, "second"))


@settings(deadline=None)
@given(hnp.arrays(np.float64, hnp.array_shapes(max_dims=3, max_side=5), elements=st.floats(0, 2000)))
def test_scalars_and_arrays_give_the_same_bits(depth: Any) -> None:
    one_by_one = [units.convert(float(d), "in", "ft") for d in depth.flat]
    together = units.convert(depth, "in", "ft")
    assert together.tobytes() == np.array(one_by_one).tobytes()


def test_large_arrays_give_the_same_bits_as_small_ones() -> None:
    depth = np.random.default_rng(7).uniform(0, 2000, 70_000)
    assert liters(depth).tobytes() == np.concatenate([liters(half) for half in np.split(depth, 2)]).tobytes()


def test_eight_threads_give_one_answer() -> None:
    depth = np.random.default_rng(8).uniform(0, 2000, 100_000)
    expected = liters(depth).tobytes()
    answers: list[bytes] = []

    def work() -> None:
        for _ in range(5):
            answers.append(liters(depth).tobytes())

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [expected] * 40


def test_an_integer_that_a_float_cannot_hold_is_refused() -> None:
    with pytest.raises(DibbleTypeError, match=r"an integer of 2\*\*53 or more would be rounded. Give it as a float if so meant"):
        liters(np.array([1, 2**53 + 1]))


def test_a_missing_day_is_called_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(MissingError, match=r"^today is missing \(NaT\). Give datetime.date, or text as 2026-07-14.$"):
        day("today", pd.NaT)
    with pytest.raises(MissingError):
        day("today", np.datetime64("NaT"))
    monkeypatch.setenv("DIBBLE_NUM_THREADS", "1" * 5000)
    with pytest.raises(UnreadableError, match="a number of threads is needed"):
        thread_count(None)
