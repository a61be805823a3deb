"""The kit: everything that a maker needs for one quilt, as pages and as a folder."""

from collections.abc import Sequence

from quiltgeom.cutting.cutting_plan import FabricPlan
from quiltgeom.cutting.listing import CAUTION, cut_lines, finishing_rows, trimming
from quiltgeom.documents.companion_sheet import cloth_square
from quiltgeom.documents.cutting_pages.cutting_sheet import cutting_sheets
from quiltgeom.documents.flow import MARGIN, Flow
from quiltgeom.documents.sheet import LETTER
from quiltgeom.model.fabric import Fabric
from quiltgeom.proposal.proposal import Proposal
from quiltgeom.render.mockup import role_colour
from quiltgeom.render.scene import Scene
from quiltgeom.render.text import fit_text, text_items, wrap_text
from quiltgeom.sewing.steps_picture import StepPicture, legend

CARE = (
    CAUTION,
    "The iron is hot and its steam burns: keep it and its cord out of reach of children, try the "
    "heat on a scrap, set it on its heel, switch it off when you leave the room.",
    "Needles and pins: count them back into their tin, away from children and pets; a broken "
    "needle goes into a closed jar. Never sew over pins.",
    "A quilt for a baby: loose covers do not belong in the cot of an infant under a year. Follow "
    "the safe-sleep guidance of your health service; give it as a mat for play under watch or to "
    "hang on the wall.",
    "The makers' instructions for your tools and the rules of your room come first.",
)
"""Usual cautions (common practice; safe-sleep guidance of public health services)."""

STEP = 2.1
"""Side of a step's picture, inches."""


def kit_pages(kit: Proposal, *, paper: tuple[float, float] = LETTER) -> list[Scene]:
    """All pages: picture and fabrics, cutting list, diagrams, order of sewing, cautions."""
    flow = Flow(paper, f"{kit.quilt.name}: kit")
    _cover(flow, kit)
    _fabrics(flow, kit)
    _cutting(flow, kit)
    flow.heading("Take care", 18, below=1.5)
    for text in CARE:
        flow.paragraph(text, 10.5)
    _sewing_words(flow, kit)
    _sewing_pictures(flow, kit)
    seam = kit.cutting.options.seam
    sheets = [
        s
        for p in kit.cutting.fabrics
        for s in cutting_sheets(p, kit.quilt.name, kit.fabric(p.role), seam=seam)
    ]
    return flow.finished(sheets)


def _cover(flow: Flow, kit: Proposal) -> None:
    quilt = kit.quilt
    flow.heading(quilt.name, 24)
    flow.paragraph(size_words(kit), 11)
    flow.y += 0.05
    flow.scene(kit.picture.scene, flow.width, 0.42 * flow.paper[1])
    mirrored = [n for n in kit.picture.notes if "mirrored" in n]
    for note in (*kit.remarks, *quilt.notes, *mirrored):
        flow.paragraph(f"{note[:1].upper()}{note[1:]}.".replace("..", "."), 9, colour="#555555")


def size_words(kit: Proposal) -> str:
    """Size, patches, blocks and difficulty; where that is in inches, in whole centimetres, too."""
    quilt, ruler = kit.quilt, kit.cutting.options.ruler
    width, height = (f"{v * 2.54:.0f}" for v in (quilt.width, quilt.height))
    in_cm = "" if ruler.metric else f" ({width} x {height} cm)"
    return (
        f"{ruler.about(quilt.width)} x {ruler.about(quilt.height)} finished{in_cm}; "
        f"{len(quilt)} patches; {quilt.columns} x {quilt.rows} blocks of "
        f"{ruler.text(quilt.block_size)}; {kit.difficulty[0]}."
    )


def _fabrics(flow: Flow, kit: Proposal) -> None:
    flow.heading("Fabrics", 15, below=1.2)
    for plan in kit.cutting.fabrics:
        first, second = role_rows(plan)
        words = wrap_text(second, flow.width - 0.75, 10)
        height = max(0.7, 0.36 + 0.18 * len(words))
        flow.need(height)
        top = flow.y
        flow.chip(chip_scene(kit.fabric(plan.role), plan.role, tuple(kit.quilt.roles)), 0.6)
        size = fit_text(first, flow.width - 0.75, 11, "Semibold")
        flow.add(*text_items(first, MARGIN + 0.75, top + 0.2, size, font="Semibold"))
        flow.add(*text_items(words, MARGIN + 0.75, top + 0.42, 10))
        flow.y = top + height
    for heading, amount in finishing_rows(kit.cutting):
        flow.row((heading, amount), (0.0, 0.16), 10.5)


