"""The cutting list: what to cut, how many, by which method; as text, Markdown, CSV and JSON."""

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from quiltgeom.cutting.as_cut import CutPatch, cut_patches
from quiltgeom.cutting.buying.offers import offers_data, offers_text
from quiltgeom.cutting.buying.yardage import Backing, backing, batting
from quiltgeom.cutting.cutting_plan import CutPlan, FabricPlan
from quiltgeom.cutting.letters import line_key
from quiltgeom.cutting.methods.constants import has_trade_constants
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.cutting.options import CutOptions
from quiltgeom.cutting.order_lines import named, order_data
from quiltgeom.files import csv_cell, markdown_text
from quiltgeom.layout.quilt_layout import is_on_ruler, straight_sides
from quiltgeom.model.quilt import Quilt
from quiltgeom.units import INCH_IN_CM, INCHES, Ruler

CAUTION = (
    "Rotary cutters are very sharp: cut away from yourself, on a cutting mat, fingers behind the "
    "ruler's edge; close the blade every time you put the cutter down; keep it from children. "
    "Follow the maker's instructions."
)
HOW = {
    "rectangle": "as cut",
    "square cut once": "cut once on the diagonal: half-square triangles",
    "square cut twice": "cut twice on the diagonals: quarter-square triangles",
    "half of a square cut twice": "cut from the middle of the long side: one triangle",
    "template": "then cut the patch with its template",
    "slanted strip": "cut at a slant into patches side by side",
    "joined strip": "join end to end",
    "mitred border": "border; trim at the mitres",
    "lengthwise border": "border, along the selvage",
    "pair of squares": "in pairs face to face: half-square triangles two at a time",
    "four at a time": "in pairs, sewn all round: half-square triangles four at a time",
    "eight at a time": "in pairs, sewn along both diagonals: half-square triangles eight at a time",
    "no-waste geese": "large square: flying geese four at a time",
    "no-waste skies": "four to a large square: flying geese four at a time",
    "flip base": "stitch and flip: under the squares",
    "flip corner": "stitch and flip: sew over a corner, trim, flip",
    "strip set": "sew into a strip set, then slice",
    "fussy cut": "centred on the motif",
    "foundation piece": "for its place on the foundation, to be trimmed there",
    "foundation triangles": "cut once on the diagonal, for the foundation, to be trimmed there",
    "binding": "binding",
    "bias binding": "continuous bias binding",
    "spare strip": "spare strip, for what goes wrong",
}


def rules(options: CutOptions) -> str:
    """What the sizes in a list include, and by which constants.

    >>> rules(CutOptions(rule="exact")), rules(CutOptions(seam=0.375))[:37]
    ('Sizes include 1/4" seam allowances; triangles by the exact constants, up to the next 1/8".', \
'Sizes include 3/8" seam allowances; t')
    """
    ruler = options.ruler
    included = f"Sizes include {ruler.meant(options.seam)} seam allowances"
    if options.rule == "trade" and has_trade_constants(options.seam):
        return (
            f"{included}. Triangles by the trade's rules: finished leg + 7/8\", "
            'finished long side + 1 1/4".'
        )
    mark = ruler.text(ruler.step)
    return f"{included}; triangles by the exact constants, up to the next {mark}."


def trimming(plan: CutPlan) -> str:
    """What is trimmed when it is sewn, and why where patches finish between two marks of a ruler;
    "" where all is sewn as it is cut.

    Cut sizes are rounded up one by one, so sides between marks would add up. Only straight sides
    along the threads are a reason: slanted ones are cut by angle and template.
    """
    every = f"Trim as you sew: {'; '.join(plan.trims)}." if plan.trims else ""
    return f"{_between_marks(plan)} {every}".strip()


