"""The exceptions keep their facts on the way through pickle and stand where callers look for them."""

import pickle

import pytest

from dibble import errors
from dibble.errors import DibbleError, DibbleTypeError, OutOfRangeError


def test_every_class_is_a_dibble_error_and_a_value_error() -> None:
    for name in errors.__all__:
        error = getattr(errors, name)
        assert issubclass(error, DibbleError)
        assert issubclass(error, ValueError)
    assert issubclass(DibbleTypeError, TypeError)


@pytest.mark.parametrize("name", errors.__all__)
def test_pickle_keeps_class_message_and_facts(name: str) -> None:
    inner = OutOfRangeError("inner", name="rain_mm", value=-1.0, unit="mm", index=4)
    error = getattr(errors, name)("what and why", name="x", value=2.0, unit="m", row=7, place="line 3", problems=(inner,))
    back = pickle.loads(pickle.dumps(error))
    assert type(back) is type(error)
    assert str(back) == "what and why"
    assert {k: v for k, v in vars(back).items() if k != "problems"} == {k: v for k, v in vars(error).items() if k != "problems"}
    (kept,) = back.problems
    assert (str(kept), vars(kept)) == (str(inner), vars(inner))
