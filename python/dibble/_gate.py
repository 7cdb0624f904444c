"""What may come in as numbers and days; the extension module calls this before it computes.

Plain floats and ints never come here: the extension module takes them itself.
"""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from dibble.errors import DibbleTypeError, MissingError, OutOfRangeError, UnreadableError

_Floats = npt.NDArray[np.float64]

# NumPy would read each byte as a number.
_BYTES = (bytes, bytearray, memoryview)

_PLAIN = "Give floats, integers or unsigned integers; missing values are NaN."

# Digits that a number of threads may have; int() itself gives up at some thousands.
_LONGEST_COUNT = 9

# From here on a float no longer holds every integer.
_EXACT_BELOW = 2.0**53

# Quantities with units (anything with `.to(unit).magnitude`) are converted by the suffix of the argument's name.
_UNIT_OF_SUFFIX = {
    "g_per_tree": "gram",
    "_mj_m2": "megajoule / meter ** 2",
    "_per_ha": "1 / hectare",
    "_per_kg": "dimensionless",
    "_kg_ha": "kilogram / hectare",
    "_kg_kg": "dimensionless",
    "_kg_m3": "kilogram / meter ** 3",
    "_mg_l": "milligram / liter",
    "_l_ha": "liter / hectare",
    "_g_cm3": "gram / centimeter ** 3",
    "_l_min": "liter / minute",
    "_ds_m": "decisiemens / meter",
    "_mm_h": "millimeter / hour",
    "_m_s": "meter / second",
    "_ppm": "ppm",
    "_m2": "meter ** 2",
    "_m3": "meter ** 3",
    "_kpa": "kilopascal",
    "_deg": "degree",
    "_pct": "percent",
    "_min": "minute",
    "_mm": "millimeter",
    "_ml": "milliliter",
    "_kg": "kilogram",
    "_ha": "hectare",
    "_c": "degree_Celsius",
    "_g": "gram",
    "_h": "hour",
    "_m": "meter",
}


def numbers(name: str, value: Any) -> float | _Floats:
    """Return `value` as a float or as an aligned float64 array, or refuse it with the reason."""
    if hasattr(value, "to") and hasattr(value, "magnitude"):
        value = _magnitude(name, value)
    if isinstance(value, np.ma.MaskedArray):
        raise _refused(name, value.dtype, value.shape, "its mask would be lost", "Fill it first: array.filled(numpy.nan).")
    if isinstance(value, (dt.date, dt.time, dt.timedelta)):
        raise _kind_refused(name, value)
    if isinstance(value, _BYTES) or (isinstance(value, (list, tuple)) and any(isinstance(one, _BYTES) for one in value)):
        raise _kind_refused(name, value, "bytes are not numbers", f"{_PLAIN} Bytes that hold numbers: numpy.frombuffer.")
    kind = getattr(getattr(value, "dtype", None), "kind", None)
    if kind in ("i", "u", "f") and not isinstance(value, (np.ndarray, np.generic)) and hasattr(value, "to_numpy"):
        # A series whose missing entries are marked beside the numbers.
        value = value.to_numpy(dtype=np.float64, na_value=np.nan) if hasattr(value, "isna") else value.to_numpy()
    try:
        array = np.asarray(value)
    except (ValueError, TypeError) as error:
        message = f"{name} cannot be read as an array: {str(error).rstrip('.')}. {_PLAIN}"
        raise DibbleTypeError(message, name=name) from error
    if array.dtype.kind not in "iuf":
        if array.ndim == 0:
            raise _kind_refused(name, value)
        raise _refused(name, array.dtype, array.shape, _why(array.dtype.kind), _PLAIN)
    if not array.flags.aligned:
        why = "its elements do not lie on addresses that can be read at once"
        raise _refused(name, array.dtype, array.shape, f"it is an unaligned view: {why}", "Copy it first: array.copy().")
    floats = array.astype(np.float64, copy=False)
    if array.dtype.kind in "iu" and array.itemsize == 8 and np.any(np.abs(floats) >= _EXACT_BELOW):
        raise _refused(name, array.dtype, array.shape, "an integer of 2**53 or more would be rounded", "Give it as a float if so meant.")
    return float(floats) if array.ndim == 0 else floats


def one_number(name: str, value: Any) -> float:
    """Return `value` as a float; an array is refused."""
    number = numbers(name, value)
    if isinstance(number, np.ndarray):
        raise _refused(name, number.dtype, number.shape, "one number is needed here", "Give a float.")
    return number


