"""From a name or a design file to template files and sewing sheets: the doors of this package."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.wanted import wanted_units
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.design_file import load_design
from quiltgeom.library.patterns import pattern_path
from quiltgeom.model.block import Block
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.pdf import write_pdf
from quiltgeom.render.preview import check_suffix, make_quilt, save_scene
from quiltgeom.render.scene import Scene
from quiltgeom.sewing.sewing_sheet import BlockSewing, QuiltSewing, sew_block, sew_quilt
from quiltgeom.templates.build import TemplateSet, block_templates, quilt_templates
from quiltgeom.templates.foundation_pages import foundation_pages
from quiltgeom.templates.pages import template_pages
from quiltgeom.templates.shape_files import write_dxf, write_template_svgs
from quiltgeom.templates.sheets import class_sheet
from quiltgeom.texts import read_toml
from quiltgeom.units import RULERS, Units

__all__ = ["find_subject", "make_templates", "save_scenes", "sewing_of"]


def find_subject(
    what: str, folders: Sequence[str | Path] = (), units: Units | None = None
) -> Block | tuple[Quilt, Design]:
    """A design or pattern file, a block or a pattern by name; a block wins over it. ``units``,
    if given, instead of the design's.

    Raises:
        QuiltKeyError: neither a block nor a pattern; the message names the nearest of both.

    >>> find_subject("Churn Dash").key, find_subject("gull-cove")[0].pattern
    ('churn-dash', 'gull-cove')
    """
    own = tuple(map(Path, folders))
    if pattern_path(what):
        design = Design(what) if "tiles" in read_toml(what) else load_design(what)
        own = (*design.block_folders, *own)
        design = replace(design, units=units or design.units, block_folders=own)
        return make_quilt(design), design
    blocks = load_blocks(*map(str, folders))
    try:
        return blocks.get(what)
    except QuiltKeyError as error:
        if blocks.find(what):
            raise
        design = Design(what, units=units or "in", block_folders=own)
        try:
            return make_quilt(design), design
        except QuiltKeyError:
            raise QuiltKeyError(
                f"{error}; nor a pattern of that name; accepted: a block, a pattern, or the path "
                "of a design or pattern file (.toml)"
            ) from None


def sewing_of(
    what: str,
    size: float = 12.0,
    folders: Sequence[str | Path] = (),
    fabrics: Mapping[str, Fabric] | None = None,
    seam: float | None = None,
    units: Units | None = None,
) -> BlockSewing | QuiltSewing:
    """The order of sewing of a block, pattern or design; ``seam`` is the seam allowance, inches
    (None: the design's, else the usual one), ``units`` those in which it is written (None: the
    design's, else inches).

    >>> sewing_of("four-patch", 6).text()[1]
    '3 seams, all straight'
    """
    subject, ruler = find_subject(what, folders, units), RULERS[units or "in"]
    if isinstance(subject, Block):
        return sew_block(
            subject, size, fabrics, seam=ruler.seam if seam is None else seam, ruler=ruler
        )
    quilt, design = subject
    worn = {**design.fabrics, **(fabrics or {})}
    return sew_quilt(
        quilt, replace(design, fabrics=worn, seam=design.seam if seam is None else seam)
    )


def save_scenes(scenes: Sequence[Scene], path: str | Path) -> Path:
    """Sheets as one PDF; as SVG or PNG only the last one (the top of a quilt).

    Raises:
        QuiltValueError: another ending.
    """
    if check_suffix(path) == ".pdf":
        return write_pdf(scenes, path)
    return save_scene(scenes[-1], path, ppi=120)


def make_templates(
    what: str,
    *,
    output: Path | None = None,
    svg: Path | None = None,
    dxf: Path | None = None,
    paper: str = "letter",
    size: float | None = None,
    seam: float | None = None,
    untrimmed: bool = False,
    either_side: bool = False,
    directional: Sequence[str] = (),
    roles: Sequence[str] = (),
    copies: int = 1,
    class_sheet: bool = False,
    foundation: bool = False,
    window: bool = False,
    folders: Sequence[str | Path] = (),
    force: bool = False,
    units: Units | None = None,
) -> dict[str, Any]:
    """Make templates and write what is asked for; returns facts for people and programs.

    Args are those of the command ``quiltgeom templates``; ``seam`` None: the design's, else the
    usual one.

    Raises:
        QuiltValueError: options that do not go together, or an output of the wrong kind.

    >>> facts = make_templates("pinwheel", size=4)
    >>> [(t["label"], t["count"]) for t in facts["templates"]], facts["files"]
    ([('A', 4), ('B', 4)], [])
    """
    if output and output.suffix.lower() != ".pdf":
        raise QuiltValueError(
            f"output {output}: file ending: found {output.suffix!r}; accepted: .pdf"
        )
    if window and seam == 0:
        raise QuiltValueError(
            "window: found a seam allowance of 0, which leaves no frame to hold; "
            "accepted: a seam allowance above 0"
        )
    subject = find_subject(what, folders, units)
    ruler = RULERS[(units or "in") if isinstance(subject, Block) else subject[1].units]
    if seam is None:
        seam = ruler.seam if isinstance(subject, Block) else subject[1].allowance
    options: dict[str, Any] = {
        "allowance": seam,
        "trim": not untrimmed,
        "one_sided": not either_side,
    }
    if isinstance(subject, Block):
        made = block_templates(subject, size, copies=copies, directional=directional, **options)
    else:
        if size is not None or copies != 1 or class_sheet or foundation:
            raise QuiltValueError(
                f"templates of {what}: found --size, --copies, --class-sheet or --foundation; "
                "accepted: these for a block only (a design says its own size)"
            )
        quilt, design = subject
        aimed = [r for r, f in design.fabrics.items() if f.direction == "one-way"]
        letters = wanted_units(
            quilt, design.fabrics, fussy=design.fussy, options=CutOptions.usual(ruler)
        ).letters
        made = quilt_templates(
            quilt, directional=tuple(directional) or aimed, letters=letters, **options
        )
    made = replace(_only(made, roles, directional), ruler=ruler)
    if window:
        made = replace(made, templates=tuple(replace(t, window=True) for t in made.templates))
    pages = _pages(subject, made, paper, class_sheet, foundation, copies, size)
    files: list[Path] = []
    if output:
        files.append(write_pdf(pages, output, title=f"{made.title}: templates"))
    if svg:
        own = [Path(what)] if Path(what).is_file() else []
        files += write_template_svgs(made, svg, inputs=own, force=force)
    if dxf:
        files.append(write_dxf(made, dxf))
    return _facts(made, files, len(pages))


def _only(made: TemplateSet, roles: Sequence[str], directional: Sequence[str]) -> TemplateSet:
    known = sorted({t.role for t in made.templates} | {r[1] for r in made.by_ruler})
    for role in (*roles, *directional):
        if role not in known:
            raise QuiltKeyError(f"role: found {role!r}; accepted: {', '.join(known)}")
    if not roles:
        return made
    kept = [k for k, r in enumerate(made.by_ruler) if r[1] in roles]
    return replace(
        made,
        templates=tuple(t for t in made.templates if t.role in roles),
        by_ruler=tuple(made.by_ruler[k] for k in kept),
        ruler_cuts=tuple(made.ruler_cuts[k] for k in kept),
    )


def _pages(
    subject: Block | tuple[Quilt, Design],
    made: TemplateSet,
    paper: str,
    sheet: bool,
    foundation: bool,
    copies: int,
    size: float | None,
) -> list[Scene]:
    first: list[Scene] = []
    if isinstance(subject, Block) and (sheet or foundation):
        sewing = sew_block(subject, subject.width if size is None else size, ruler=made.ruler)
        first = class_sheet(sewing, made, paper, copies) if sheet else []
        if foundation:
            return first + foundation_pages(sewing, paper, made.allowance)
    return first + (template_pages(made, paper) if made.templates or made.by_ruler else [])


def _facts(made: TemplateSet, files: Sequence[Path], pages: int) -> dict[str, Any]:
    return {
        "title": made.title,
        "seam_allowance_in": made.allowance,
        "pages": pages,
        "templates": [
            {
                "label": t.label,
                "role": t.role,
                "count": t.count,
                "reversed": t.reversed,
                "width_in": round(t.size[0], 6),
                "height_in": round(t.size[1], 6),
                "grain_deg": round(t.grain_deg, 6),
                "up_deg": t.up_deg,
                "finished_area_sq_in": round(t.seam.area, 6),
                "cut_area_sq_in": round(t.cut.area, 6),
            }
            for t in made.templates
        ],
        "by_ruler": [
            {
                "label": letter,
                "role": role,
                "finished_in": [w, h],
                "count": count,
                "cut_in": [round(side, 6) for side in cut],
                "text": f"{made.ruler.text(w)} x {made.ruler.text(h)} finished",
            }
            for (letter, role, w, h, count), cut in zip(made.by_ruler, made.ruler_cuts, strict=True)
        ],
        "findings": [str(f) for f in made.findings],
        "files": [str(p) for p in files],
    }
