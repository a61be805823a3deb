"""What a proof page shows, as plain data: the page's script draws everything from it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path as FilePath
from typing import Any

from quiltgeom.cutting.cutting_plan import CutPlan, FabricPlan
from quiltgeom.cutting.listing import CutLine, cut_lines, finishing_lines, rules, trimming
from quiltgeom.documents.cutting_pages.cutting_sheet import diagonals
from quiltgeom.documents.html_parts import jpeg_uri
from quiltgeom.documents.kit import CARE
from quiltgeom.documents.question_picture import question_views
from quiltgeom.documents.reading_picture import repeat_cell, value_greys
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.fabric.cloth import cloth_of, tile_image
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.fabric.reading.reading_words import facts
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Quilt
from quiltgeom.proposal.proposal import Proposal
from quiltgeom.render.lay import ClothPlace
from quiltgeom.render.mockup import piece_path, role_colour
from quiltgeom.render.svg import path_data

Reason = tuple[str, str, str]
"""``(rule, "pass" | "caution" | "fail", sentence with its numbers)``."""

CLOTH_PPI = 72.0
"""Resolution of the fabrics in use, pixels per inch, as in SVG previews."""
MOST_SIDE = 1100
"""Longest side of an embedded picture, pixels."""
SPARE_SIDE = 320
"""The same, of the swatches that may be picked."""


@dataclass(frozen=True)
class Swatch:
    """A fabric on hand that can be picked in the page.

    Attributes:
        loudness: 0 to 1, if known.
    """

    name: str
    fabric: Fabric
    loudness: float | None = None
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True)
class ProofInput:
    """Everything that a proof page is made of. Only the first two are needed.

    Attributes:
        proposals: the best first; the first is recommended. All are in the same cloths.
        swatches: others on hand that can be picked.
        companions: by role, why this companion was chosen.
        pair: what is said of the two companions together.
        notes: remarks on the reading of the print.
        most: how many patterns the page holds.
    """

    title: str
    proposals: Sequence[Proposal]
    swatches: Sequence[Swatch] = ()
    companions: Mapping[str, Sequence[Reason]] = field(default_factory=dict)
    pair: Sequence[Reason] = ()
    notes: Sequence[str] = ()
    cautions: Sequence[str] = CARE
    most: int = 6

    def __post_init__(self) -> None:
        if not self.proposals:
            raise QuiltValueError("proof page: found no proposal; accepted: at least one")
        if self.first.fabric(self.first.main) is None:
            raise QuiltKeyError(
                f"proof page: found no cloth in the role {self.first.main!r}; accepted: the print"
            )

    @property
    def first(self) -> Proposal:
        """What is recommended."""
        return self.proposals[0]

    @property
    def focus(self) -> Fabric:
        """The print somebody loves."""
        return self.first.design.fabrics[self.first.main]


def proof_data(proof: ProofInput) -> dict[str, Any]:
    """The page's data: JSON values only, lengths in inches, paths in thousandths of an inch."""
    cloths = _Cloths()
    first = proof.first
    start = {role: cloths.number(f, chosen=True) for role, f in first.design.fabrics.items()}
    focus = cloths.number(proof.focus, chosen=True)
    swatches = []
    for s in proof.swatches:
        row = {"cloth": cloths.number(replace(s.fabric, name=s.name)), "loudness": s.loudness}
        swatches.append(row | {"reasons": _reasons(s.reasons)})
    greys = [(v.title, v.outcome, v.sentence) for v in (s.verdict for s in first.greys.seams)]
    return {
        "title": proof.title,
        "focus": focus,
        "mainRole": first.main,
        "pictures": cloths.pictures,
        "cloths": cloths.rows,
        "start": start,
        "swatches": swatches,
        "companions": {role: _reasons(r) for role, r in proof.companions.items()},
        "separation": _reasons([*proof.pair, *greys]),
        "reading": _reading(first.readings.get(first.main), proof.notes),
        "patterns": [_pattern(p) for p in proof.proposals[: proof.most]],
        "cautions": list(proof.cautions),
        "seed": first.design.seed,
        "fussy": list(first.design.fussy),
    }


def _reasons(reasons: Sequence[Reason]) -> list[list[str]]:
    return [[rule, outcome, sentence] for rule, outcome, sentence in reasons]


class _Cloths:
    """Numbers fabrics; each picture file is embedded once."""

    def __init__(self) -> None:
        self.rows: list[dict[str, Any]] = []
        self.pictures: list[dict[str, str]] = []
        self._fabrics: dict[Fabric, int] = {}
        self._files: dict[FilePath, int] = {}

    def number(self, fabric: Fabric, chosen: bool = False) -> int:
        if fabric not in self._fabrics:
            self._fabrics[fabric] = len(self.rows)
            self.rows.append(self._row(fabric, chosen))
        return self._fabrics[fabric]

    def _row(self, fabric: Fabric, chosen: bool) -> dict[str, Any]:
        row: dict[str, Any] = {"name": fabric.name, "picture": None, "colour": fabric.colour}
        row |= {"width": 0, "height": 0, "direction": fabric.direction}
        row |= {"declared": True, "up": 0, "repeat": None, "motif": None}
        if fabric.image is None:
            return row
        cloth, repeat = cloth_of(fabric), fabric.repeat
        if fabric.image not in self._files:
            side = MOST_SIDE if chosen else SPARE_SIDE
            ppi = min(CLOTH_PPI, side / max(cloth.width, cloth.height))
            self._files[fabric.image] = len(self.pictures)
            self.pictures.append({"src": _cloth_uri(fabric, ppi, 88 if chosen else 80)})
        row |= {"picture": self._files[fabric.image], "colour": None}
        row |= {"width": cloth.width, "height": cloth.height, "declared": fabric.declared}
        row |= {"up": fabric.up_deg, "motif": list(fabric.motif) if fabric.motif else None}
        return row | {"repeat": [repeat.width, repeat.height, repeat.kind] if repeat else None}


