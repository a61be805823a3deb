"""From a design to a picture file: the library's main door."""

import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Protocol

from quiltgeom.cutting.as_cut import CutPatch, assemble
from quiltgeom.errors import QuiltTypeError, shown
from quiltgeom.layout.quilt_layout import fit_size, lay_out, metric_size
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.corrections import declared_fabric
from quiltgeom.library.design_file import load_design
from quiltgeom.library.patterns import load_patterns, pattern_path
from quiltgeom.model.block import Block
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric, kept_upright
from quiltgeom.model.pattern import Pattern, pattern_of
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.answer import Answer
from quiltgeom.render.mockup import Mockup, Style, mockup
from quiltgeom.render.scene import Scene
from quiltgeom.texts import read_toml
from quiltgeom.units import RULERS


class HasDesign(Protocol):
    """What is made from a design, such as a proposal, a preview, a cutting, a kit, or a row of a
    match."""

    @property
    def design(self) -> Design | None:
        """What was decided."""


Cloths = Mapping[str, Any]
"""By role a fabric, ``"#rrggbb"``, the file of a picture that says how large it is, or anything
that has a ``fabric``, such as what was read."""

DesignLike = Design | Pattern | Block | HasDesign | str | Path


def is_kit(text: str) -> bool:
    """Whether a text names the folder of a kit, and not a block or a pattern."""
    return os.path.isfile(os.path.join(text, "design.toml"))  # False of a text that is no path


def as_design(what: DesignLike, **changes: Any) -> Design:
    """A design in any form.

    Args:
        what: a design; the path of its file (``.toml``) or of a kit's folder; the key, name or
            file of a pattern; a pattern; a block or its key (a quilt of one); whatever has a
            ``design``: a proposal, a preview, a cutting, a kit, advice, ``match(...).fits[0]``.
        changes: fields of the design that are to be otherwise; ``fabrics`` are added to its own.

    Raises:
        QuiltError: no such pattern, or a file with faults.

    >>> as_design("Harbour Windows", rows=2).rows
    2
    """
    design: Design | None
    path = pattern_path(what) if isinstance(what, str | Path) else None
    if isinstance(what, str | Path) and os.path.isdir(what):
        design = load_design(what)
    elif path is not None and "tiles" not in read_toml(path):
        design = load_design(path)
    elif isinstance(what, str) and what not in load_patterns() and what in load_blocks():
        design = Design(pattern_of(load_blocks().get(what)))
    elif isinstance(what, str | Path | Pattern):
        design = Design(path or what)
    elif isinstance(what, Block):
        design = Design(pattern_of(what))
    else:
        design = what if isinstance(what, Design) else getattr(what, "design", None)
    if not isinstance(design, Design):
        hint = _INSTEAD.get(type(what).__name__, "")
        raise QuiltTypeError(
            f"design: found {shown(what)}; accepted: a design or its file, a pattern, its key or "
            f"its file, or what was made from one, such as a proposal or a preview{hint}"
        )
    if "fabrics" in changes:
        changes["fabrics"] = {**design.fabrics, **as_fabrics(changes["fabrics"])}
    if "size" in changes:
        changes = {"rows": None, "columns": None, "block_size": None} | changes
    elif changes.keys() & {"rows", "columns", "block_size"}:
        changes["size"] = None
    return replace(design, **changes)


_INSTEAD = {
    "Quilt": "; a laid-out quilt does not know its design: give what lay_out was given, such as "
    "preview('gull-cove', rows=2)",
    "Match": "; of a match one of its rows: match(...).fits[0]",
    "Found": "; companions are cloths: preview('gull-cove', companions(...).fabrics)",
}
"""What was meant, by what was given."""


def as_fabrics(cloths: Cloths | None) -> dict[str, Fabric]:
    """Cloths by role as fabrics.

    Raises:
        QuiltTypeError: one that is none; the message names its role.

    >>> as_fabrics({"accent": "#2f5d73"})["accent"].colour
    '#2f5d73'
    """
    found = {}
    for role, cloth in (cloths or {}).items():
        fabric: Any
        if isinstance(cloth, str) and cloth.startswith("#"):
            fabric = Fabric(cloth, colour=cloth)
        elif isinstance(cloth, str | Path) and Path(cloth).suffix:
            fabric = declared_fabric(Path(cloth).stem, image=Path(cloth))
        else:
            fabric = getattr(cloth, "fabric", cloth)
        if not isinstance(fabric, Fabric):
            raise QuiltTypeError(
                f"fabrics: {role}: found {shown(cloth)}; accepted: a Fabric, such as "
                "Fabric('kelp', 'kelp.jpg', width=12), a colour such as '#2f5d73', the file of a "
                "picture that says how large it is, or what was read from a photo"
            )
        found[role] = fabric
    return found


