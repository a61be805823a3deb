"""Imports point down the list of layers, never up, and the package itself is light."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections import Counter
from collections.abc import Collection
from graphlib import TopologicalSorter
from pathlib import Path

import quiltgeom
from quiltgeom.cli import COMMANDS
from quiltgeom.demo.swatches import write_swatches

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
    "demo",
    "jobs",
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


OPEN_TO_COMMANDS = {
    "jobs": "functions of the jobs",
    "cli": "what commands have in common",
    "errors": "ground floor",
    "texts": "ground floor",
    "units": "ground floor",
    "model.fabric": "the words for directions of a print, to choose from",
    "piecing.difficulty": "the words for what a maker can sew, to choose from",
    "cutting.buying.yardage": "the sizes of beds, to choose from",
}
"""What commands may import beside the front door itself, and why."""


def behind_the_door(text: str) -> list[str]:
    """Modules that a command imports although it should call a function of the front door."""
    found = [
        (node.module or "").removeprefix("quiltgeom.")
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("quiltgeom.")
    ]
    return [m for m in found if not {m, m.split(".")[0]} & OPEN_TO_COMMANDS.keys()]


def test_commands_call_functions_of_the_front_door() -> None:
    """They parse, call, print: nothing deeper is imported, at the top or inside a function."""
    texts = {p.name: p.read_text(encoding="utf-8") for p in ROOT.glob("cli/commands/*_command.py")}
    assert len(texts) == len(COMMANDS)
    wrong = {name: behind_the_door(text) for name, text in texts.items()}
    assert {k: v for k, v in wrong.items() if v} == {}
    inside = "def f():\n    from quiltgeom.render.png import x\n    import quiltgeom as qg"
    assert behind_the_door(inside) == ["render.png"]


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


def modules() -> dict[str, Path]:
    """Every module of the package by its dotted name."""
    found = {}
    for path in ROOT.rglob("*.py"):
        name = ".".join(("quiltgeom", *path.relative_to(ROOT).with_suffix("").parts))
        found[name.removesuffix(".__init__")] = path
    return found


def needs(path: Path, known: Collection[str]) -> set[str]:
    """Modules that one imports anywhere, for type checking, too."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            inside = {f"{node.module}.{a.name}" for a in node.names}
            found |= inside & known if inside & known else {node.module} & known
    return found


def test_nothing_is_imported_in_a_circle() -> None:
    known = modules()
    del known["quiltgeom"]  # names every room, but only when asked
    graph = {name: needs(path, known.keys()) - {name} for name, path in known.items()}
    assert sum(map(len, graph.values())) > 500
    assert tuple(TopologicalSorter(graph).static_order())  # CycleError names the circle


def test_every_module_has_a_name_of_its_own_and_no_folder_is_crowded() -> None:
    paths = [p for p in modules().values() if p.name != "__init__.py"]
    twice = {name for name, n in Counter(p.stem for p in paths).items() if n > 1}
    assert twice == set()
    crowded = {f: n for f, n in Counter(p.parent for p in paths).items() if n > 16}
    assert crowded == {}


def test_photo_to_kit(tmp_path: Path) -> None:
    """The script of the documents, on a print of the demo: it uses the front door and no more."""
    script = Path(__file__).parents[1] / "docs" / "photo_to_kit.py"
    text = script.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 60
    assert [n for n in imported(ast.parse(text))] == []
    write_swatches(tmp_path / "shelf", names=["harbour-morning"], ppi=50)
    photo = tmp_path / "shelf" / "harbour-morning.jpg"
    command = [sys.executable, str(script), str(photo), str(tmp_path / "out")]
    out = subprocess.run(command, capture_output=True, text=True, check=True)
    told = out.stdout.splitlines()[-2:]
    same = "<Quilt net-loft-lane 42 x 42 in, 3 x 3 blocks, 40 patches>, cuts from"
    assert [same in line for line in told] == [True, True]
    kits = [tmp_path / "out" / "sent" / name for name in ("python", "file")]
    assert all((kit / "patterns" / "net-loft-lane.toml").is_file() for kit in kits)
    pictures = {(kit / "quilt.svg").read_bytes() for kit in kits}
    assert len(pictures) == 1
