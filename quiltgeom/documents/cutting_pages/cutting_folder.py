"""A design to its cutting plan, and the plan to a folder of sheets and lists."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from quiltgeom.cutting.as_cut import CutPatch, patches_from_data
from quiltgeom.cutting.buying.bolts import cheapest_plan
from quiltgeom.cutting.buying.kits_together import Together, cut_together
from quiltgeom.cutting.buying.largest import Largest, largest_version
from quiltgeom.cutting.buying.offers import Bolt
from quiltgeom.cutting.cutting_plan import CutPlan, FabricPlan, cut_plan
from quiltgeom.cutting.listing import plan_csv, plan_data, plan_text
from quiltgeom.cutting.options import CutOptions
from quiltgeom.documents.cutting_pages.cutting_sheet import cutting_sheets
from quiltgeom.documents.cutting_pages.finishing_sheet import finishing_sheet
from quiltgeom.documents.sheet import LETTER
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.files import free_name, safe_name, write_whole
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.outputs.folder import output_folder
from quiltgeom.piecing.seam_check.sews_together import with_trims
from quiltgeom.proposal.proposal import cut_options
from quiltgeom.render.answer import save_scene
from quiltgeom.render.mockup import mockup
from quiltgeom.render.preview import make_quilt
from quiltgeom.render.scene import Scene
from quiltgeom.texts import PLAN_BYTES, read_json


def plan_design(
    design: Design,
    *,
    bolts: Mapping[str, Sequence[Bolt]] | None = None,
    options: CutOptions | None = None,
    **cutting: Any,
) -> CutPlan:
    """Lay out a design and plan its cutting; see
    :func:`~quiltgeom.cutting.cutting_plan.cut_plan`, and with bolts to choose from
    :func:`~quiltgeom.cutting.buying.bolts.cheapest_plan`.

    The design's seam allowance holds, unless the options have another than the usual 1/4 inch.

    >>> plan_design(Design("harbour-windows", rows=1, columns=1)).fits
    True
    """
    quilt = make_quilt(design)
    cutting |= {"options": cut_options(design, options), "fussy": design.fussy}
    if bolts:
        return with_trims(cheapest_plan(quilt, design.fabrics, bolts, **cutting))
    return with_trims(cut_plan(quilt, design.fabrics, **cutting))


def plan_together(designs: Sequence[Design], *, kits: int = 1, **cutting: Any) -> Together:
    """So many kits of each design, cut together; see
    :func:`~quiltgeom.cutting.buying.kits_together.cut_together`.

    Args:
        cutting: as of :func:`plan_design`, without bolts to choose from; cloth at hand and widths
            hold for the designs that have the role.

    Raises:
        QuiltKeyError: cloth or a width for a role that no design has.

    >>> made = plan_together([Design("harbour-windows", rows=1, columns=1)], kits=2)
    >>> made.kits, made.fits
    (2, True)
    """
    quilts = [make_quilt(d) for d in designs]
    known = list(dict.fromkeys(r for q in quilts for r, n in q.count_by_role.items() if n))
    for what in ("have", "width"):
        given = cutting.get(what)
        for role in given if isinstance(given, Mapping) else ():
            if role not in ("*", *known):
                raise QuiltKeyError(f"{what}: found role {role!r}; accepted: {', '.join(known)}")
    plans = []
    for design, quilt in zip(designs, quilts, strict=True):
        mine = ("*", *(r for r, n in quilt.count_by_role.items() if n))
        own: dict[str, Any] = {
            w: {r: v for r, v in g.items() if r in mine} if isinstance(g, Mapping) else g
            for w, g in cutting.items()
        }
        plans.append(plan_design(design, **own))
    return cut_together(
        plans, [d.fabrics for d in designs], kits=kits, seconds=cutting.get("seconds")
    )


def plan_largest(design: Design, *, options: CutOptions | None = None, **cutting: Any) -> Largest:
    """The largest version of a design's pattern that the cloth at hand makes.

    Args:
        cutting: ``have``, ``tries``, ... as of
            :func:`~quiltgeom.cutting.buying.largest.largest_version`.

    Raises:
        QuiltValueError: no version was found.
    """
    pattern = load_patterns(blocks=design.block_folders).get(design.pattern)
    found = largest_version(
        pattern, design.fabrics, options=cut_options(design, options), fussy=design.fussy, **cutting
    )
    if found is None:
        raise QuiltValueError(
            f"largest {pattern.name}: found no version with blocks from half the usual size up "
            "that this cloth makes; accepted: more cloth, or a pattern with smaller patches"
        )
    return replace(found, plan=with_trims(found.plan))


def read_patches(path: Path, design: Design) -> list[CutPatch]:
    """The patches of a ``plan.json``, for :func:`~quiltgeom.render.preview.preview`'s ``as_cut``.

    Raises:
        TextError: it cannot be read, or is no JSON.
        QuiltValueError: it is no plan, or not of this design.
    """
    return patches_from_data(read_json(path, most=PLAN_BYTES), make_quilt(design))


def plan_sheets(
    plan: CutPlan, fabrics: Mapping[str, Fabric], paper: tuple[float, float] = LETTER
) -> list[Scene]:
    """The pages of a plan: the sheets of every fabric, and the finishing sheet."""
    title, seam = plan.quilt.name, plan.options.seam
    sheets = [
        page
        for f in plan.fabrics
        for page in cutting_sheets(f, title, fabrics.get(f.role), paper, seam=seam)
    ]
    return [*sheets, finishing_sheet(plan, paper)]


def write_cutting(
    plan: CutPlan,
    fabrics: Mapping[str, Fabric],
    folder: Path,
    paper: tuple[float, float] = LETTER,
    *,
    inputs: Sequence[Path] = (),
    force: bool = False,
) -> list[Path]:
    """Write one diagram per fabric (SVG, PDF and PNG), the list (txt, md, csv), ``plan.json``, and
    ``as-cut.png``: the quilt that this plan makes, motif for motif.

    ``inputs`` and ``force`` as of :func:`~quiltgeom.outputs.folder.output_folder`.
    """
    finish, (quilt, places) = finishing_sheet(plan, paper), plan.as_cut()
    return write_lists(
        [(f, fabrics.get(f.role)) for f in plan.fabrics],
        plan.quilt.name,
        {
            "cutting.txt": plan_text(plan),
            "cutting.md": plan_text(plan, markdown=True),
            "cutting.csv": plan_csv(plan),
            "plan.json": json.dumps(plan_data(plan), indent=2) + "\n",
        },
        folder,
        paper,
        seam=plan.options.seam,
        pictures={f"finishing{suffix}": finish for suffix in (".svg", ".pdf", ".png")}
        | {"as-cut.png": mockup(quilt, fabrics, places=places).scene},
        inputs=[*inputs, *(f.image for f in fabrics.values() if f.image)],
        force=force,
    )


def write_lists(
    sheets: Sequence[tuple[FabricPlan, Fabric | None]],
    title: str,
    texts: Mapping[str, str],
    folder: Path,
    paper: tuple[float, float] = LETTER,
    *,
    seam: float | None = None,
    pictures: Mapping[str, Scene] | None = None,
    inputs: Sequence[Path] = (),
    force: bool = False,
) -> list[Path]:
    """Write plans that need not be of one quilt: diagrams as of :func:`write_cutting`, further
    pictures and texts by file name; ``seam``: the allowance that the diagrams name."""
    cloths = [f.image for _, f in sheets if f and f.image]
    written: list[Path] = []
    names: list[str] = []
    with output_folder(folder, "cutting", inputs=[*inputs, *cloths], force=force) as filling:
        for plan, fabric in sheets:
            for scene in cutting_sheets(plan, title, fabric, paper, seam=seam):
                names.append(free_name(f"cut-{safe_name(plan.role)}", names))
                for suffix in (".svg", ".pdf", ".png"):
                    file = filling.path / f"{names[-1]}{suffix}"
                    written.append(save_scene(scene, file, px=1600))
        written += [save_scene(s, filling.path / n, px=1600) for n, s in (pictures or {}).items()]
        written += [write_whole(filling.path / n, t.encode("utf-8")) for n, t in texts.items()]
    return [filling.final(p) for p in written]
