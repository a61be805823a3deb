"""Block and pattern files are found from the checkout, an editable install and a wheel."""

from __future__ import annotations

import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PROBE = """
import quiltgeom
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns
print(len(load_blocks()), len(load_patterns()), quiltgeom.__file__)
"""


def probe(folder: Path, *path: Path) -> tuple[int, int, Path]:
    """Ask a fresh interpreter, in a neutral folder, with only ``path`` and the dependencies."""
    code = "import sys; sys.path[:0] = " + repr([str(p) for p in path]) + "\n" + PROBE
    out = subprocess.run(
        [sys.executable, "-I", "-c", code], cwd=folder, check=True, capture_output=True, text=True
    ).stdout.split()
    return int(out[0]), int(out[1]), Path(out[2])


def files() -> tuple[int, int]:
    blocks = list((ROOT / "blocks").glob("*.toml"))
    return len(blocks), len(list((ROOT / "quiltgeom/patterns").glob("*.toml")))


def test_from_the_checkout(tmp_path: Path) -> None:
    blocks, patterns, where = probe(tmp_path, ROOT)
    assert (blocks, patterns) == files()
    assert where == ROOT / "quiltgeom/__init__.py"


@pytest.fixture(scope="module")
def wheel_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "-o", str(out), str(ROOT)],
        check=True,
        capture_output=True,
    )
    return out


def test_from_a_wheel_installed_elsewhere(wheel_folder: Path, tmp_path: Path) -> None:
    (wheel,) = wheel_folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(tmp_path / "site")  # what an installer does with a pure wheel
        names = archive.namelist()
    assert "quiltgeom/py.typed" in names
    assert any(n.startswith("quiltgeom/demo/designs/") for n in names)
    assert any(n.startswith("quiltgeom/documents/page/page.") for n in names)
    blocks, patterns, where = probe(tmp_path, tmp_path / "site")
    assert (blocks, patterns) == files()
    assert where == tmp_path / "site/quiltgeom/__init__.py"


def test_from_an_editable_install(tmp_path: Path) -> None:
    """A path file pointing at the checkout is what an editable install leaves behind."""
    purelib = Path(sysconfig.get_paths()["purelib"])
    links = [p for p in purelib.glob("*.pth") if str(ROOT) in p.read_text(errors="ignore")]
    if not links:
        pytest.skip("the package under test is not installed in editable mode")
    blocks, patterns, where = probe(tmp_path)
    assert (blocks, patterns) == files()
    assert where == ROOT / "quiltgeom/__init__.py"
