"""From a name or a design file to template files and sewing sheets: the doors of this package."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.wanted import wanted_units
from quiltgeom.errors import QuiltKeyError, QuiltValueError, shown
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.patterns import load_patterns, pattern_path
from quiltgeom.model.block import Block
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Quilt
from quiltgeom.render.answer import Answer
from quiltgeom.render.pdf import write_pdf
from quiltgeom.render.preview import DesignLike, as_design, is_kit, make_quilt
from quiltgeom.render.scene import Scene
from quiltgeom.sewing.sewing_sheet import BlockSewing, QuiltSewing, sew_block, sew_quilt
from quiltgeom.tracing.block_papers import class_sheet, foundation_pages
from quiltgeom.tracing.build import Template, TemplateSet, block_templates, quilt_templates
from quiltgeom.tracing.pages import template_pages
from quiltgeom.tracing.shape_files import write_dxf, write_template_svgs
from quiltgeom.units import RULERS, Units


def find_subject(
    what: DesignLike, folders: Sequence[str | Path] = (), units: Units | None = None
) -> Block | tuple[Quilt, Design]:
    """A block, pattern or design as itself, by the path of its file (or of a kit's folder) or by
    name; a block wins over a pattern. ``units``, if given, instead of the design's.

    Raises:
        QuiltKeyError: neither a block nor a pattern; the message names the nearest of both.

    >>> find_subject("Churn Dash").key, find_subject("gull-cove")[0].pattern
    ('churn-dash', 'gull-cove')
    """
    if isinstance(what, Block):
        return what
    own = tuple(map(Path, folders))
    if isinstance(what, str) and not pattern_path(what) and not is_kit(what):
        blocks = load_blocks(*map(str, folders))
        try:
            return blocks.get(what)
        except QuiltKeyError as error:
            if blocks.find(what):
                raise
            try:
                load_patterns(blocks=own).get(what)
            except QuiltKeyError as other:
                raise QuiltKeyError(
                    f"{error}; nor a {other}; accepted: a block, a pattern, the path of a design "
                    "or pattern file (.toml), or the folder of a kit"
                ) from None
    design = as_design(what)
    own = (*design.block_folders, *own)
    design = replace(design, units=units or design.units, block_folders=own)
    return make_quilt(design), design


def sewing_of(
    what: DesignLike,
    size: float | None = None,
    folders: Sequence[str | Path] = (),
    fabrics: Mapping[str, Fabric] | None = None,
    seam: float | None = None,
    units: Units | None = None,
) -> BlockSewing | QuiltSewing:
    """The order of sewing of a block, pattern or design; ``size`` is the finished size of a block,
    inches (None: 12), ``seam`` is the seam allowance, inches
    (None: the design's, else the usual one), ``units`` those in which it is written (None: the
    design's, else inches).

    >>> sewing_of("four-patch", 6).lines()[1]
    '3 seams, all straight'
    """
    subject, ruler = find_subject(what, folders, units), RULERS[units or "in"]
    if isinstance(subject, Block):
        seam, size = ruler.seam if seam is None else seam, 12.0 if size is None else size
        return sew_block(subject, size, fabrics, seam=seam, ruler=ruler)
    quilt, design = subject
    _for_blocks(quilt.name, size=size)
    cloths = {**design.fabrics, **(fabrics or {})}
    return sew_quilt(
        quilt, replace(design, fabrics=cloths, seam=design.seam if seam is None else seam)
    )


def _for_blocks(quilt: str, **given: object) -> None:
    """Refuse of a quilt what is said of a block."""
    for name, value in given.items():
        if value is not None:
            raise QuiltValueError(
                f"{quilt}: {name}: found {shown(value)}, which is said of a block; accepted: a "
                "block, or a quilt without it (its size is said by its design, as of lay_out: two "
                "numbers)"
            )


@dataclass(frozen=True, repr=False)
class Templates(Answer):
    """Templates of a block or quilt, and the pages to print.

    Attributes:
        made: one template for each shape.
        pages: packed at true size.
        inputs: the file that it is made of: it is not replaced.
    """

    made: TemplateSet
    pages: tuple[Scene, ...]
    inputs: tuple[Path, ...] = ()

    def __iter__(self) -> Iterator[Template]:
        return iter(self.made.templates)

    def __len__(self) -> int:
        return len(self.made.templates)

    def __repr__(self) -> str:
        count, pages = len(self), len(self.pages)
        words = f"{count} template{'s' * (count != 1)} on {pages} page{'s' * (pages != 1)}"
        return f"<Templates: {self.made.title}, {words}>"

    def scenes(self) -> Sequence[Scene]:
        """The pages to print."""
        return self.pages

    def lines(self) -> list[str]:
        """How many to cut of each."""
        rows = [
            f"{t.label:4} {t.role:12} cut {t.count}"
            + (f" + {t.reversed} reversed" if t.reversed else "")
            for t in self.made.templates
        ]
        text = self.made.ruler.text
        rows += [
            f"{label:4} {role:12} cut {count} by ruler, {text(w)} x {text(h)} finished"
            for label, role, w, h, count in self.made.by_ruler
        ]
        return rows or ["no templates: all is cut by ruler"]

    def to_json(self) -> dict[str, Any]:
        """Every template with its sizes, grain and count."""
        return _facts(self.made, len(self.pages))

    def save(self, path: str | Path, **drawing: Any) -> Path:
        """As of all answers; a ``.dxf`` has all shapes, for cutting machines."""
        if Path(path).suffix.lower() == ".dxf":
            return write_dxf(self.made, path)
        if Path(path).suffix.lower() == ".pdf":
            return write_pdf(self.pages, path, title=f"{self.made.title}: templates")
        return super().save(path, **drawing)

    def save_shapes(self, folder: str | Path, *, force: bool = False) -> list[Path]:
        """One SVG per shape, at real size."""
        return write_template_svgs(self.made, folder, inputs=self.inputs, force=force)


def templates_of(
    what: DesignLike,
    *,
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
    units: Units | None = None,
) -> Templates:
    """True-size templates of a block, a pattern or a design.

    Args:
        what: by path or name, or itself.
        paper: ``"letter"``, ``"a4"``, ``"tabloid"`` or ``"a3"``.
        size: finished block size, inches; None: a block's grid in inches.
        seam: seam allowance, inches; None: the design's, else the usual one.
        untrimmed: leave the tips long.
        either_side: cloth without a right side: no reversed ones.
        directional: roles whose print has an up.
        roles: only templates of these.
        copies: blocks to make.
        class_sheet, foundation: begin with a sheet for the class; foundation papers instead.
        window: the inside is cut out, to see what the patch shows.
        folders: with blocks of one's own.
        units: in which they are written; None: the design's, else inches.

    Raises:
        QuiltValueError: options that do not go together.

    >>> [(t.label, t.count) for t in templates_of("pinwheel", size=4).made.templates]
    [('A', 4), ('B', 4)]
    """
    if window and seam == 0:
        raise QuiltValueError(
            "window: found a seam allowance of 0, which leaves no frame to hold; "
            "accepted: a seam allowance above 0"
        )
    subject = find_subject(what, folders, units)
    ruler = RULERS[(units or "in") if isinstance(subject, Block) else subject[1].units]
    if seam is None:
        seam = ruler.seam if isinstance(subject, Block) else subject[1].allowance
    options: dict[str, Any] = dict(allowance=seam, trim=not untrimmed, one_sided=not either_side)
    if isinstance(subject, Block):
        made = block_templates(subject, size, copies=copies, directional=directional, **options)
    else:
        quilt, design = subject
        several = None if copies == 1 else copies
        _for_blocks(
            quilt.name,
            size=size,
            copies=several,
            class_sheet=class_sheet or None,
            foundation=foundation or None,
        )
        aimed = [r for r, f in design.fabrics.items() if f.direction == "one-way"]
        usual = CutOptions.usual(ruler)
        wanted = wanted_units(quilt, design.fabrics, fussy=design.fussy, options=usual)
        options |= {"directional": tuple(directional) or aimed, "letters": wanted.letters}
        made = quilt_templates(quilt, **options)
    made = replace(_only(made, roles, directional), ruler=ruler)
    if window:
        made = replace(made, templates=tuple(replace(t, window=True) for t in made.templates))
    pages = _pages(subject, made, paper, class_sheet, foundation, copies, size)
    own = isinstance(what, str | Path) and Path(what).is_file()
    return Templates(made, tuple(pages), (Path(str(what)),) if own else ())


def _only(made: TemplateSet, roles: Sequence[str], directional: Sequence[str]) -> TemplateSet:
    known = sorted({t.role for t in made.templates} | {r[1] for r in made.by_ruler})
    for role in (*roles, *directional):
        if role not in known:
            raise QuiltKeyError(f"role: found {role!r}; accepted: {', '.join(known)}")
    if not roles:
        return made
    kept = [k for k, r in enumerate(made.by_ruler) if r[1] in roles]
    templates = tuple(t for t in made.templates if t.role in roles)
    by_ruler = tuple(made.by_ruler[k] for k in kept)
    cuts = tuple(made.ruler_cuts[k] for k in kept)
    return replace(made, templates=templates, by_ruler=by_ruler, ruler_cuts=cuts)


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


def _facts(made: TemplateSet, pages: int) -> dict[str, Any]:
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
    }
