"""How quilts are cut: one, several together, a plain list."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from quiltgeom.cutting.buying.kits_together import (
    Together,
    sorting_csv,
    together_data,
    together_text,
)
from quiltgeom.cutting.buying.plain_list import list_data, list_text, plan_pieces, read_pieces
from quiltgeom.cutting.cutting_plan import CutPlan, cut_plan
from quiltgeom.cutting.fabric_plan import FabricPlan
from quiltgeom.cutting.listing import plan_data, plan_text
from quiltgeom.documents.cutting_pages.cutting_folder import (
    plan_design,
    plan_largest,
    plan_sheets,
    plan_together,
    write_cutting,
    write_lists,
)
from quiltgeom.documents.cutting_pages.cutting_sheet import cutting_sheets
from quiltgeom.documents.cutting_pages.put_back_words import put_back
from quiltgeom.documents.kit_folder import PAPERS, known_paper
from quiltgeom.errors import QuiltValueError
from quiltgeom.jobs.arguments import checks_arguments
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.onhand.put_back import CutCloth
from quiltgeom.render.answer import Answer
from quiltgeom.render.preview import Cloths, DesignLike, as_design
from quiltgeom.render.scene import Scene


@dataclass(frozen=True, repr=False)
class Cutting(Answer):
    """How a quilt is cut.

    Attributes:
        design: what is cut.
        plan: what to buy, what to cut and where it lies, fabric by fabric.
        paper: of the sheets, ``"letter"`` or ``"a4"``.
        largest: what is known of larger versions, if these were looked for.
    """

    design: Design
    plan: CutPlan
    paper: str = "letter"
    largest: str = ""

    def to_json(self) -> dict[str, Any]:
        """The whole plan."""
        return plan_data(self.plan) | ({"largest": self.largest} if self.largest else {})

    def lines(self) -> list[str]:
        """The cutting list."""
        quilt, ruler = self.plan.quilt, self.plan.options.ruler
        size = ruler.decimal(quilt.block_size).replace(" ", "")
        found = (
            f"{quilt.columns} columns, {quilt.rows} rows, blocks of {ruler.text(quilt.block_size)}"
            f": --columns {quilt.columns} --rows {quilt.rows} --block {size}"
        )
        head = [self.largest, found, ""] if self.largest else []
        return [*head, *plan_text(self.plan).splitlines()]

    def scenes(self) -> list[Scene]:
        """One sheet for each fabric, and the finishing sheet."""
        return plan_sheets(self.plan, self.design.fabrics, PAPERS[self.paper])

    def save_folder(self, folder: str | Path, **writing: Any) -> list[Path]:
        """Write sheets, lists, ``plan.json`` and the quilt as cut; ``inputs`` and ``force`` as of
        :func:`~quiltgeom.outputs.folder.output_folder`."""
        paper = PAPERS[self.paper]
        return write_cutting(self.plan, self.design.fabrics, Path(folder), paper, **writing)

    def put_back(self, place: str | Path) -> tuple[CutCloth, ...]:
        """Write what is left of the cloth at hand into its index; see
        :func:`~quiltgeom.documents.cutting_pages.put_back_words.put_back`."""
        return put_back(self.plan, self.design.fabrics, place)


@dataclass(frozen=True, repr=False)
class CutTogether(Answer):
    """Several kits cut together.

    Attributes:
        made: what is cut from every cloth, and whose it is.
        paper: of the sheets.
    """

    made: Together
    paper: str = "letter"

    @property
    def sheets(self) -> list[tuple[FabricPlan, Fabric | None]]:
        """A plan for every cloth."""
        return [(c.plan, c.fabric) for c in self.made.cloths]

    def to_json(self) -> dict[str, Any]:
        """All cloths, and whose every piece is."""
        return together_data(self.made)

    def lines(self) -> list[str]:
        """The cutting list."""
        return together_text(self.made).splitlines()

    def scenes(self) -> list[Scene]:
        """The sheets of every cloth."""
        return _pages(self.sheets, self.made.title, self.paper)

    def save_folder(self, folder: str | Path, **writing: Any) -> list[Path]:
        """Write sheets, lists, and how the pieces are sorted."""
        texts = {
            "cutting.txt": f"{self}\n",
            "sorting.csv": sorting_csv(self.made),
            "plan.json": json.dumps(self.to_json(), indent=2) + "\n",
        }
        paper = PAPERS[self.paper]
        return write_lists(self.sheets, self.made.title, texts, Path(folder), paper, **writing)


@dataclass(frozen=True, repr=False)
class CutList(Answer):
    """A plain list cut from one fabric.

    Attributes:
        plan: where its pieces lie.
        paper: of the sheets.
    """

    plan: FabricPlan
    paper: str = "letter"

    def to_json(self) -> dict[str, Any]:
        """The whole plan."""
        return list_data(self.plan)

    def lines(self) -> list[str]:
        """The cutting list."""
        return list_text(self.plan).splitlines()

    def scenes(self) -> list[Scene]:
        """Its sheets."""
        return _pages([(self.plan, None)], "Cutting list", self.paper)

    def save_folder(self, folder: str | Path, **writing: Any) -> list[Path]:
        """Write sheets and lists."""
        data = json.dumps(self.to_json(), indent=2) + "\n"
        texts = {"cutting.txt": f"{self}\n", "plan.json": data}
        sheets, paper = [(self.plan, None)], PAPERS[self.paper]
        return write_lists(sheets, "Cutting list", texts, Path(folder), paper, **writing)


def _pages(
    sheets: Sequence[tuple[FabricPlan, Fabric | None]], title: str, paper: str
) -> list[Scene]:
    return [page for p, f in sheets for page in cutting_sheets(p, title, f, PAPERS[paper])]


@checks_arguments(cut_plan, plan_design, Design)
def cut(
    what: DesignLike,
    fabrics: Cloths | None = None,
    *,
    paper: str = "letter",
    largest: bool = False,
    tries: int = 40,
    **cutting: Any,
) -> Cutting:
    """Plan the cutting: what to buy, what to cut, where it lies, and how good that is.

    Args:
        what: a design in any form (see :func:`~quiltgeom.render.preview.as_design`).
        fabrics: by role, added to the design's own.
        paper: of the sheets.
        largest: the largest version that the cloth of ``have`` makes, with what is proved.
        tries: how many larger sizes are planned at most.
        cutting: ``have`` (cloth at hand by role: length along the selvage and width, inches),
            ``width``, ``options``, ``terms``, ``seconds``, ... as of
            :func:`~quiltgeom.cutting.cutting_plan.cut_plan`; all else are fields of the design.

    >>> cut("harbour-windows", have={"focus": (36, 40)}).plan.fits
    True
    """
    paper = known_paper(paper)
    changes = {f.name: cutting.pop(f.name) for f in fields(Design) if f.name in cutting}
    design = as_design(what, fabrics=fabrics, **changes)
    if not largest:
        return Cutting(design, plan_design(design, **cutting), paper)
    if not cutting.get("have"):
        raise QuiltValueError("largest: found no cloth at hand; accepted: with some (have)")
    if cutting.pop("bolts", None):
        raise QuiltValueError("largest: found bolts; accepted: a width for cloth to buy")
    found = plan_largest(design, tries=tries, **cutting)
    return Cutting(design, found.plan, paper, found.sentence)


@checks_arguments(cut_plan, plan_design, Design)
def cut_together(
    designs: Sequence[DesignLike], *, kits: int = 1, paper: str = "letter", **cutting: Any
) -> CutTogether:
    """So many kits of each design, cut together.

    Args:
        designs: in any form.
        kits: of each.
        paper: of the sheets.
        cutting: as of :func:`cut`, without bolts to choose from.

    >>> cut_together(["harbour-windows"], kits=2).made.kits
    2
    """
    made = plan_together([as_design(d) for d in designs], kits=kits, **cutting)
    return CutTogether(made, known_paper(paper))


@checks_arguments(plan_pieces)
def cut_list(path: str | Path, *, paper: str = "letter", **cutting: Any) -> CutList:
    """A plain list of pieces (CSV) cut from one fabric.

    Args:
        path: columns width, height (along the cloth), count, and name, may_turn if wanted.
        paper: of the sheets.
        cutting: ``width``, ``cloths``, ``terms``, ``seconds``, ``spare`` as of
            :func:`~quiltgeom.cutting.buying.plain_list.plan_pieces`.
    """
    path = Path(path)
    return CutList(plan_pieces(read_pieces(path), name=path.stem, **cutting), known_paper(paper))