def _between_marks(plan: CutPlan) -> str:
    sides = straight_sides(p for p in plan.quilt if not p.in_border)
    both, ruler = 2 * plan.options.seam, plan.options.ruler
    between = [s for s in sides if not is_on_ruler(s + both, ruler.step)]
    if not between:
        return ""
    mark = f"cut to the next {ruler.text(ruler.step)}"
    trim = f"trim each to its finished size and {ruler.meant(both)} before it is joined"
    if is_on_ruler(both, ruler.step):
        return (
            f"Some patches finish between two marks of a ruler (such as "
            f"{ruler.decimal(between[0], '.3f')}) and are {mark}: {trim}, or choose a size at "
            "which everything falls on marks."
        )
    such = ruler.decimal(between[0] + both, ".3f")
    return (
        f"With seam allowances of {ruler.meant(plan.options.seam)} some patches measure "
        f"between two marks of a ruler (such as {such}) and are {mark}: {trim}, "
        "or choose an allowance that is on the ruler."
    )


@dataclass(frozen=True, slots=True)
class CutLine:
    """One line of the list: ``count`` rectangles like ``unit``, giving ``patches``.

    ``label`` is their letter; where lines of strips share it, with a number.
    """

    label: str
    role: str
    fabric: str
    count: int
    patches: int
    unit: CutUnit

    @property
    def how(self) -> str:
        """How it becomes patches."""
        how, note = HOW[self.unit.method], self.unit.note
        return f"{how} ({note})" if note else how

    @property
    def size(self) -> str:
        """Cut size as read off a ruler, across the cloth first."""
        text = self.unit.ruler.text
        return f"{text(self.unit.wide)} x {text(self.unit.high)}"


def cut_lines(plan: FabricPlan) -> list[CutLine]:
    """The list of one fabric in the order of its letters: tallest pieces first, binding last."""
    groups: dict[str, list[CutUnit]] = {}
    for placed in plan.placed:
        groups.setdefault(plan.labels[placed.number], []).append(placed.unit)
    lines = []
    for label, alike in groups.items():
        patches = sum(m.part == 1 for u in alike for m in u.members)
        line = CutLine(label, plan.role, plan.name, len(alike), patches, alike[0])
        letter = plan.letters.of(line.unit)
        lines.append(((len(letter), letter, line_key(line.unit)), line))
    return [line for _, line in sorted(lines, key=lambda n: n[0])]


def plan_text(plan: CutPlan, *, markdown: bool = False) -> str:
    """The whole list for people, plain or in Markdown; ends with the rotary-cutter caution."""
    quilt = plan.quilt
    escaped: Callable[[str], str] = markdown_text if markdown else str
    about = plan.options.ruler.about
    size = f"{about(quilt.width)} x {about(quilt.height)}"
    head = escaped(f"{quilt.name}: {size} finished")
    lines = [f"# {head}" if markdown else head, "", escaped(rules(plan.options)), ""]
    trim = trimming(plan)
    lines += [escaped(trim), ""] if trim else []
    for fabric in plan.fabrics:
        lines += fabric_text(fabric, markdown=markdown)
    for made in plan.sets:
        lines += [escaped(made.text), ""]
    lines += [*map(escaped, finishing_lines(plan)), "", CAUTION, ""]
    return "\n".join(lines)


def fabric_text(fabric: FabricPlan, *, markdown: bool = False, more: str = "") -> list[str]:
    """What to buy and to cut of one fabric, line by line; ``more`` is said beside the amount."""
    escaped: Callable[[str], str] = markdown_text if markdown else str
    title = escaped(f"{fabric.role} ({fabric.name})" if fabric.name != fabric.role else fabric.role)
    return [
        f"## {title}" if markdown else title,
        "",
        escaped(_need(fabric) + more),
        "",
        *([escaped(_ways(fabric)), ""] if fabric.short and _ways(fabric) else []),
        *(_table(fabric) if markdown else _rows(fabric)),
        "",
    ]


def _ways(fabric: FabricPlan) -> str:
    words = [w for column in zip(*fabric.ways, strict=True) for w in dict.fromkeys(column) if w]
    return f"Considered: {'; '.join(words)}." if words else ""


def _need(fabric: FabricPlan) -> str:
    cloth = f"{fabric.across}, {fabric.way}"
    if fabric.have is not None:
        note = f"; {fabric.spare_note}" if fabric.spare_note else ""
        return f"Cloth at hand, {fabric.at_hand}, {fabric.way}: {fabric.why}{note}."
    motif = ""
    if fabric.motif_rise:
        rise = fabric.ruler.decimal(fabric.motif_rise, ".4g")
        motif = f", one repeat of {rise} more, as the print may begin anywhere"
    return (
        f"Buy {fabric.terms.said(fabric.buy)} of cloth {cloth}; the pieces take "
        f"{fabric.ruler.text(fabric.length)}{motif}; {fabric.why}. {fabric.terms.text}"
        f"{offers_text(fabric.offers, fabric.terms)}{' ' * bool(fabric.price)}{fabric.price}"
    )


