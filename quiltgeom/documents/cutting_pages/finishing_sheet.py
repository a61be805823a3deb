"""The finishing sheet: the back with its seams drawn, batting and binding."""

import itertools

from quiltgeom.cutting.buying.yardage import batting, binding_length
from quiltgeom.cutting.cutting_plan import CutPlan
from quiltgeom.cutting.listing import batting_text, plan_backing, seams_text
from quiltgeom.documents.cutting_pages.cutting_sheet import EDGE, frame
from quiltgeom.documents.cutting_pages.piece_marks import Box
from quiltgeom.documents.sheet import LETTER
from quiltgeom.geometry.outline import rectangle
from quiltgeom.render.scene import Fill, Item, Scene, Solid, Stroke, line_path, path_of
from quiltgeom.render.text import text_items

_INK = "#333333"


def finishing_sheet(plan: CutPlan, paper: tuple[float, float] = LETTER) -> Scene:
    """Back, batting and binding of a quilt: the back to scale, its panels and seams, the top on it.

    >>> from quiltgeom.cutting.cutting_plan import cut_plan
    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("sail-loft"), rows=1, columns=1)
    >>> finishing_sheet(cut_plan(quilt, {})).width
    8.5
    """
    title = f"{plan.quilt.name}: back, batting, binding"
    items, y, foot = frame(title, _words(plan), paper, top=1.15, apart=0.06)
    items += _back(plan, (EDGE + 0.35, y + 0.3, paper[0] - 2 * EDGE - 0.7, foot - 0.6 - y))
    scene = Scene(*paper, title=title, description="The back of the quilt with its seams.")
    return scene.with_items(*items, label="finishing")


def _words(plan: CutPlan) -> list[str]:
    quilt, terms, back = plan.quilt, plan.fabrics[0].terms, plan_backing(plan)
    along, ruler = back.need / back.panels, plan.options.ruler
    pad = batting(quilt.width, quilt.height)
    lines = [
        f"Back: {ruler.near(back.size[0])} x {ruler.near(back.size[1])}, "
        f"{seams_text(back, ruler)}. Buy "
        f"{terms.said(terms.buy(back.need))} of cloth "
        f"{ruler.text(plan.options.back_width)} wide without its selvages; cut "
        f"{back.panels} of {ruler.near(along)}; seams take "
        f"{ruler.meant(2 * plan.options.seam)} each.",
        "Batting: "
        + (f"package of {batting_text(pad, ruler)[:-8]}" if pad else "join two packages")
        + f", {'8 cm' if ruler.metric else '3 in'} larger than the top on every side.",
    ]
    if plan.binding_strips:
        need = ruler.near(binding_length(quilt.width, quilt.height))
        what = "squares for bias strips" if plan.options.binding == "bias" else "strips"
        strip = ruler.text(plan.options.binding_strip)
        lines.append(
            f"Binding: {need} with corners and the last join; {plan.binding_strips} "
            f"{what} of {plan.binding_role}, {strip} wide."
        )
    return lines


def _back(plan: CutPlan, room: Box) -> list[Item]:
    back = plan_backing(plan)
    x0, y0, w, h = room
    scale = min(w / back.size[0], h / back.size[1])
    x0 += (w - back.size[0] * scale) / 2
    wide, tall = back.size[0] * scale, back.size[1] * scale
    edge = plan.options.back_around * scale
    top, inner = rectangle(x0, y0, wide, tall), (wide - 2 * edge, tall - 2 * edge)
    size, middle = plan.options.ruler.near(back.size[0]), x0 + wide / 2
    items: list[Item] = [Fill(path_of(top), Solid("#eef1ec")), Stroke(path_of(top), 0.015, _INK)]
    line = path_of(rectangle(x0 + edge, y0 + edge, *inner))
    items.append(Stroke(line, 0.01, _INK, dash=(0.06, 0.05)))
    items += text_items("edge of the top", middle, y0 + edge + 0.16, 8, anchor="middle", font="It")
    items += text_items(size, middle, y0 - 0.08, 9, anchor="middle")
    down = back.seams == "vertical"
    for place in back.places:
        at = place * scale
        ends = [(x0 + at, y0), (x0 + at, y0 + tall)]
        if not down:
            ends = [(x0, y0 + at), (x0 + wide, y0 + at)]
        items.append(Stroke(line_path(ends), 0.02, "#8a3b2f"))
    edges = [0.0, *back.places, back.size[0] if down else back.size[1]]
    for number, (a, b) in enumerate(itertools.pairwise(edges), 1):
        middle = (a + b) / 2 * scale
        at_x, at_y = (x0 + middle, y0 + tall / 2) if down else (x0 + wide / 2, y0 + middle)
        items += text_items(f"panel {number}", at_x, at_y, 10, anchor="middle")
        size = f"{plan.options.ruler.near(b - a)} {'wide' if down else 'high'}"
        items += text_items(size, at_x, at_y + 0.17, 9, anchor="middle")
    return items
