"""A quick reading agrees with the full one in what it tells, and a later run completes it."""

from __future__ import annotations

from pathlib import Path

import pytest

from quiltgeom.demo.swatches import write_swatches
from quiltgeom.fabric.reading.read_file import read_quickly, read_swatch
from quiltgeom.onhand.index import open_index
from quiltgeom.onhand.indexing import index_folder

NAMES = ["shoal", "pebbles", "deep-water"]


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shelf")
    write_swatches(folder, NAMES)
    return folder


@pytest.mark.parametrize("name", NAMES)
def test_a_glance_sees_what_a_reading_sees(shelf: Path, name: str) -> None:
    quick, full = (f(shelf / f"{name}.jpg", 12.0) for f in (read_quickly, read_swatch))
    assert quick.loudness == pytest.approx(full.loudness, abs=0.05)
    assert quick.value.munsell == pytest.approx(full.value.munsell, abs=0.1)
    assert quick.palette[0].share == pytest.approx(full.palette[0].share, abs=0.1)
    assert quick.direction.confidence == 0
    assert quick.repeat.vectors_in == ()


def test_a_later_run_reads_the_rest(shelf: Path, tmp_path: Path) -> None:
    path = tmp_path / "on-hand.sqlite"
    first = index_folder(shelf, path, width=12.0, quick=True, workers=1)
    again = index_folder(shelf, path, width=12.0, quick=True, workers=1)
    assert (first.read, again.read, again.older) == (len(NAMES), 0, 0)
    with open_index(path) as index:
        assert all("quick" in index.reading(s)["notes"][-1] for s in index.swatches())
    full = index_folder(shelf, path, width=12.0, workers=1)
    assert full.read == len(NAMES)
    assert index_folder(shelf, path, width=12.0, quick=True, workers=1).read == 0
    with open_index(path) as index:
        assert all(not index.reading(s)["notes"] for s in index.swatches())
        assert index.reading(index.find("shoal"))["direction"]["confidence"] > 0
