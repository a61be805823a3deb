"""Three demo prints and a shelf of demo swatches: what is proposed is what the trade would say."""

from __future__ import annotations

from pathlib import Path

import pytest

from quiltgeom.demo.swatches import swatch_info, write_swatches
from quiltgeom.matching.companions import Companions, companions_for
from quiltgeom.model.design import Design
from quiltgeom.onhand.index import OnHand, open_index
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.render.greyscale_check import separation

PRINTS = ("harbour-morning", "moult", "crab-pots")  # scenic one-way, muted two-way, tossed
SHELF = (
    "sailcloth",
    "gull-white",
    "sea-glass",
    "harbour-fog",
    "night-watch",
    "roof-slate",
    "buoy-red",
    "driftwood",
    "lemon-peel",
    "net-floats",
    "galley-check-red",
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    write_swatches(folder, (*PRINTS, *SHELF), ppi=32)
    index_folder(folder, workers=1, quick=True)
    return folder


def propose(index: OnHand, name: str) -> Companions:
    own = index.find(name)
    others = [index.find(p).digest for p in PRINTS]
    return companions_for(index.reading(own), index, leave_out=others)


@pytest.mark.parametrize("name", PRINTS)
def test_two_quiet_companions_that_part(folder: Path, name: str) -> None:
    with open_index(folder) as index:
        best = propose(index, name).pairs[0]
        loud = index.reading(index.find(name))["loudness"]
        for chosen in (best.background, best.accent):
            assert index.reading(chosen.id)["loudness"] < loud / 2
    assert best.fails == 0
    assert best.background.lab[0] > 75
    assert best.background.lab[0] - best.accent.lab[0] > 20


def test_each_print_gets_colours_of_its_own(folder: Path) -> None:
    with open_index(folder) as index:
        accents = {p: [q.accent.name for q in propose(index, p).pairs[:2]] for p in PRINTS}
    assert "night-watch" in accents["harbour-morning"]  # its boats and windows are navy
    assert accents["moult"][0] in ("roof-slate", "driftwood")  # its feathers are grey and brown
    assert "buoy-red" in accents["crab-pots"]  # its crabs are red


def test_loud_prints_are_not_proposed_before_plain_cloth(folder: Path) -> None:
    with open_index(folder) as index:
        for name in PRINTS:
            proposed = propose(index, name)
            first = [c.name for c in (*proposed.backgrounds[:2], *proposed.accents[:2])]
            assert not {"net-floats", "galley-check-red"} & set(first)


def test_the_best_pair_separates_in_the_drawn_greys(folder: Path) -> None:
    with open_index(folder) as index:
        best = propose(index, "harbour-morning").pairs[0]
    cloth = {
        "focus": swatch_info("harbour-morning").fabric(folder),
        "background": swatch_info(best.background.name).fabric(folder),
        "accent": swatch_info(best.accent.name).fabric(folder),
    }
    found = separation(Design("gull-cove", cloth))
    between = next(s for s in found.seams if set(s.roles) == {"background", "accent"})
    assert (between.outcome, between.lost) == ("pass", 0.0)
    assert between.steps == pytest.approx(
        abs(best.background.lab[0] - best.accent.lab[0]) / 10, abs=0.3
    )  # what is foretold from the readings is what is measured in the picture


def test_turning_the_photo_changes_nothing_and_a_little_light_not_much(
    folder: Path, tmp_path: Path
) -> None:
    """The photo half round; and a fiftieth brighter than the swatches' photos."""
    from PIL import Image, ImageEnhance

    from quiltgeom.fabric.reading.read_file import read_quickly

    with open_index(folder) as index, Image.open(index.find("moult").path) as photo:
        others = [index.find(p).digest for p in PRINTS]
        photo.rotate(180).save(tmp_path / "turned.png")
        ImageEnhance.Brightness(photo).enhance(1.02).save(tmp_path / "brighter.png")
        paths = (index.find("moult").path, tmp_path / "turned.png", tmp_path / "brighter.png")
        first, turned, brighter = (
            companions_for(read_quickly(p, 12.0), index, leave_out=others) for p in paths
        )
    pairs = [[(p.background.name, p.accent.name) for p in c.pairs] for c in (first, turned)]
    assert pairs[0] == pairs[1]
    assert first.backgrounds[0].name in [c.name for c in brighter.backgrounds[:3]]
    assert first.accents[0].name == brighter.accents[0].name
    assert brighter.pairs[0].score == pytest.approx(first.pairs[0].score, abs=0.03)
