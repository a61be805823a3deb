"""What a verdict counts is what the picture shows: constructed prints with true motif masks,
counted again in the drawn pixels by a routine that knows nothing of the library's geometry."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw
from scipy import ndimage

from quiltgeom.fabric.reading.motif import MotifReading
from quiltgeom.fabric.reading.reading import Reading, read_array
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric, Repeat
from quiltgeom.proposal.judge import SLICED
from quiltgeom.proposal.proposal import Proposal, propose
from quiltgeom.render.mockup import mockup
from quiltgeom.render.png import draw_pixels

PPI = 60.0  # of the pictures that are counted
SWATCH = 12.0  # inches
INK, GROUND = (200, 30, 40), (250, 245, 230)

SHAPES = {
    "disc": [(np.cos(t), np.sin(t)) for t in np.linspace(0, 2 * np.pi, 60, endpoint=False)],
    "square": [(-0.8, -0.8), (0.8, -0.8), (0.8, 0.8), (-0.8, 0.8)],
    "triangle": [(0, -1), (0.9, 0.7), (-0.9, 0.7)],
    "tall": [(-0.3, -1), (0.3, -1), (0.3, 1), (-0.3, 1)],
}


def drawn(
    shape: str, radius: float, step: tuple[float, float], half_drop: bool
) -> tuple[Image.Image, MotifReading]:
    """A swatch with one motif every ``step`` inches, and what is true of its motifs."""
    px = 400  # painted fine, then reduced: edges are mixtures, as areas say
    image = Image.new("RGB", (int(SWATCH * px),) * 2, GROUND)
    pen = ImageDraw.Draw(image)
    hulls, boxes = [], []
    for i in range(-1, int(SWATCH / step[0]) + 2):
        for j in range(-1, int(SWATCH / step[1]) + 2):
            x = (i + 0.5) * step[0]
            y = (j + 0.5) * step[1] + (step[1] / 2 if half_drop and i % 2 else 0)
            hull = [(x + radius * u, y + radius * v) for u, v in SHAPES[shape]]
            pen.polygon([(u * px, v * px) for u, v in hull], fill=INK)
            xs, ys = zip(*hull, strict=True)
            if min(xs) > 0 and min(ys) > 0 and max(xs) < SWATCH and max(ys) < SWATCH:
                hulls.append(tuple(hull))
                boxes.append((min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)))
    typical = max(max(b[2], b[3]) for b in boxes)
    return image.reduce(4), MotifReading(typical, typical, tuple(boxes), 1.0, tuple(hulls))


def counted(proposal: Proposal, true_area: float) -> tuple[int, int, int]:
    """Whole, sliced and absent in the picture: areas of ink inside each main patch."""
    quilt = proposal.shown
    main = proposal.patches_of(proposal.main)
    picture = draw_pixels(proposal.picture.scene, PPI)[:, :, 2::-1].astype(int)
    # how much of each pixel is ink: edges are mixtures
    way = np.array(INK) - np.array(GROUND)
    ink = np.clip((picture - np.array(GROUND)) @ way / (way @ way), 0, 1)
    # each main patch in a colour of its own, so that pixels tell which patch they belong to
    plain = {r: Fabric(r, colour="#ffffff") for r in quilt.roles}
    label = np.zeros(ink.shape, dtype=int)
    for number, piece in enumerate(main, 1):
        one = replace(
            quilt,
            pieces=tuple(
                replace(p, role="mark" if p.index == piece.index else p.role) for p in quilt
            ),
            roles={**quilt.roles, "mark": quilt.roles[proposal.main]},
        )
        mark = {**plain, "mark": Fabric("mark", colour="#000000")}
        label[draw_pixels(mockup(one, mark).scene, PPI)[..., 0] < 40] = number
    whole = sliced = absent = 0
    for number in range(1, len(main) + 1):
        own = np.where(label == number, ink, 0)
        areas = ndimage.sum(own, *_parts(own > 0.1))
        share = np.atleast_1d(areas) / PPI**2 / true_area
        full = int((share > 0.985).sum())
        whole, absent = whole + full, absent + (full == 0)
        sliced += int(((share > 0.04) & (share <= 0.985)).sum())
    return whole, sliced, absent


def _parts(mask: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    labels, count = ndimage.label(mask)
    return labels, np.arange(1, count + 1)


def area_of(image: Image.Image) -> float:
    """Area of one motif as it is painted, square inches."""
    ink = np.asarray(image)[..., 1] < 150
    labels, _ = ndimage.label(ink)
    return float(np.bincount(labels.ravel())[1:].max()) / (image.width / SWATCH) ** 2


def read_as(image: Image.Image, motif: MotifReading) -> Reading:
    """A reading of the swatch with its true motifs."""
    return replace(read_array(np.asarray(image.resize((300, 300))), SWATCH), motif=motif)


CASES = [
    ("disc", 1.0, (4.0, 3.0), "straight", True, "harbour-windows"),
    ("disc", 0.7, (2.0, 2.0), "straight", True, "gull-cove"),
    ("square", 1.2, (4.0, 4.0), "half-drop", True, "sail-loft"),
    ("triangle", 1.5, (6.0, 4.0), "straight", True, "tide-tables"),
    ("tall", 1.8, (3.0, 5.0), "half-drop", True, "harbour-diamonds"),
    ("disc", 1.3, (4.0, 4.0), "straight", False, "lobster-pots"),
    ("square", 1.0, (3.0, 4.0), "straight", False, "harbour-windows"),
]


@pytest.mark.parametrize(("shape", "radius", "step", "kind", "planned", "key"), CASES)
def test_the_verdict_counts_what_the_picture_shows(
    shape: str,
    radius: float,
    step: tuple[float, float],
    kind: str,
    planned: bool,
    key: str,
    tmp_path: Path,
) -> None:
    image, motif = drawn(shape, radius, step, kind == "half-drop")
    path = tmp_path / "print.png"
    image.save(path)
    repeat = Repeat(*step, "half-drop" if kind == "half-drop" else "straight")
    fabric = Fabric("print", image=path, width=SWATCH, direction="one-way", repeat=repeat)
    main = load_patterns().get(key).main_role
    design = Design(key, {main: fabric}, rows=2, columns=2)
    made = propose(design, planned=planned, readings={main: read_as(image, motif)})
    assert made.seen is not None
    found = (made.seen.whole, made.seen.sliced, made.seen.absent)
    assert found == counted(made, area_of(image))
    assert made.final == planned
    verdict = next(v for v in made.verdicts if v.rule == "whole-motifs")
    if found[1] > SLICED * (found[0] + found[1]):
        assert verdict.outcome != "pass"
        assert made.outcome != "pass"
    assert f"{found[0]} motifs show whole, {found[1]} are cut" in verdict.sentence


def test_the_counting_can_fail(tmp_path: Path) -> None:
    """Places moved by a fifth of an inch behind the verdict's back are noticed."""
    image, motif = drawn("disc", 1.0, (4.0, 3.0), False)
    image.save(tmp_path / "print.png")
    fabric = Fabric(
        "print",
        image=tmp_path / "print.png",
        width=SWATCH,
        direction="one-way",
        repeat=Repeat(4.0, 3.0),
    )
    design = Design("harbour-windows", {"focus": fabric}, rows=2, columns=2)
    made = propose(design, planned=False, readings={"focus": read_as(image, motif)})
    assert made.seen is not None
    other = propose(replace(design, seed=5), planned=False)
    seen = (made.seen.whole, made.seen.sliced, made.seen.absent)
    assert seen == counted(made, area_of(image))
    assert seen != counted(other, area_of(image))


