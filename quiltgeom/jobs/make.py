"""What a maker needs: how it is cut and sewn, templates, the kit."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.cutting.listing import plan_text
from quiltgeom.documents.cutting_pages.cutting_folder import plan_design
from quiltgeom.documents.kit import kit_pages
from quiltgeom.documents.kit_folder import PAPERS, KitFolder, known_paper, write_kit
from quiltgeom.fabric.photo.markers.marker_sheet import MARKER_IN, STEPS
from quiltgeom.jobs.arguments import checks_arguments
from quiltgeom.jobs.cut import cut
from quiltgeom.model.design import Design
from quiltgeom.proposal.proposal import Proposal, propose
from quiltgeom.render.answer import Answer
from quiltgeom.render.preview import Cloths, DesignLike, as_design
from quiltgeom.render.scene import Scene
from quiltgeom.sewing.sewing_sheet import BlockSewing, QuiltSewing
from quiltgeom.tracing.marker_page import marker_page
from quiltgeom.tracing.template_files import Templates, sewing_of, templates_of


@checks_arguments(sewing_of)
def sew(
    what: DesignLike, size: float | tuple[float, float] | None = None, **options: Any
) -> BlockSewing | QuiltSewing:
    """The order of sewing, and how hard it is.

    Args:
        what: a block, or a design in any form, by name, path or itself.
        size: finished size of a block, inches (None: 12); of a quilt its width and height, as of
            :func:`lay_out`.
        options: ``fabrics`` for the pictures, ``seam``, ``folders``, ``units`` as of
            :func:`~quiltgeom.tracing.template_files.sewing_of`.

    >>> sew("four-patch", 6)
    <BlockSewing: Four Patch, 6" finished: first quilt>
    """
    if isinstance(size, tuple):
        what, size = as_design(what, size=size), None
    return sewing_of(what, size, **options)


@checks_arguments(templates_of)
def templates(
    what: DesignLike, *, size: float | tuple[float, float] | None = None, **options: Any
) -> Templates:
    """True-size paper templates, one for each shape, trimmed to the order of sewing.

    Args:
        what: a block, or a design in any form, by name, path or itself.
        size: finished size of a block, inches (None: one inch for each unit of its grid); of a
            quilt its width and height, as of :func:`lay_out`.
        options: ``paper`` (``"letter"``, ``"a4"``,
            ``"tabloid"``, ``"a3"``), ``seam``, ``foundation``, ... as of
            :func:`~quiltgeom.tracing.template_files.templates_of`.

    Each has its cutting line as a shapely polygon: inches, x right, y down.

    >>> made = templates("pinwheel", size=4)
    >>> made, [round(t.polygon.area, 2) for t in made]
    (<Templates: Pinwheel, 2 templates on 1 page>, [3.95, 3.95])
    """
    if isinstance(size, tuple):
        what, size = as_design(what, size=size), None
    return templates_of(what, size=size, **options)


@dataclass(frozen=True, repr=False)
class Kit(Answer):
    """Everything a maker needs for one quilt.

    Attributes:
        proposal: the quilt as it is proposed, with its plan.
        paper: of its pages.
    """

    proposal: Proposal
    paper: str = "letter"

    @property
    def design(self) -> Design:
        """Its design."""
        return self.proposal.design

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
        return write_kit(self.proposal, folder, paper=self.paper, **writing)


@checks_arguments(cut_plan, plan_design, Design)
def kit(
    what: DesignLike,
    fabrics: Cloths | None = None,
    *,
    paper: str = "letter",
    notes: Sequence[str] = (),
    **cutting: Any,
) -> Kit:
    """Everything a maker needs: picture, cutting, sewing, templates.

    Args:
        what: a design in any form, see :func:`as_design`; a proposal or a kit keeps its plan.
        fabrics: by role, added to the design's own.
        paper: ``"letter"`` or ``"a4"``.
        notes: remarks for the cover.
        cutting: as of :func:`cut`.
    """
    paper = known_paper(paper)
    what = what.proposal if isinstance(what, Kit) else what
    if isinstance(what, Proposal) and what.plan and not fabrics and not cutting:
        return Kit(replace(what, notes=(*what.notes, *notes)), paper)
    made = cut(what, fabrics, **cutting)
    return Kit(propose(made.design, plan=made.plan, notes=notes), paper)


@dataclass(frozen=True, repr=False)
class MarkerPage(Answer):
    """Two marker sheets on a page, to be printed and laid beside cloth that is photographed.

    Attributes:
        paper: of the page.
    """

    paper: str = "letter"

    def to_json(self) -> dict[str, Any]:
        """Its paper, and the size of a marker."""
        return {"paper": self.paper, "sheets": 2, "marker_in": MARKER_IN, "steps": list(STEPS)}

    def lines(self) -> list[str]:
        """How it is printed and laid."""
        return [
            f"two marker sheets on one page of {self.paper}: print at 100 %, measure the ruler on "
            "it, cut them apart",
            "lay one flat beside the cloth, in the same light, at least two markers in plain view",
        ]

    def scenes(self) -> list[Scene]:
        """The page."""
        return [marker_page(self.paper)]


@checks_arguments()
def marker_sheet(paper: str = "letter") -> MarkerPage:
    """A sheet of markers to print: in a photo of cloth it tells scale and colour.

    Args:
        paper: ``"letter"`` or ``"a4"``.

    >>> marker_sheet("a4").to_json()["marker_in"]
    1.4
    """
    return MarkerPage(known_paper(paper))
