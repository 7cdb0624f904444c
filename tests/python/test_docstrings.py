"""The examples of all docstrings run, those of classes made in Rust included, and every public function has one."""

import doctest
import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from typing import Any

import pytest

import dibble

# The areas, and the areas within them; what a file inside of one has to show is shown there.
AREAS = [
    name
    for m in pkgutil.walk_packages(dibble.__path__, "dibble.")
    if not (name := m.name.removeprefix("dibble.")).startswith("_") and (m.ispkg or "." not in name)
]


def public(area: str) -> Iterator[tuple[str, Any]]:
    """Yield the area's public objects, and the members of its classes."""
    module = importlib.import_module(f"dibble.{area}")
    yield f"dibble.{area}", module
    for name in getattr(module, "__all__", []):
        member = getattr(module, name)
        yield name, member
        if inspect.isclass(member):
            for inner in vars(member):
                if not inner.startswith("__"):
                    yield f"{name}.{inner}", getattr(member, inner)


DOCUMENTED = [
    pytest.param(inspect.getdoc(member), id=f"{area}: {name}")
    for area in AREAS
    for name, member in public(area)
    if ">>>" in (inspect.getdoc(member) or "")
]


@pytest.mark.parametrize("text", DOCUMENTED)
def test_example_of(text: str, request: pytest.FixtureRequest) -> None:
    report: list[str] = []
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS)
    runner.run(doctest.DocTestParser().get_doctest(text, {}, request.node.name, None, 0), out=report.append)
    assert runner.tries
    assert not runner.failures, "".join(report)


@pytest.mark.parametrize("area", AREAS)
def test_every_public_function_shows_an_example(area: str) -> None:
    bare = [name for name, member in public(area) if inspect.isfunction(member) and "." not in name and ">>>" not in (member.__doc__ or "")]
    assert not bare
