"""What the golden tests share: the snapshot of data, the check of a picture, the swatches."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from syrupy.assertion import SnapshotAssertion

from quiltgeom.render.png import draw_pixels
from quiltgeom.render.scene import Scene
from tests.golden.cloths import write_cloths
from tests.golden.compare import Pixels, compare, load, side_by_side
from tests.golden.extension import GoldenJSON

PICTURES = Path(__file__).with_name("pictures")
SIDE = 240

CheckPicture = Callable[[str, Scene], None]


@pytest.fixture
def golden(snapshot: SnapshotAssertion) -> SnapshotAssertion:
    """``assert data == golden``."""
    return snapshot.use_extension(GoldenJSON)


@pytest.fixture(scope="session")
def cloths(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The swatches of :mod:`tests.golden.cloths` as files, by name."""
    return write_cloths(tmp_path_factory.mktemp("cloths"))


def drawn(scene: Scene) -> Pixels:
    """A scene as pixels, its longer side :data:`SIDE`."""
    return draw_pixels(scene, SIDE / max(scene.width, scene.height))[:, :, 2::-1].copy()


@pytest.fixture
def check_picture(request: pytest.FixtureRequest, tmp_path: Path) -> CheckPicture:
    """Compare a scene with its golden picture; with ``--snapshot-update`` write it instead."""

    def check(name: str, scene: Scene) -> None:
        path, actual = PICTURES / f"{name}.png", drawn(scene)
        known = load(path) if path.exists() else actual[:0]
        found = compare(known, actual)
        if found.same:
            return
        if request.config.getoption("update_snapshots"):
            PICTURES.mkdir(exist_ok=True)
            Image.fromarray(actual).save(path, optimize=True)
            return
        folder = Path(os.environ.get("QUILTGEOM_GOLDEN_OUT") or tmp_path)
        where = side_by_side(known, actual, folder / f"{name}.png")
        pytest.fail(f"picture {name}: {found}; expected, actual and difference: {where}")

    return check