def _rows(fabric: FabricPlan) -> list[str]:
    lines = cut_lines(fabric)
    wide = max(3, *(len(n.label) for n in lines)) if lines else 3
    return [f"  {n.label:<{wide}} {n.count:>4}  {n.size:<22} {n.how}" for n in lines]


def _table(fabric: FabricPlan) -> list[str]:
    rows = [
        f"| {n.label} | {n.count} | {n.size} | {markdown_text(n.how)} | {n.patches or ''} |"
        for n in cut_lines(fabric)
    ]
    head = "| piece | cut | size (across x along) | how | patches |"
    return [head, "|---|---|---|---|---|", *rows]


def plan_backing(plan: CutPlan) -> Backing:
    """The back of a quilt from the cloth that its maker uses."""
    quilt, options = plan.quilt, plan.options
    cloth = plan.fabrics[0].terms.across(options.back_width)
    around, seam = options.back_around, 2 * options.seam
    return backing(quilt.width, quilt.height, cloth=cloth, around=around, seam=seam)


def seams_text(back: Backing, ruler: Ruler = INCHES) -> str:
    """How a back is joined, for people.

    >>> seams_text(backing(44, 60)), seams_text(backing(30, 30))
    ('2 widths, seam across, 34" from the top', 'in one piece')
    """
    if back.panels == 1:
        return "in one piece"
    places = ", ".join(ruler.near(p) for p in back.places)
    way, side = ("down", "left") if back.seams == "vertical" else ("across", "top")
    seams = "seam" if back.panels == 2 else "seams"
    return f"{back.panels} widths, {seams} {way}, {places} from the {side}"


def finishing_lines(plan: CutPlan) -> list[str]:
    """Backing, batting and binding, in words."""
    rows = [f"{head}: {words}." for head, words in finishing_rows(plan)]
    return [" ".join(rows[:2]), *rows[2:]]


def finishing_rows(plan: CutPlan) -> list[tuple[str, str]]:
    """Backing, batting and binding: what for, and how much of what, in words."""
    back, terms = plan_backing(plan), plan.fabrics[0].terms
    pad = batting(plan.quilt.width, plan.quilt.height)
    ruler = plan.options.ruler
    amount, cloth = terms.said(terms.buy(back.need)), ruler.text(plan.options.back_width)
    rows = [("Backing", f"{amount} of cloth {cloth} wide, {seams_text(back, ruler)}")]
    rows.append(("Batting", batting_text(pad, ruler)))
    strip = ruler.text(plan.options.binding_strip)
    if plan.binding_strips and plan.options.binding == "bias":
        squares = "a square" if plan.binding_strips == 1 else f"{plan.binding_strips} squares"
        words = f"continuous bias strip {strip} wide from {squares} of {plan.binding_role}"
        rows.append(("Binding", f"{words}, double fold"))
    elif plan.binding_strips:
        words = f"{plan.binding_strips} strips of {strip} from {plan.binding_role}, double fold"
        rows.append(("Binding", f"{words}, joined on the diagonal"))
    return rows


def batting_text(pad: tuple[int, int] | None, ruler: Ruler = INCHES) -> str:
    """A package of batting; its sizes are those of a trade in inches.

    >>> batting_text((45, 60)), batting_text(None)
    ('45 x 60 in package', 'joined from two packages')
    """
    if pad is None:
        return "joined from two packages"
    size = [round(v * INCH_IN_CM) if ruler.metric else v for v in pad]
    return f"{size[0]} x {size[1]} {ruler.units} package"


