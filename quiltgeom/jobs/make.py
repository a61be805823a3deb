"""What a maker needs: how it is cut and sewn, templates, the kit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any

from quiltgeom.cutting.cutting_plan import CutPlan
from quiltgeom.cutting.listing import plan_data, plan_text
from quiltgeom.documents.cutting_pages.cutting_folder import plan_design, plan_sheets, write_cutting
from quiltgeom.documents.kit import kit_pages
from quiltgeom.documents.kit_folder import PAPERS, KitFolder, write_kit
from quiltgeom.errors import QuiltValueError, shown
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.proposal.proposal import Proposal, propose
from quiltgeom.render.answer import Answer
from quiltgeom.render.preview import DesignLike, as_design
from quiltgeom.render.scene import Scene
from quiltgeom.sewing.sewing_sheet import BlockSewing, QuiltSewing
from quiltgeom.tracing.template_files import Templates, sewing_of, templates_of


@dataclass(frozen=True, repr=False)
class Cutting(Answer):
    """How a quilt is cut.

    Attributes:
        design: what is cut.
        plan: what to buy, what to cut and where it lies, fabric by fabric.
        paper: of the sheets, ``"letter"`` or ``"a4"``.
    """

    design: Design
    plan: CutPlan
    paper: str = "letter"

    def to_json(self) -> dict[str, Any]:
        """The whole plan."""
        return plan_data(self.plan)

    def lines(self) -> list[str]:
        """The cutting list."""
        return plan_text(self.plan).splitlines()

    def scenes(self) -> list[Scene]:
        """One sheet for each fabric, and the finishing sheet."""
        return plan_sheets(self.plan, self.design.fabrics, PAPERS[self.paper])

    def save_folder(self, folder: str | Path, *, force: bool = False) -> list[Path]:
        """Write sheets, lists, ``plan.json`` and the quilt as cut."""
        return write_cutting(
            self.plan, self.design.fabrics, Path(folder), PAPERS[self.paper], force=force
        )


def cut(
    what: DesignLike,
    fabrics: Mapping[str, Fabric] | None = None,
    *,
    paper: str = "letter",
    **cutting: Any,
) -> Cutting:
    """Plan the cutting: what to buy, what to cut, where it lies, and how good that is.

    Args:
        what: a design in any form, see :func:`as_design`.
        fabrics: by role, added to the design's own.
        paper: of the sheets.
        cutting: ``have``, ``width``, ``options``, ... as of
            :func:`~quiltgeom.cutting.cutting_plan.cut_plan`; all else are fields of the design.

    >>> cut("harbour-windows", have={"focus": (36, 40)}).plan.fits
    True
    """
    changes = {f.name: cutting.pop(f.name) for f in fields(Design) if f.name in cutting}
    design = as_design(what, fabrics=fabrics, **changes)
    return Cutting(design, plan_design(design, **cutting), _paper(paper))


def _paper(name: str) -> str:
    if name not in PAPERS:
        raise QuiltValueError(f"paper: found {shown(name)}; accepted: {', '.join(PAPERS)}")
    return name


def sew(what: DesignLike, size: float = 12.0, **options: Any) -> BlockSewing | QuiltSewing:
    """The order of sewing, and how hard it is.

    Args:
        what: a block, or a design in any form, by name, path or itself.
        size: finished size of a block, inches.
        options: ``fabrics`` for the pictures, ``seam``, ``folders``, ``units`` as of
            :func:`~quiltgeom.tracing.template_files.sewing_of`.

    >>> sew("four-patch", 6)
    <BlockSewing: Four Patch, 6" finished: first quilt>
    """
    return sewing_of(what, size, **options)


def templates(what: DesignLike, **options: Any) -> Templates:
    """True-size paper templates, one for each shape, trimmed to the order of sewing.

    Args:
        what: a block, or a design in any form, by name, path or itself.
        options: ``size``, ``paper``, ``seam``, ``foundation``, ... as of
            :func:`~quiltgeom.tracing.template_files.templates_of`.

    >>> templates("pinwheel", size=4)
    <Templates: A    accent       cut 4>
    """
    return templates_of(what, **options)


@dataclass(frozen=True, repr=False)
class Kit(Answer):
    """Everything a maker needs for one quilt.

    Attributes:
        proposal: the quilt as it is proposed, with its plan.
        paper: of its pages.
    """

    proposal: Proposal
    paper: str = "letter"

    def to_json(self) -> dict[str, Any]:
        """What it takes, and whether the cloth at hand is enough."""
        plan = self.proposal.cutting
        return {
            "quilt": plan.quilt.name,
            "fits": plan.fits,
            "buy_in": {f.role: f.buy if f.have is None else 0 for f in plan.fabrics},
            "notes": list(plan.notes),
        }

    def lines(self) -> list[str]:
        """The cutting list and the order of sewing."""
        cutting = plan_text(self.proposal.cutting).splitlines()
        return [*cutting, "", *self.proposal.sewing.lines()]

    def scenes(self) -> list[Scene]:
        """Its pages."""
        return kit_pages(self.proposal, paper=PAPERS[self.paper])

    def save_folder(self, folder: str | Path, **writing: Any) -> KitFolder:
        """Write the folder that can be sent on; see
        :func:`~quiltgeom.documents.kit_folder.write_kit`."""
        design = self.proposal.design
        return write_kit(design, folder, paper=self.paper, kit=self.proposal, **writing)


def kit(
    what: DesignLike,
    fabrics: Mapping[str, Fabric] | None = None,
    *,
    paper: str = "letter",
    notes: Sequence[str] = (),
    **cutting: Any,
) -> Kit:
    """Everything a maker needs: picture, cutting, sewing, templates.

    Args:
        what: a design in any form, see :func:`as_design`; a proposal keeps its plan.
        fabrics: by role, added to the design's own.
        paper: ``"letter"`` or ``"a4"``.
        notes: remarks for the cover.
        cutting: as of :func:`cut`.
    """
    paper = _paper(paper)
    if isinstance(what, Proposal) and what.plan and not fabrics and not cutting:
        return Kit(replace(what, notes=(*what.notes, *notes)), paper)
    made = cut(what, fabrics, **cutting)
    return Kit(propose(made.design, plan=made.plan, notes=notes), paper)
