"""The Python examples of the Markdown pages run as printed, each page from top to bottom."""

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
