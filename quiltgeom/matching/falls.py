"""Where the motif falls: what the main patches of a quilt will show, as its plan cuts them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
import shapely.affinity
from numpy.typing import NDArray

from quiltgeom.cutting.plan import CutPlan
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.model.quilt import Piece

__all__ = ["Falls", "motif_falls"]

Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]

_TRIES = 24
"""Places tried across and down where the plan's place cannot be known."""

_LEAST = 0.6
"""Motifs smaller than this part of the typical one are sprigs and specks between the motifs."""


@dataclass(frozen=True, slots=True)
class Falls:
    """What the main patches show.

    Attributes:
        patches: main patches.
        whole: how many show at least one whole motif (a mean where it is a matter of chance).
        by: ``"plan"``: every patch looked at in its place of the cutting plan, the print going on
            by its repeat; ``"chance"``: the mean over all places that a patch could come from;
            ``"nothing"``: the print has no motif to look for.
    """

    patches: int
    whole: float
    by: str

    @property
    def share(self) -> float:
        """Share of the main patches with a whole motif."""
        return self.whole / self.patches if self.patches else 0.0

    @property
    def sentence(self) -> str:
        """For people."""
        if self.by == "nothing":
            return "the print has no single motifs, so that nothing is cut through"
        many = f"{self.whole:.0f} of {self.patches} main patches show a whole motif"
        if self.by == "plan":
            return f"cut as planned, {many}"
        return f"about {many}, wherever they are cut"


def motif_falls(plan: CutPlan, role: str, reading: Reading) -> Falls:
    """Look where the planned patches of a role lie among the print's motifs.

    Args:
        plan: cutting plan of the quilt; places are taken from it.
        role: the fabric role that shows the print.
        reading: of that print; its motif boxes are carried on by its repeat, where there is one.
            The bolt is taken to begin as the swatch does.
    """
    quilt, places = plan.as_cut()
    pieces = [p for p in quilt if p.role == role and not p.place.startswith("border")]
    pieces = pieces or [p for p in quilt if p.role == role]
    boxes = _motifs(reading)
    if not boxes or not pieces:
        return Falls(len(pieces), 0.0, "nothing")
    shapes = [_on_cloth(p, places[p.index]) for p in pieces]
    if len(reading.repeat.vectors_in) == 2 and reading.repeat.confidence >= 0.5:
        vectors = np.array(reading.repeat.vectors_in)
        whole = sum(_shows(shape, _carried_on(boxes, vectors, shape)) for shape in shapes)
        return Falls(len(pieces), float(whole), "plan")
    size = (reading.width_in, reading.height_in)
    known: dict[bytes, float] = {}
    total = 0.0
    for shape in shapes:
        at_home = shapely.affinity.translate(shape, -shape.bounds[0], -shape.bounds[1])
        key = shapely.to_wkb(shapely.set_precision(at_home, 1e-6))
        if key not in known:
            known[key] = _chance(at_home, boxes, size)
        total += known[key]
    return Falls(len(pieces), total, "chance")


def _motifs(reading: Reading) -> list[Box]:
    """Boxes of whole motifs that are worth showing."""
    typical = reading.motif.typical
    if typical is None:
        return []
    return [b for b in reading.motif.boxes if max(b[2], b[3]) >= _LEAST * typical]


def _on_cloth(piece: Piece, place: tuple[float, float]) -> shapely.Polygon:
    """The finished patch where it lies on its cloth, print upright."""
    turned = shapely.affinity.rotate(piece.polygon, -piece.lie_deg, origin=(0, 0))
    x0, y0, x1, y1 = turned.bounds
    return shapely.affinity.translate(turned, place[0] - (x0 + x1) / 2, place[1] - (y0 + y1) / 2)


def _shows(shape: shapely.Polygon, boxes: Floats) -> bool:
    """Whether a box lies wholly inside, by its ellipse: motifs seldom fill their corners."""
    if not len(boxes):
        return False
    turns = np.linspace(0, 2 * np.pi, 16, endpoint=False)
    middle, half = boxes[:, :2] + boxes[:, 2:] / 2, boxes[:, 2:] / 2
    rim = middle[:, None, :] + half[:, None, :] * np.stack([np.cos(turns), np.sin(turns)], 1)
    inside = shapely.contains_xy(shape, rim[..., 0].ravel(), rim[..., 1].ravel())
    return bool(inside.reshape(len(boxes), -1).all(axis=1).any())


def _carried_on(boxes: Sequence[Box], vectors: Floats, shape: shapely.Polygon) -> Floats:
    """All copies of the boxes, by the repeat, that may lie inside a shape."""
    x0, y0, x1, y1 = shape.bounds
    corners = np.array([(x, y) for x in (x0, x1) for y in (y0, y1)])
    found = []
    for x, y, w, h in boxes:
        steps = (corners - (x, y)) @ np.linalg.inv(vectors)
        low, high = np.floor(steps.min(axis=0)).astype(int), np.ceil(steps.max(axis=0)).astype(int)
        i, j = np.meshgrid(np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1))
        at = np.stack([i.ravel(), j.ravel()], 1) @ vectors + (x, y)
        end = at + np.array([w, h])
        fits = np.all((at >= (x0, y0)) & (end <= (x1, y1)), axis=1)
        found.append(np.concatenate([at[fits], np.tile((w, h), (int(fits.sum()), 1))], axis=1))
    return np.concatenate(found)


def _chance(shape: shapely.Polygon, boxes: Sequence[Box], size: tuple[float, float]) -> float:
    """Share of the places inside the swatch at which a shape shows a whole motif."""
    x0, y0, x1, y1 = shape.bounds
    room = (max(0.0, size[0] - (x1 - x0)), max(0.0, size[1] - (y1 - y0)))
    steps = (np.arange(_TRIES) + 0.5) / _TRIES
    all_boxes = np.array(boxes)
    hits = 0
    for u in steps * room[0]:
        for v in steps * room[1]:
            moved = shapely.affinity.translate(shape, u, v)
            a, b, c, d = moved.bounds
            near = (
                (all_boxes[:, :2] >= (a, b)) & (all_boxes[:, :2] + all_boxes[:, 2:] <= (c, d))
            ).all(axis=1)
            hits += _shows(moved, all_boxes[near])
    return hits / _TRIES**2