def positions(name: str, value: Any) -> tuple[tuple[int, ...], _Floats]:
    """Return the shape of all axes but the last, which holds x and y, and the numbers laid out flat."""
    # Shapes of other packages are rare here, and that file needs this one.
    from dibble import _shapes

    if _shapes.is_shape(value):
        array: float | _Floats = _shapes.points(name, value)
    elif isinstance(value, (list, tuple)) and value and all(hasattr(item, "__geo_interface__") for item in value):
        array = np.array([_shapes.points(name, item) for item in value])
    else:
        array = numbers(name, value)
    if isinstance(array, float):
        raise _kind_refused(name, value, "a pair of numbers is needed", "Give x and y for each position.")
    if array.size == 0 and array.ndim == 1:
        return (0,), array
    if array.ndim == 0 or array.shape[-1] != 2:
        raise _refused(name, array.dtype, array.shape, "its last axis must be two numbers", "Give x and y for each position.")
    return array.shape[:-1], np.ascontiguousarray(array).reshape(-1)


def broadcast(names: Sequence[str], arrays: Sequence[_Floats]) -> tuple[tuple[int, ...], list[_Floats]]:
    """Return the common shape and the arrays laid out flat over it."""
    try:
        shape = np.broadcast_shapes(*(array.shape for array in arrays))
    except ValueError as error:
        shapes = ", ".join(f"{name} {array.shape}" for name, array in zip(names, arrays, strict=True))
        message = f"shapes do not fit together: {shapes}. Give arrays of one shape, or of shapes that NumPy can broadcast."
        raise DibbleTypeError(message) from error
    flat = [np.ascontiguousarray(array if array.shape == shape else np.broadcast_to(array, shape)).reshape(-1) for array in arrays]
    return shape, flat


def day(name: str, value: Any) -> str:
    """Return a calendar day as ISO text; a day with a time or a time zone is refused."""
    if isinstance(value, str):
        return value
    if isinstance(value, np.datetime64) and np.datetime_data(value.dtype)[0] == "D" and not np.isnat(value):
        return str(value)
    if isinstance(value, dt.date) and not isinstance(value, dt.datetime):
        return value.isoformat()
    if isinstance(value, (dt.datetime, np.datetime64)) and value != value:  # NaT equals nothing
        message = f"{name} is missing (NaT). Give datetime.date, or text as 2026-07-14."
        raise MissingError(message, name=name)
    if isinstance(value, (dt.datetime, np.datetime64)):
        zone = " and a time zone" if getattr(value, "tzinfo", None) is not None else ""
        message = (
            f"{name} is {value}: it carries a time{zone}, and a day here is local standard time. Give datetime.date, or text as 2026-07-14."
        )
        raise DibbleTypeError(message, name=name)
    message = f"{name} is {shown(value)}: a day is needed. Give datetime.date, or text as 2026-07-14."
    raise DibbleTypeError(message, name=name)


def by_day(name: str, value: Any) -> list[tuple[Any, _Floats]]:
    """Return the days of a mapping, each with its numbers in a row."""
    if not isinstance(value, Mapping):
        raise DibbleTypeError(f'{name} is {shown(value)}: a mapping is needed, such as {{"2026-07-14": [12.5, 0.0]}}.', name=name)
    rows = [(day, np.atleast_1d(numbers(name, row))) for day, row in value.items()]
    for day, row in rows:
        if row.ndim > 1:
            raise _refused(f"{name} of {day}", row.dtype, row.shape, "numbers in a row are needed", "Give one axis.")
    return rows


def thread_count(n_threads: int | None) -> int | None:
    """Return the number of threads asked for, else that of `DIBBLE_NUM_THREADS`, else None."""
    if isinstance(n_threads, int) and n_threads < 0:
        raise OutOfRangeError(f"n_threads is {n_threads}: it must be 1 or more. Leave it out for one to each core.", name="n_threads")
    if n_threads is not None:
        return count("n_threads", n_threads)
    text = os.environ.get("DIBBLE_NUM_THREADS", "").strip()
    if not text:
        return None
    if not text.isdecimal() or len(text) > _LONGEST_COUNT:
        message = f'DIBBLE_NUM_THREADS is "{text[:20]}": a number of threads is needed. Set it to 1 or more, or unset it.'
        raise UnreadableError(message, name="DIBBLE_NUM_THREADS", value=text)
    return int(text)


def count(name: str, value: Any) -> int | None:
    """Return a number of steps or a seed: a whole number from 0 up to what 64 bits hold; None stays."""
    if value is None:
        return None
    number = whole(name, value)
    if not 0 <= number < 2**64:
        raise OutOfRangeError(f"{name} is {number}: it must be from 0 to 2**64 - 1.", name=name)
    return number


