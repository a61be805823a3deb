"""From a design to a picture file: the library's main door."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from quiltgeom.cutting.as_cut import CutPatch, assemble
from quiltgeom.errors import QuiltValueError
from quiltgeom.layout.quilt_layout import fit_size, lay_out, metric_size
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import kept_upright
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.mockup import Mockup, Style, mockup
from quiltgeom.render.scene import Scene
from quiltgeom.units import RULERS

__all__ = ["SUFFIXES", "Preview", "check_suffix", "make_quilt", "preview", "save_scene"]

SUFFIXES = (".svg", ".png", ".pdf")


def make_quilt(design: Design) -> Quilt:
    """Lay out the quilt of a design.

    Raises:
        QuiltError: unknown pattern or block, or sizes that do not fit.

    >>> make_quilt(Design("harbour-windows", size=(44, 60))).height
    60.0
    """
    pattern = load_patterns(blocks=design.block_folders).get(design.pattern)
    asked: dict[str, Any] = {
        "name": design.title or None,
        "sashing": design.sashing,
        "units": design.units,
    }
    if design.size:
        chosen = fit_size(pattern, *design.size, ruler=RULERS[design.units])
    else:
        asked |= {"rows": design.rows, "columns": design.columns}
        chosen = metric_size(pattern) if design.units == "cm" and design.block_size is None else {}
        if design.block_size is not None:
            chosen["block_size"] = design.block_size
    if design.borders is not None:
        chosen["borders"] = design.borders
    return lay_out(pattern, **asked, **chosen)


@dataclass(frozen=True)
class Preview:
    """A quilt, its picture, and what should be said with it.

    Attributes:
        quilt: placed pieces.
        mockup: the scene and the places of the pieces on their cloth.
        notes: adjustments and continuations, for people.
    """

    quilt: Quilt
    mockup: Mockup
    notes: tuple[str, ...]

    @property
    def scene(self) -> Scene:
        """The display list."""
        return self.mockup.scene

    def save(
        self,
        path: str | Path,
        *,
        px: int | None = None,
        ppi: float | None = None,
        cloth_ppi: float | None = None,
    ) -> Path:
        """Write SVG, PNG or PDF, by the file's ending. See :func:`save_scene`."""
        return save_scene(self.scene, path, px=px, ppi=ppi, cloth_ppi=cloth_ppi)


def preview(
    design: Design,
    *,
    style: Style = "cloth",
    seams: bool = False,
    fussy: Sequence[str] = (),
    as_cut: Iterable[CutPatch] | None = None,
) -> Preview:
    """The true-scale mockup of a design.

    Args:
        design: pattern, size and fabrics.
        style, seams, fussy: see :func:`~quiltgeom.render.mockup.mockup`.
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
        fussy=tuple(fussy) or design.fussy,
        places=places,
        offsets=design.offsets if places is None else None,
    )
    notes = (*quilt.notes, *picture.notes, *kept_upright(design.fabrics))
    return Preview(quilt, picture, notes)


def save_scene(
    scene: Scene,
    path: str | Path,
    *,
    px: int | None = None,
    ppi: float | None = None,
    cloth_ppi: float | None = None,
) -> Path:
    """Write a scene as SVG, PNG or PDF, by the file's ending.

    Args:
        px: PNG: length of the longer side in pixels (default 1500 unless ``ppi`` is given).
        ppi: PNG: pixels per inch.
        cloth_ppi: SVG: resolution of the embedded swatches, pixels per inch (default 72).

    Raises:
        QuiltValueError: another ending.
    """
    path, suffix = Path(path), check_suffix(path)
    if suffix == ".png":
        from quiltgeom.render.png import write_png

        return write_png(scene, path, px=1500 if px is None and ppi is None else px, ppi=ppi)
    if suffix == ".svg":
        from quiltgeom.render.svg import CLOTH_PPI, write_svg

        return write_svg(scene, path, cloth_ppi=cloth_ppi or CLOTH_PPI)
    from quiltgeom.render.pdf import write_pdf

    return write_pdf(scene, path)


def check_suffix(path: str | Path) -> str:
    """The ending of a picture's file, in small letters.

    Raises:
        QuiltValueError: not one of :data:`SUFFIXES`.
    """
    suffix = Path(path).suffix.lower()
    if suffix not in SUFFIXES:
        raise QuiltValueError(
            f"output {path}: file ending: found {suffix or 'none'!r}; "
            f"accepted: {', '.join(SUFFIXES)}"
        )
    return suffix
