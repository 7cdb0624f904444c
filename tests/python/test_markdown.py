"""The Python examples of the Markdown pages run as printed, each page from top to bottom."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from sybil import Sybil
from sybil.parsers.markdown import PythonCodeBlockParser

ROOT = Path(__file__).resolve().parents[2]
PAGES = sorted(page.name for page in ROOT.glob("*.md"))


@pytest.mark.parametrize("page", PAGES)
def test_examples_of(page: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    for example in Sybil([PythonCodeBlockParser()], path=str(ROOT)).parse(ROOT / page).examples():
        example.evaluate()


def test_the_commands_of_the_front_page_print_what_it_says(tmp_path: Path) -> None:
    page = (ROOT / "README.md").read_text()
    fenced = {kind: re.findall(rf"^```{kind}\n(.*?)^```", page, re.DOTALL | re.MULTILINE) for kind in ("console", "toml", "csv")}
    (tmp_path / "farm.toml").write_text(fenced["toml"][0])
    (tmp_path / "station.csv").write_text(fenced["csv"][0])
    assert len(fenced["console"]) >= 2
    for block in fenced["console"]:
        command, *expected = block.removesuffix("...\n").splitlines()
        words = shlex.split(command.removeprefix("$ python "))
        ran = subprocess.run([sys.executable, *words], cwd=tmp_path, capture_output=True, text=True, check=True)
        assert ran.stdout.splitlines()[: len(expected)] == expected, command
