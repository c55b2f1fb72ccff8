"""Every example in a docstring or a page runs and prints what it says."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
from pathlib import Path

import pytest
from sybil import Sybil
from sybil.parsers.myst import DocTestDirectiveParser, PythonCodeBlockParser

import heelball

REPOSITORY = Path(__file__).resolve().parents[2]
MODULES = [module.name for module in pkgutil.walk_packages(heelball.__path__, "heelball.")]
PAGES = [
    page
    for page in [*REPOSITORY.glob("*.md"), *(REPOSITORY / "docs").rglob("*.md")]
    if not page.is_relative_to(REPOSITORY / "docs" / "_build")
]


@pytest.mark.parametrize("name", MODULES)
def test_docstring_examples(name: str) -> None:
    result = doctest.testmod(importlib.import_module(name), optionflags=doctest.NORMALIZE_WHITESPACE)
    assert result.failed == 0


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(REPOSITORY)))
def test_page_examples(page: Path) -> None:
    document = Sybil(parsers=[PythonCodeBlockParser(), DocTestDirectiveParser()]).parse(page)
    for example in document.examples():
        example.evaluate()
