"""What pyproject.toml declares is what the package and the tests import: no more, no less."""

from __future__ import annotations

import ast
import sys
import tomllib
from collections.abc import Set
from importlib.metadata import packages_distributions
from pathlib import Path
from typing import Any

import pytest

from tests.lowest import differing, lower_bounds, plain

ROOT = Path(__file__).resolve().parents[2]
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
DECLARED = {plain(r.partition(">=")[0]) for r in PROJECT["dependencies"]}
OPTIONAL = {plain(r.partition(">=")[0]) for r in PROJECT["optional-dependencies"]["dxf"]}
TESTING = set(lower_bounds(PROJECT)) - DECLARED
OUR_OWN = {"quiltgeom", "tests", *(p.stem for p in (ROOT / "tests").rglob("*.py"))}
LOADERS = {"import_module", "files"}
"""Functions whose first argument, where it is a plain name, is a module."""
NOT_IMPORTED = {"build", "hatchling", "pytest-xdist", "syrupy"}
"""Used by the tests without an import: run as programs, or add-ons of pytest."""


def modules(text: str, loaders: Set[str] = LOADERS) -> set[str]:
    """Top-level names of all that a module imports, anywhere in it."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found |= {a.name for a in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found.add(node.module)
        elif isinstance(node, ast.Call) and node.args:
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            given = node.args[0]
            if name in loaders and isinstance(given, ast.Constant):
                found |= {n for n in [str(given.value)] if n.replace(".", "_").isidentifier()}
    return {name.partition(".")[0] for name in found}


def packages(folder: Path, loaders: Set[str] = LOADERS) -> dict[str, str]:
    """Packages of others that the modules in a folder import, each with a file that does."""
    owners = packages_distributions()
    found: dict[str, str] = {}
    for path in sorted(folder.rglob("*.py")):
        if "benchmarks" in path.parts:  # run by hand, and say what they need
            continue
        found_here = modules(path.read_text("utf-8"), loaders)
        for name in sorted(found_here - set(sys.stdlib_module_names)):
            if name not in OUR_OWN:
                found.setdefault(plain(owners.get(name, [name])[0]), f"{name} in {path}")
    return found


def test_the_package_imports_what_is_declared() -> None:
    used = packages(ROOT / "quiltgeom")
    assert len(used) > 6
    assert {k: v for k, v in used.items() if k not in DECLARED | OPTIONAL} == {}


def test_nothing_is_declared_for_nothing() -> None:
    assert (DECLARED | OPTIONAL) - set(packages(ROOT / "quiltgeom")) == set()


def test_the_tests_import_what_is_declared() -> None:
    used = packages(ROOT / "tests")
    assert {k: v for k, v in used.items() if k not in DECLARED | TESTING} == {}
    perhaps = packages(ROOT / "tests", LOADERS | {"importorskip"})
    assert TESTING - NOT_IMPORTED - set(perhaps) == set()


def test_extras_agree() -> None:
    """What the package can do with an extra is tested with the same release."""
    extras = PROJECT["optional-dependencies"]
    assert set(extras["dxf"]) <= set(extras["test"])


def test_these_checks_can_fail() -> None:
    text = "import numpy.linalg\ndef f():\n from scipy import x\n import_module('ezdxf')\n"
    assert modules(text + "from . import y\nfiles('font_source_sans_pro')") == {
        "numpy",
        "scipy",
        "ezdxf",
        "font_source_sans_pro",
    }
    assert differing({"a": "1.10"}, {"a": "1.1"}) == ["a: declared 1.10, installed 1.1"]
    assert differing({"a": "2"}, {}) == ["a: declared 2, installed nothing"]
    with pytest.raises(SystemExit, match="found 'a<2'"):
        lower_bounds({"dependencies": ["a<2"], "optional-dependencies": {"test": []}})