def make_quilt(design: Design) -> Quilt:
    """Lay out the quilt of a design.

    Raises:
        QuiltError: unknown pattern or block, or sizes that do not fit.

    >>> make_quilt(Design("harbour-windows", size=(44, 60))).height
    59.75
    """
    pattern = load_patterns(blocks=design.block_folders).get(design.pattern)
    options: dict[str, Any] = {"name": design.title or None}
    options |= {"sashing": design.sashing, "units": design.units}
    if design.size:
        chosen = fit_size(pattern, *design.size, ruler=RULERS[design.units])
    else:
        options |= {"rows": design.rows, "columns": design.columns}
        chosen = metric_size(pattern) if design.units == "cm" and design.block_size is None else {}
        if design.block_size is not None:
            chosen["block_size"] = design.block_size
    if design.borders is not None:
        chosen["borders"] = design.borders
    quilt = lay_out(pattern, **options, **chosen)
    if design.size and design.borders is not None and quilt.notes:
        about = RULERS[design.units].about
        asked, made = (
            f"{about(w)} x {about(h)}" for w, h in (design.size, (quilt.width, quilt.height))
        )
        note = f"asked for {asked}; with the borders that the design says it is {made}"
        quilt = replace(quilt, notes=(note,) if asked != made else ())
    return quilt


@dataclass(frozen=True, repr=False)
class Preview(Answer):
    """A quilt, its picture, and what should be said with it.

    Attributes:
        mockup: the scene and the places of the pieces on their cloth.
        notes: adjustments and continuations, for people.
        as_cut: whether every patch shows the place of the cloth that it is cut from.
        design: what is shown.
    """

    quilt: Quilt
    mockup: Mockup
    notes: tuple[str, ...]
    as_cut: bool = False
    design: Design | None = None

    @property
    def scene(self) -> Scene:
        """The display list."""
        return self.mockup.scene

    def scenes(self) -> list[Scene]:
        """The picture."""
        return [self.scene]

    def lines(self) -> list[str]:
        """Its name, size and number of patches, and the notes."""
        q = self.quilt
        size = f"{q.ruler.about(q.width)} x {q.ruler.about(q.height)}"
        head = f"{q.name}: {size} finished, {len(q)} patches"
        return [head, *(f"note: {note}" for note in self.notes)]

    def to_json(self) -> dict[str, Any]:
        """Sizes, numbers of patches and areas."""
        q = self.quilt
        return {
            "name": q.name,
            "pattern": q.pattern,
            "width_in": q.width,
            "height_in": q.height,
            "block_in": q.block_size,
            "rows": q.rows,
            "columns": q.columns,
            "patches": q.count_by_role,
            "area_sq_in": {role: round(area, 6) for role, area in q.area_by_role.items()},
            "notes": list(self.notes),
            "places": "as cut" if self.as_cut else "provisional",
        }


def preview(
    design: Design,
    *,
    style: Style = "cloth",
    seams: bool = False,
    as_cut: Iterable[CutPatch] | None = None,
) -> Preview:
    """The true-scale mockup of a design.

    Args:
        style, seams: see :func:`~quiltgeom.render.mockup.mockup`.
        as_cut: the patches of a cutting plan of this design: each then shows the place of the
            cloth that it is cut from.

    >>> preview(Design("gull-cove")).quilt.columns
    3
    """
    quilt, places = make_quilt(design), None
    if as_cut is not None:
        quilt, places = assemble(quilt, as_cut)
    picture = mockup(
        quilt,
        design.fabrics,
        style=style,
        seams=seams,
        seed=design.seed,
        fussy=design.fussy,
        places=places,
        offsets=design.offsets if places is None else None,
    )
    notes = (*quilt.notes, *picture.notes, *kept_upright(design.fabrics))
    return Preview(quilt, picture, notes, places is not None, design)