def chip_scene(fabric: Fabric | None, role: str, roles: tuple[str, ...]) -> Scene | str:
    """Four inches square of the cloth, upright; a plain colour where there is no picture."""
    if fabric is None:
        return role_colour(role, roles)
    if fabric.image is None:
        return fabric.colour or role_colour(role, roles)
    return cloth_square(fabric)


def role_rows(plan: FabricPlan) -> tuple[str, str]:
    """Two lines about a fabric: its role and name; how much, and how good that figure is."""
    name = plan.role if plan.name == plan.role else f"{plan.role}: {plan.name}"
    if plan.have is not None:
        return name, f"from cloth at hand, {plan.at_hand}, {plan.way}; {plan.why}"
    across = f"{plan.across}, {plan.way}"
    return name, f"buy {plan.terms.said(plan.buy)}, {across}; {plan.why}"


def _cutting(flow: Flow, kit: Proposal) -> None:
    flow.heading("Cutting", 18)
    seam = kit.cutting.options.ruler.meant(kit.cutting.options.seam)
    flow.paragraph(
        f"All sizes include the {seam} seam allowance; the first number lies across the cloth. "
        "Cut the largest pieces first. The diagrams are at the end.",
        10.5,
    )
    if trim := trimming(kit.cutting):
        flow.paragraph(trim, 10.5)
    stops = (0.0, 0.09, 0.16, 0.4, 0.88)
    for plan in kit.cutting.fabrics:
        name, amount = role_rows(plan)
        flow.heading(name, 12, below=0.7)
        flow.paragraph(amount[:1].upper() + amount[1:] + ".", 9.5, colour="#555555")
        flow.row(("piece", "cut", "size", "how", "patches"), stops, 9.5, font="Semibold")
        for line in cut_lines(plan):
            cells = line.label, str(line.count), line.size, line.how, str(line.patches or "")
            flow.row(cells, stops, 10)
    for made in kit.cutting.sets:
        flow.paragraph(made.text, 10)


def _sewing_words(flow: Flow, kit: Proposal) -> None:
    flow.heading("Order of sewing", 18, below=1.2)
    flow.paragraph(
        f"{kit.sewing.seam_note} Letters are those of the cutting list; a number in brackets, or "
        "in a picture, is that of the step that makes the unit (where rows are joined, of the "
        "row). Counts in a block are for one block.",
        10.5,
    )
    for line in kit.sewing.lines():
        if not line.strip():
            flow.y += 0.08
        elif line[0].isdigit() or line.startswith(" "):
            flow.paragraph(line.strip(), 10, indent=0.15)
        else:
            flow.heading(line, 12, below=0.5)


def _sewing_pictures(flow: Flow, kit: Proposal) -> None:
    """Every step with its picture, three in a row; the top drawn apart before it is joined."""
    for title, steps in kit.sewing.unit_pictures(STEP):
        flow.heading(title, 13, below=STEP + 0.7)
        _steps(flow, steps)
    flow.heading(f"{kit.quilt.name}: the top", 13, below=0.6 * flow.paper[1])
    whole = kit.sewing.assembly(flow.width, 0.62 * flow.paper[1])
    flow.sheet(whole)
    _steps(flow, kit.sewing.top_pictures(STEP))
    flow.need(0.3)
    flow.add(*legend(MARGIN, flow.y + 0.15), label="legend")
    flow.y += 0.35


def _steps(flow: Flow, steps: Sequence[StepPicture]) -> None:
    across = flow.width / 3
    for k in range(0, len(steps), 3):
        row = steps[k : k + 3]
        words = [wrap_text(f"{s.number}. {s.text}", across - 0.2, 9.5) for s in row]
        lines = max(map(len, words))
        flow.need(STEP + 0.17 * lines + 0.3)
        for column, (step, text) in enumerate(zip(row, words, strict=True)):
            flow.place(step.scene, MARGIN + column * across, flow.y)
            below = flow.y + STEP + 0.18
            flow.add(*text_items(text, MARGIN + column * across, below, 9.5))
        flow.y += STEP + 0.17 * lines + 0.3
