"""How the documentation is built: offline, from the pages here and the docstrings of the package."""

from __future__ import annotations

import logging
from types import BuiltinFunctionType, GenericAlias
from typing import Any

from docutils import nodes
from sphinx.application import Sphinx
from sphinx.writers.html5 import HTML5Translator

import heelball

# Alembic tells of each of its parts when it is imported.
logging.getLogger("alembic").setLevel(logging.WARNING)

project = "Heelball"
author = "The Heelball authors"
copyright = author
version = release = heelball.__version__

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.autosummary",
    "numpydoc",
]

myst_enable_extensions = ["colon_fence", "deflist"]
myst_heading_anchors = 3

# One page for each module, written when the documentation is built (see reference.md).
autosummary_generate = True
templates_path = ["_templates"]
autodoc_member_order = "bysource"
autodoc_typehints = "signature"
numpydoc_show_class_members = False
numpydoc_xref_param_type = False

# A name in single backticks is code.
default_role = "code"

exclude_patterns = ["_build"]
html_theme = "furo"
html_title = f"Heelball {release}"
html_math_renderer = "plain"
html_show_sphinx = False
html_copy_source = False


def _open_formula(writer: HTML5Translator, formula: nodes.Element) -> None:
    block = isinstance(formula, nodes.math_block)
    writer.body.append(writer.starttag(formula, "pre" if block else "code", "", CLASS="math"))
    writer.body.append(writer.encode(formula.astext()))
    writer.body.append("</pre>\n" if block else "</code>")
    raise nodes.SkipNode


def _skip_alias(*asked: Any) -> bool | None:
    # A name for tuple[...] is taken for a class without a signature; where it is used, it is spelled out.
    # Nor is what C code brings into a module, such as a lock, its own.
    _, _, _, member, _, _ = asked
    return True if isinstance(member, GenericAlias | BuiltinFunctionType) else None


def setup(app: Sphinx) -> dict[str, Any]:
    """Show formulas as they are written, without a script or the network; pass over names of types."""
    app.connect("autodoc-skip-member", _skip_alias)
    app.add_html_math_renderer("plain", (_open_formula, None), (_open_formula, None))
    return {"parallel_read_safe": True, "parallel_write_safe": True}