def _cloth_uri(fabric: Fabric, ppi: float, quality: int) -> str:
    image = tile_image(replace(cloth_of(fabric), kind="plain"), ppi)
    options = {"quality": quality, "subsampling": 0 if quality > 85 else 2}
    try:
        return jpeg_uri(image, optimize=True, **options)
    except OSError:  # noise that takes more than a byte a pixel: it has no room to optimise
        return jpeg_uri(image, **options)


def _pattern(made: Proposal) -> dict[str, Any]:
    quilt = made.quilt
    word, reasons = made.difficulty
    return {
        "key": made.pattern.key,
        "name": made.pattern.name,
        "summary": made.pattern.summary,
        "width": quilt.width,
        "height": quilt.height,
        "patches": len(quilt),
        "roles": [{"name": r, "count": quilt.count_by_role[r]} for r in quilt.roles],
        "plain": {r: role_colour(r, tuple(quilt.roles)) for r in quilt.roles},
        "outcome": made.outcome,
        "verdicts": [[v.title, v.outcome, v.sentence] for v in made.verdicts],
        "difficulty": [word, list(reasons)],
        "notes": list(quilt.notes),
        "final": made.final,
        "pieces": _pieces(quilt),
        "laid": _laid(made),
        "plan": made.plan and _plan(made.cutting),
    }


def _pieces(quilt: Quilt) -> dict[str, dict[str, list[Any]]]:
    """Per role the patches' paths and the angles at which their cloth lies."""
    out: dict[str, dict[str, list[Any]]] = {}
    for piece in quilt:
        row = out.setdefault(piece.role, {"d": [], "lie": []})
        row["d"].append(path_data(piece_path(piece), 2))
        row["lie"].append(_number(piece.lie_deg))
    return out


def _laid(made: Proposal) -> dict[str, dict[str, Any]]:
    """Per role the places of the delivered cloth, and which patch has which; with a plan, the
    patches as they are cut."""
    out: dict[str, dict[str, Any]] = {}
    known: dict[tuple[str, ClothPlace], int] = {}
    for piece in made.shown:
        place = made.picture.places.get(piece.index)
        if place is None:
            continue
        row = out.setdefault(piece.role, {"places": [], "of": [], "beyond": 0})
        row["beyond"] += place.beyond
        same = (piece.role, replace(place, beyond=False))
        if same not in known:
            known[same] = len(row["places"])
            numbers = [_number(round(v, 7)) for v in place.matrix]
            row["places"].append([place.cloth.kind, *numbers])
        row["of"].append(known[same])
        if made.final:
            row.setdefault("d", []).append(path_data(piece_path(piece), 2))
    return out


def _number(value: float) -> float | int:
    return int(value) if value == int(value) else value


def _plan(plan: CutPlan) -> dict[str, Any]:
    rows = []
    for f in plan.fabrics:
        lines = cut_lines(f)
        rows.append(
            {
                "role": f.role,
                "name": f.name,
                "why": f.why,
                "width": f.ruler.text(f.width),
                "length": f.ruler.text(f.length),
                "buy": f"at hand: {f.at_hand}" if f.have is not None else f.terms.said(f.buy),
                "sheets": _sheets(f, lines),
                "lines": [[n.label, n.count, n.size, n.how] for n in lines],
            }
        )
    terms = dict.fromkeys(f.terms.text for f in plan.fabrics if f.have is None)
    words = f"{rules(plan.options)} {trimming(plan)}".strip()
    return {
        "fabrics": rows,
        "rules": words,
        "sets": [made.text for made in plan.sets],
        "extra": [*finishing_lines(plan), *terms],
    }


def _sheets(plan: FabricPlan, lines: list[CutLine]) -> list[dict[str, Any]]:
    """One per piece of cloth: its size, and every rectangle with the number of its line and its
    diagonals (1 from the top left, 2 from the top right, 3 both)."""
    bought = max(plan.length, plan.have or plan.buy)
    sizes = plan.cloths if plan.spread else ((bought, plan.width),)
    sheets: list[dict[str, Any]] = [{"along": n, "across": w, "pieces": []} for n, w in sizes]
    order = {n.label: k for k, n in enumerate(lines)}
    for placed in plan.placed:
        down, up = diagonals(placed)
        row = [_number(v) for v in (placed.x, placed.y, placed.width, placed.height)]
        sheets[placed.cloth]["pieces"].append(
            [*row, order[plan.labels[placed.number]], down + 2 * up]
        )
    return [s for s in sheets if s["pieces"]]


def _reading(reading: Reading | None, notes: Sequence[str]) -> dict[str, Any] | None:
    if reading is None:
        return None
    value = reading.value
    return {
        "facts": [list(pair) for pair in facts(reading)],
        "cell": [list(p) for p in repeat_cell(reading)],
        "boxes": [list(b) for b in reading.motif.boxes],
        "up": reading.direction.up_deg,
        "palette": [{"hex": c.hex, "share": c.share, "name": c.name} for c in reading.palette],
        "value": {
            "mean": value.munsell,
            "low": value.low,
            "high": value.high,
            "name": value.name,
            "greys": value_greys(),
        },
        "notes": [*reading.remarks, *notes],
        "question": _question(reading),
    }


def _question(reading: Reading) -> dict[str, Any] | None:
    question = reading.question
    if question is None:
        return None
    views = [list(v) for v in question_views(reading, question)]
    answers = [[a.words, a.option] for a in question.answers]
    said = {"text": question.text, "unanswered": question.unanswered}
    return said | {"answers": answers, "views": views}
