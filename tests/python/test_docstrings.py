"""Every public function has a docstring whose example runs."""

import doctest
import importlib
import pkgutil
from types import ModuleType

import dibble
import pytest

MODULES = [m.name for m in pkgutil.iter_modules(dibble.__path__) if not m.name.startswith("_")]


def area(name: str) -> ModuleType:
    return importlib.import_module(f"dibble.{name}")


@pytest.mark.parametrize("name", MODULES)
def test_examples_of(name: str) -> None:
    module = area(name)
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    report: list[str] = []
    for test in doctest.DocTestFinder().find(module):
        runner.run(test, out=report.append)
    assert not runner.failures, "".join(report)


@pytest.mark.parametrize("name", MODULES)
def test_every_public_function_shows_an_example(name: str) -> None:
    module = area(name)
    functions = [getattr(module, n) for n in getattr(module, "__all__", [])]
    bare = [f.__name__ for f in functions if callable(f) and not isinstance(f, type) and ">>>" not in (f.__doc__ or "")]
    assert not bare
