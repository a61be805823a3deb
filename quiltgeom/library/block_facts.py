"""Facts about a block, computed from its patches; and search by them."""

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from quiltgeom.geometry.congruence import plain_outline, same_shape, symmetry_name
from quiltgeom.geometry.outline import arc_of
from quiltgeom.geometry.planar import planar_map
from quiltgeom.library.blocks import name_key
from quiltgeom.model.block import Block
from quiltgeom.tolerance import SAME_CORNER, SAME_SHARE, SLIVER


@dataclass(frozen=True, slots=True)
class Facts:
    """What can be measured on a block. Lengths in grid units, angles in degrees.

    Attributes:
        patches: how many patches.
        shapes: how many patches of each shape, the most frequent first; congruent patches
            (turned or mirrored) are one shape.
        symmetry: with colours, e.g. ``"D4"``: order of turning, D if there are mirrors, else C.
        symmetry_plain: the same without looking at colours.
        area_share: share of the area by role.
        smallest_edge, smallest_angle: of all patches.
        meeting_points: points inside where three or more seams meet.
        set_in_points: points inside through which no seam runs straight on (set-in seams).
        centre_share: share of the area of the patch that lies on the block's middle, if it is
            a square; else 0.
        curved: whether any seam is curved.
    """

    patches: int
    shapes: tuple[int, ...]
    symmetry: str
    symmetry_plain: str
    area_share: dict[str, float]
    smallest_edge: float
    smallest_angle: float
    meeting_points: int
    set_in_points: int
    centre_share: float
    curved: bool


@lru_cache(maxsize=1024)
def block_facts(block: Block) -> Facts:
    """Compute all facts of a block (remembered for the block).

    >>> from quiltgeom.library.blocks import load_blocks
    >>> f = block_facts(load_blocks().get("Churn Dash"))
    >>> f.patches, f.shapes, f.symmetry, f.set_in_points
    (17, (8, 8, 1), 'D4', 0)
    """
    outlines = [p.outline for p in block.patches]
    x0, y0, x1, y1 = block.boundary.bounds
    centre = ((x0 + x1) / 2, (y0 + y1) / 2)
    shapes = Counter(same_shape([plain_outline(o, arcs=True)]).key for o in outlines)
    edges, angles = _smallest(block)
    seams = planar_map(outlines)
    return Facts(
        patches=len(outlines),
        shapes=tuple(sorted(shapes.values(), reverse=True)),
        symmetry=symmetry_name(outlines, [p.role for p in block.patches], centre),
        symmetry_plain=symmetry_name(outlines, [""] * len(outlines), centre),
        area_share=block.area_share,
        smallest_edge=edges,
        smallest_angle=angles,
        meeting_points=seams.meeting_points(3),
        set_in_points=len(seams.pivots),
        centre_share=centre_share(block),
        curved=any(not o.is_straight for o in outlines),
    )


def describe_block(block: Block) -> str:
    """The facts in one line, for a caption.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> describe_block(load_blocks().get("Nine Patch"))
    '3 × 3 grid, 9 patches of 1 shape, symmetry D4; background 44%, accent 56%'
    """
    facts = block_facts(block)
    shares = ", ".join(f"{role} {share:.0%}" for role, share in facts.area_share.items())
    extra = ", curved seams" if facts.curved else ""
    extra += ", set-in seams" if facts.set_in_points else ""
    return (
        f"{block.width:.4g} × {block.height:.4g} grid, "
        f"{_counted(facts, ' of ')}, symmetry {facts.symmetry}{extra}; {shares}"
    )


def short_facts(block: Block) -> str:
    """Patches, shapes and symmetry, for a narrow caption.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> short_facts(load_blocks().get("Nine Patch"))
    '9 patches, 1 shape, D4'
    """
    facts = block_facts(block)
    set_in = ", set in" if facts.set_in_points else ""
    return f"{_counted(facts, ', ')}, {facts.symmetry}{set_in}"


def _counted(facts: Facts, between: str) -> str:
    count, kinds = facts.patches, len(facts.shapes)
    shapes = f"{kinds} shape{'s' if kinds != 1 else ''}"
    return f"{count} patch{'es' if count != 1 else ''}{between}{shapes}"


def centre_share(block: Block) -> float:
    """Share of the block's area that its square centre patch takes; 0 if there is none.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> centre_share(load_blocks().get("Evening Star"))
    0.25
    """
    x0, y0, x1, y1 = block.boundary.bounds
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    for p in block.patches:
        a, b, c, d = p.outline.bounds
        inside = a < cx < c and b < cy < d and abs(a + c - 2 * cx) < SAME_CORNER
        if not inside or abs(b + d - 2 * cy) > SAME_CORNER or not p.outline.is_straight:
            continue
        edges = list(plain_outline(p.outline).edges())
        sides = {round(math.dist(q, r), 7) for q, r, _ in edges}
        equal = len(edges) == 4 and len(sides) == 1
        if equal and abs(p.outline.area - sides.pop() ** 2) < SLIVER:
            return p.outline.area / block.boundary.area
    return 0.0


def _smallest(block: Block) -> tuple[float, float]:
    edge, angle = math.inf, 180.0
    for p in block.patches:
        edges = list(plain_outline(p.outline, arcs=True).edges())
        for k, (a, b, bulge) in enumerate(edges):
            length = math.dist(a, b)
            if bulge:
                arc = arc_of(a, b, bulge)
                length = abs(arc.sweep) * arc.radius
            edge = min(edge, length)
            _, c, after = edges[(k + 1) % len(edges)]
            into = math.atan2(b[1] - a[1], b[0] - a[0]) + 2 * math.atan(bulge)
            out = math.atan2(c[1] - b[1], c[0] - b[0]) - 2 * math.atan(after)
            turn = math.degrees(math.remainder(out - into, 2 * math.pi))
            angle = min(angle, 180 - turn if turn > -180 else 360.0)
    return edge, angle


def search_blocks(
    blocks: Iterable[Block],
    *,
    text: str = "",
    family: str = "",
    patches: tuple[int, int] | None = None,
    set_in: bool | None = None,
    curved: bool | None = None,
    centre_at_least: float = 0.0,
) -> list[Block]:
    """Blocks that meet every condition given, in the order of the library.

    Args:
        blocks: where to look, e.g. ``load_blocks()``.
        text: every word must occur in the name, an alias, the family or the key.
        family: the family, exactly.
        patches: fewest and most patches, both included.
        set_in: with (True) or without (False) set-in seams.
        curved: with or without curved seams.
        centre_at_least: smallest share of the area for a square patch in the middle.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> [b.key for b in search_blocks(load_blocks(), text="ohio star")][0]
    'ohio-star'
    """
    words = name_key(text).split("-") if text else []
    found = []
    for b in blocks:
        names = name_key(" ".join((b.key, b.name, *b.aliases, b.family)))
        if (family and b.family != family) or not all(w in names for w in words):
            continue
        if patches and not patches[0] <= len(b.patches) <= patches[1]:
            continue
        if curved is not None and curved != any(not p.outline.is_straight for p in b.patches):
            continue
        if centre_at_least and centre_share(b) < centre_at_least - SAME_SHARE:
            continue
        if set_in is not None:
            seams = planar_map([p.outline for p in b.patches])
            if set_in != bool(seams.pivots):
                continue
        found.append(b)
    return found