def test_a_photo_smaller_than_the_patches_is_said(tmp_path: Path) -> None:
    image, motif = drawn("disc", 1.0, (4.0, 3.0), False)
    image.crop((0, 0, 400, 400)).save(tmp_path / "small.png")
    fabric = Fabric("small", image=tmp_path / "small.png", width=4.0, direction="one-way")
    few = replace(motif, boxes=motif.boxes[:1], outlines=motif.outlines[:1])
    design = Design("harbour-windows", {"focus": fabric}, rows=1, columns=1)
    made = propose(design, planned=False, readings={"focus": read_as(image, few)})
    assert made.seen is not None
    window = made.patches_of("focus")[0]
    x0, y0, x1, y1 = window.polygon.bounds
    share = 1 - min(4.0, x1 - x0) * min(4.0, y1 - y0) / ((x1 - x0) * (y1 - y0))
    assert made.seen.patches[0].guessed == pytest.approx(share, abs=1e-6)
    said = next(v for v in made.verdicts if v.rule == "guessed")
    assert said.outcome == "caution"
    assert "your photo is smaller than 1 of 1 patches" in said.sentence
    rows = [r for r in made.patches() if r["role"] == "focus"]
    assert rows[0]["guessed"] == pytest.approx(share, abs=1e-4)
    assert rows[0]["final"] is False
    assert any("your photo is smaller" in n for n in made.picture.notes)


@pytest.mark.parametrize(("figure", "outcome"), [("print", "caution"), ("stripe", "pass")])
def test_seams_of_one_cloth_are_unknown_only_where_motifs_are(
    figure: str, outcome: str, tmp_path: Path
) -> None:
    """What has no motifs has none to cut; what was not told apart is not called uncut."""
    image, motif = drawn("disc", 1.0, (4.0, 3.0), False)
    image.save(tmp_path / "print.png")
    fabric = Fabric("print", image=tmp_path / "print.png", width=SWATCH, direction="one-way")
    read = read_as(image, replace(motif, boxes=(), outlines=()))
    read = replace(read, direction=replace(read.direction, figure=figure))
    pattern = "rope-walk"  # its main strips are sewn to one another
    main = load_patterns().get(pattern).main_role
    made = propose(Design(pattern, {main: fabric}), planned=False, readings={main: read})
    assert made.seen is not None
    assert made.seen.joined
    said = {v.rule: v.outcome for v in made.verdicts}
    assert said["one-cloth-seams"] == said["whole-motifs"] == outcome


def test_patches_that_lie_partly_outside_a_large_photo_are_not_called_larger(
    tmp_path: Path,
) -> None:
    """A print of known repeat is laid anywhere: not one of its patches need be larger."""
    image, motif = drawn("disc", 1.0, (4.0, 3.0), False)
    image.save(tmp_path / "print.png")
    fabric = Fabric("print", image=tmp_path / "print.png", width=SWATCH, repeat=Repeat(4.0, 3.0))
    design = Design("harbour-windows", {"focus": fabric}, rows=3, columns=2)
    made = propose(design, planned=False, readings={"focus": read_as(image, motif)})
    patches = made.patches_of("focus")
    out = sum(made.picture.places[p.index].beyond for p in patches)
    assert out > 0
    words = f"{out} of {len(patches)} patches lie partly outside the photo"
    note = next(n for n in made.picture.notes if "by its repeat" in n)
    assert f"{words}; there the print goes on by its repeat" in note
    said = next(v for v in made.verdicts if v.rule == "guessed")
    assert (said.outcome, words in said.sentence) == ("pass", True)
    centred = replace(design, fussy=("focus",))
    off = replace(fabric, repeat=None, motif=(1.0, 1.0))
    made = propose(replace(centred, fabrics={"focus": off}), planned=False)
    assert any("lie partly outside the photo; there we guessed" in n for n in made.picture.notes)
    assert not any("smaller" in n for n in made.picture.notes)