def plan_csv(plan: CutPlan) -> str:
    """The list as CSV: lengths in inches as fractions, or in cm, as its columns then say."""
    ruler = plan.options.ruler
    cm = " cm" * ruler.metric
    sizes = f"across{cm},along{cm},method,patches,note,seam allowance{cm}"
    rows: list[Sequence[object]] = [f"role,fabric,count,{sizes},piece".split(",")]
    seam = ruler.text(plan.options.seam, denominator=16, unit=False)
    for fabric in plan.fabrics:
        for n in cut_lines(fabric):
            size = [ruler.text(v, unit=False) for v in (n.unit.wide, n.unit.high)]
            role, name, method, note = map(csv_cell, (n.role, n.fabric, n.unit.method, n.unit.note))
            rows.append([role, name, n.count, *size, method, n.patches, note, seam, n.label])
    return csv_text(rows)


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Rows as CSV, the names of the columns first."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def plan_data(plan: CutPlan) -> dict[str, Any]:
    """The plan as plain data for JSON: inches, degrees clockwise; ``units`` are of its words."""
    quilt = plan.quilt
    back, ruler = plan_backing(plan), plan.options.ruler
    pad = batting(quilt.width, quilt.height)
    size = "quilt=name width_in=width height_in=height block_in=block_size rows columns"
    binding = "role=binding_role strips=binding_strips strip_in=options.binding_strip"
    sets = [
        named(s, "number strips slice slices lengths")
        | {"strips": [{"role": r, "w": w} for r, w in s.strips], "lengths": list(s.lengths)}
        for s in plan.sets
    ]
    return {
        **named(quilt, size),
        "fits": plan.fits,
        "fabrics": [fabric_data(f, plan.quilt) for f in plan.fabrics],
        "backing": {
            "length_in": plan.fabrics[0].terms.buy(back.need),
            **named(back, "panels seams"),
            **_size(back.size),
            "cloth_in": plan.options.back_width,
            "places_in": list(back.places),
        },
        "batting": _size(pad) if pad else None,
        "binding": named(plan, f"{binding} kind=options.binding"),
        **named(plan.options, "rule seam_allowance_in=seam"),
        "notes": list(plan.notes),
        "trims": list(plan.trims),
        "strip_sets": sets,
        "caution": CAUTION,
        **({"units": ruler.units} if ruler.metric else {}),  # numbers are inches all the same
    }


def _size(size: tuple[float, float]) -> dict[str, float]:
    return {"width_in": size[0], "height_in": size[1]}


def fabric_data(fabric: FabricPlan, quilt: Quilt | None = None) -> dict[str, Any]:
    """The plan of one fabric as plain data; its patches only with the quilt that they are of."""
    patches = iter(cut_patches(quilt, fabric.placed) if quilt else ())
    pieces = [
        {"id": p.number, "label": fabric.labels[p.number]}
        | named(p, "cloth x y w=width h=height")
        | {"angle": 90 if p.turned else 0, "method": p.unit.method}
        | {"patches": [_patch_data(next(patches), m.parts) for m in p.unit.members if quilt]}
        for p in fabric.placed
    ]
    facts = "role name direction declared width_in=width have_in=have length_in=length"
    cost = "manner buy_in=buy cut_count=solution.cuts"
    cut = "label count w=unit.wide h=unit.high method=unit.method patches note=unit.note"
    return {
        **named(fabric, facts),
        "cloths_in": [list(c) for c in fabric.cloths],
        **({"at_hand_in": [list(c) for c in fabric.given]} if fabric.given else {}),
        **({"offers": offers_data(fabric.offers)} if fabric.offers else {}),
        "buy_in": fabric.buy if fabric.have is None else 0,
        **named(fabric, "bound_in=bound status why"),
        "ways": [", ".join(w for w in way if w) for way in fabric.ways],
        **named(fabric, "manner cut_count=solution.cuts"),
        "rival": fabric.rival and named(fabric.rival, cost),
        "cuts": [named(n, cut) for n in cut_lines(fabric)],
        "pieces": pieces,
        "spare_share": fabric.spare_share,
        **order_data(fabric),
    }


def _patch_data(patch: CutPatch, parts: int) -> dict[str, Any]:
    place = {k: round(v, 6) for k, v in named(patch, "x y lie=lie_deg").items()}
    found: dict[str, Any] = {"piece": patch.piece, **place, "part": patch.part, "parts": parts}
    if patch.outline is not None:
        found["outline"] = [[round(x, 6), round(y, 6)] for x, y in patch.outline.points]
    return found