def whole(name: str, value: Any) -> int:
    """Return a whole number of any size, which the extension module holds against its range."""
    if isinstance(value, (bool, np.bool_)) or not isinstance(value, (int, np.integer)):
        raise DibbleTypeError(f"{name} is {shown(value)}: a whole number is needed.", name=name)
    return int(value)


def flag(name: str, value: Any) -> bool:
    """Return True or False."""
    if not isinstance(value, (bool, np.bool_)):
        raise DibbleTypeError(f"{name} is {shown(value)}: True or False is needed.", name=name)
    return bool(value)


def text(name: str, value: Any) -> str:
    """Return a text that can be written."""
    if not isinstance(value, str):
        raise DibbleTypeError(f"{name} is {shown(value)}: text is needed.", name=name)
    try:
        value.encode()
    except UnicodeEncodeError as error:
        raise UnreadableError(f"{name} holds half of a character pair at place {error.start + 1}. Read it as UTF-8.", name=name) from error
    return value


def items(name: str, value: Any, of: str) -> list[Any]:
    """Return what a list holds; `of` says what that should be."""
    # a mapping would give its keys, a set any order; an array of one number calls itself iterable
    if isinstance(value, (str, *_BYTES, Mapping, set, frozenset)) or not isinstance(value, Iterable) or getattr(value, "ndim", 1) == 0:
        raise DibbleTypeError(f"{name} is {shown(value)}: a list of {of} is needed.", name=name)
    return list(value)


def counts(name: str, values: Any) -> list[int]:
    """Return a list of whole numbers that 32 bits hold."""
    found = [whole(f"{name}[{i}]", value) for i, value in enumerate(items(name, values, "whole numbers"))]
    for i, number in enumerate(found):
        if not 0 <= number < 2**32:
            raise OutOfRangeError(f"{name}[{i}] is {number}: it must be from 0 to 2**32 - 1.", name=name)
    return found


def rows(name: str, values: Any, of: str, width: int) -> list[tuple[Any, ...]]:
    """Return a list of tuples that hold `width` things each; `of` says what they are."""
    found = items(name, values, f"rows, each {of},")
    for i, row in enumerate(found):
        if not isinstance(row, (tuple, list)) or len(row) != width:
            raise DibbleTypeError(f"{name}[{i}] is {shown(row)}: {of} is needed.", name=name)
    return [tuple(row) for row in found]


def mapping(name: str, value: Any, of: str) -> dict[Any, Any]:
    """Return a mapping; `of` says what it should hold."""
    if not isinstance(value, Mapping):
        raise DibbleTypeError(f"{name} is {shown(value)}: a mapping of {of} is needed.", name=name)
    return dict(value)


def figures(name: str, value: Any) -> dict[str, float | None]:
    """Return numbers by their names; None stays."""
    given = mapping(name, value, "numbers by their names")
    return {text(name, key): None if one is None else one_number(f"{name}.{key}", one) for key, one in given.items()}


def texts(name: str, values: Any) -> list[str]:
    """Return a list of texts."""
    return [text(f"{name}[{i}]", value) for i, value in enumerate(items(name, values, "texts"))]


def _magnitude(name: str, value: Any) -> Any:
    unit = next((unit for suffix, unit in _UNIT_OF_SUFFIX.items() if name.endswith(suffix)), "dimensionless")
    try:
        return value.to(unit).magnitude
    except Exception as error:  # each package of quantities has its own errors
        message = f"{name} is {value}: it cannot be converted to {unit} ({error}). Give a quantity of that kind, or a plain number."
        raise DibbleTypeError(message, name=name) from error


def _why(kind: str) -> str:
    return {
        "b": "truth values are not numbers",
        "c": "the imaginary part would be lost",
        "O": "objects are not numbers",
        "U": "text is not numbers",
        "S": "text is not numbers",
        "M": "dates are not numbers",
        "m": "time spans are not numbers",
    }.get(kind, "its type is not numeric")


def _refused(name: str, dtype: np.dtype[Any], shape: tuple[int, ...], why: str, hint: str) -> DibbleTypeError:
    return DibbleTypeError(f"{name} is an array of {dtype} with shape {shape}: {why}. {hint}", name=name)


def _kind_refused(name: str, value: Any, need: str = "a number is needed", hint: str = _PLAIN) -> DibbleTypeError:
    return DibbleTypeError(f"{name} is {shown(value)}: {need}. {hint}", name=name)


def shown(value: Any) -> str:
    """Return a value as a message shows it, with its class."""
    return f"{brief(value)} ({type(value).__name__})"


def brief(value: Any) -> str:
    """Return a value as a message shows it."""
    try:
        words = repr(value)
    except Exception:  # lists nested beyond all depth, classes that cannot be shown
        words = "..."
    return words if len(words) <= 60 else words[:57] + "..."
