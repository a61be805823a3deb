"""A design to its cutting plan, and the plan to a folder of sheets and lists."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from quiltgeom.cutting.listing import plan_csv, plan_data, plan_markdown, plan_text
from quiltgeom.cutting.plan import CutPlan, cut_plan
from quiltgeom.documents.cutting_sheet import cutting_sheet, sheet_name
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.files import write_whole
from quiltgeom.render.preview import make_quilt, save_scene

__all__ = ["plan_design", "write_cutting"]


def plan_design(
    design: Design,
    *,
    have: Mapping[str, tuple[float, float]] | None = None,
    width: float = 40.0,
    binding_role: str | None = None,
    seconds: float = 8.0,
) -> CutPlan:
    """Lay out a design and plan its cutting; see :func:`~quiltgeom.cutting.plan.cut_plan`.

    >>> plan_design(Design("harbour-windows", rows=1, columns=1)).fits
    True
    """
    return cut_plan(make_quilt(design), design.fabrics, width=width, have=have,
                    binding_role=binding_role, seconds=seconds)  # fmt: skip


def write_cutting(plan: CutPlan, fabrics: Mapping[str, Fabric], folder: Path) -> list[Path]:
    """Write one diagram per fabric (SVG and PDF), the list (txt, md, csv) and ``plan.json``."""
    written = []
    for fabric in plan.fabrics:
        scene = cutting_sheet(fabric, plan.quilt.name, fabrics.get(fabric.role))
        for suffix in (".svg", ".pdf"):
            written.append(save_scene(scene, folder / sheet_name(fabric).with_suffix(suffix)))
    texts = {
        "cutting.txt": plan_text(plan), "cutting.md": plan_markdown(plan),
        "cutting.csv": plan_csv(plan), "plan.json": json.dumps(plan_data(plan), indent=2) + "\n",
    }  # fmt: skip
    return written + [write_whole(folder / n, t.encode("utf-8")) for n, t in texts.items()]
