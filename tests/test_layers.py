"""Imports point down the list of layers, never up, and the package itself is light."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import quiltgeom

ROOT = Path(quiltgeom.__file__).parent
LAYERS = [
    "errors",
    "checks",
    "tolerance",
    "units",
    "colour",
    "texts",
    "files",
    "outputs",
    "geometry",
    "model",
    "library",
    "layout",
    "fabric",
    "onhand",
    "cutting",
    "piecing",
    "matching",
    "render",
    "sewing",
    "tracing",
    "proposal",
    "documents",
    "jobs",
    "demo",
    "cli",
]
FREE = {"__init__", "__main__"}
"""The front door: names every layer, but only when asked."""


def layer_of(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


def imported(tree: ast.AST) -> list[str]:
    """Layers that a module imports, anywhere in it, but not for type checking alone."""
    skip = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)
        for inner in ast.walk(node)
    }
    found = []
    for node in ast.walk(tree):
        if id(node) in skip:
            continue
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("quiltgeom."):
            found.append((node.module or "").split(".")[1])
        elif isinstance(node, ast.Import):
            found += [a.name.split(".")[1] for a in node.names if a.name.startswith("quiltgeom.")]
    return found


def upward(layer: str, text: str) -> list[str]:
    rank = {name: i for i, name in enumerate(LAYERS)}
    return [other for other in imported(ast.parse(text)) if rank[other] > rank[layer]]


def test_no_layer_imports_a_later_one() -> None:
    wrong = {}
    for path in sorted(ROOT.rglob("*.py")):
        layer = layer_of(path)
        if layer not in FREE:
            assert layer in LAYERS, f"{path}: which layer is this?"
            wrong[str(path)] = upward(layer, path.read_text(encoding="utf-8"))
    assert {k: v for k, v in wrong.items() if v} == {}
    assert len(wrong) > 30


def test_this_check_can_fail() -> None:
    assert upward("geometry", "from quiltgeom.render.png import x") == ["render"]
    assert upward("render", "def f():\n    import quiltgeom.cli.commands.demo_command") == ["cli"]
    assert upward("render", "from quiltgeom.geometry.outline import x") == []


def test_importing_the_package_is_light() -> None:
    code = "import sys, quiltgeom; print(' '.join(sorted(sys.modules)))"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(out.stdout.split())
    heavy = {"cairocffi", "cairosvg", "PIL", "svgwrite", "numpy", "shapely", "fontTools", "scipy"}
    assert not loaded & heavy


def test_drawing_without_cairo_says_what_to_install() -> None:
    code = (
        "import sys, types\n"
        "class Missing:\n"
        "    def find_spec(self, name, *rest):\n"
        "        if name == 'cairocffi': raise OSError('no library called \"cairo-2\" was found')\n"
        "sys.meta_path.insert(0, Missing())\n"
        "from quiltgeom.cli import main\n"
        "sys.argv = ['quiltgeom', 'patterns', 'gull-cove', '-o', 'never.png']\n"
        "main()\n"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert out.returncode == 2
    assert "apt-get install libcairo2" in out.stderr
    assert "Traceback" not in out.stderr
    assert not Path("never.png").exists()


def test_every_name_of_the_front_door_is_there() -> None:
    for name in quiltgeom.__all__:
        assert getattr(quiltgeom, name).__name__ == name
