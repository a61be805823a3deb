"""Which way to press each seam, so that seams nest (lie to opposite sides) where they cross."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from quiltgeom.piecing.sewing_plan import SewingPlan
from quiltgeom.piecing.steps import Steps
from quiltgeom.tolerance import SAME_SHARE

_Seam = tuple[int, int]
"""(step number, seam number in the step)."""


@dataclass(frozen=True)
class Pressing:
    """A proposal for every seam of every step.

    Attributes:
        towards: by (step number, seam number from 0), the part of the step (number from 0)
            towards which the allowance goes.
        nested: crossings where the two seams lie to opposite sides.
        crossings: all places where two seams meet from both sides of a third.
    """

    towards: Mapping[tuple[int, int], int]
    nested: int
    crossings: int


def press(plan: SewingPlan, steps: Steps, patches: Sequence[int] = ()) -> Pressing:
    """Propose pressing directions; equal units are pressed alike.

    Where nothing crosses, a seam goes towards the side with fewer patches: it lies flatter.

    Args:
        patches: of how many patches each part of the plan consists; one, if not given.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.piecing.sewing_plan import plan_block
    >>> from quiltgeom.piecing.steps import sewing_steps
    >>> block = load_blocks().get("four-patch")
    >>> plan = plan_block(block)
    >>> made = press(plan, sewing_steps(plan, [p.role for p in block.patches]))
    >>> made.nested, made.crossings
    (1, 1)
    """
    seams = _seam_of_edge(plan, steps)
    crossings = _crossings(plan, seams)
    sign = _colour(crossings, _preferences(plan, steps, patches or [1] * len(plan.outlines)))
    nested = sum(sign[a] * sign[b] == want for a, b, want in crossings)
    towards = {}
    for step in steps:
        for k in range(len(step.seams)):
            later = sign.get((step.number, k), 1) > 0
            towards[step.number, k] = k + 1 if later else k
    return Pressing(towards, nested, len(crossings))


def _seam_of_edge(plan: SewingPlan, steps: Steps) -> dict[int, tuple[_Seam, frozenset[int]]]:
    """By edge: its seam in the step's own order of parts, and the faces of the later part.

    A unit that lies turned round in the block has its parts the other way about; it is pressed
    like the others all the same, before it is turned.
    """
    out: dict[int, tuple[_Seam, frozenset[int]]] = {}
    for node in plan.root.walk():
        number = steps.made_by.get(node.faces)
        if number is None:
            continue
        made = [p.rstrip("r") for p in steps.steps[number - 1].parts]
        here = [steps.label_of[p.faces].rstrip("r") for p in node.parts]
        turned = made != here and made == here[::-1]
        if not turned and made != here:
            continue  # an equal unit that the tree takes apart differently
        for k, join in enumerate(node.joins):
            seam = len(node.joins) - 1 - k if turned else k
            later = frozenset(node.parts[k if turned else k + 1].faces)
            for chain in join.chains:
                for e in chain.edges:
                    out[e] = ((number, seam), later)
    return out


def _crossings(
    plan: SewingPlan, seams: dict[int, tuple[_Seam, frozenset[int]]]
) -> list[tuple[_Seam, _Seam, int]]:
    """(seam, seam, +1 or -1: wanted product of their signs) for every crossing."""
    out = []
    for join in plan.joins:
        inner = [
            (v, e, f)
            for chain in join.chains
            for v, (e, f) in zip(chain.vertices[1:-1], pairwise(chain.edges), strict=True)
        ]
        for v, e, f in inner:  # a corner, the edges before and after it along the seam
            rest = [g for g in plan.map.around[v] if g not in (e, f)]
            if len(rest) != 2 or rest[1] not in plan.map.smooth[v, rest[0]]:
                continue
            if rest[0] not in seams or rest[1] not in seams:
                continue
            (a, late_a), (b, late_b) = seams[rest[0]], seams[rest[1]]
            side_a = _leaves(plan, v, rest[0], late_a)
            side_b = -_leaves(plan, v, rest[1], late_b)
            out.append((a, b, -side_a * side_b))
    return out


def _leaves(plan: SewingPlan, v: int, edge: int, faces: frozenset[int]) -> int:
    """+1 if the patch of ``faces`` beside ``edge`` is walked away from ``v`` there, else -1."""
    face = next(f for f in plan.map.edges[edge].faces if f in faces)
    at = plan.map.loops[face].index(edge)
    return 1 if plan.map.corners[face][at] == v else -1


_LIGHT = "background"


def _preferences(plan: SewingPlan, steps: Steps, patches: Sequence[int]) -> dict[_Seam, int]:
    """Where a seam would rather lie: towards fewer patches; else away from the light fabric, which
    the allowance would show through; else outward (common practice)."""
    preferred: dict[_Seam, int] = {}
    for step in steps:
        parts = step.node.parts
        light = [_light_share(plan, part.faces) for part in parts]
        count = [sum(patches[f] for f in part.faces) for part in parts]
        for k in range(len(step.seams)):
            fewer = _sign(count[k] - count[k + 1])
            darker = _sign(light[k] - light[k + 1])
            outward = -1 if 2 * k + 2 < len(parts) else 1
            preferred[step.number, k] = 4 * fewer + 2 * darker + outward
    return preferred


def _sign(value: float) -> int:
    return (value > SAME_SHARE) - (value < -SAME_SHARE)


def _light_share(plan: SewingPlan, faces: tuple[int, ...]) -> float:
    if not plan.labels:
        return 0.0
    areas = [(plan.outlines[f].area, plan.labels[f] == _LIGHT) for f in faces]
    return sum(a for a, light in areas if light) / sum(a for a, _ in areas)


def _colour(
    crossings: list[tuple[_Seam, _Seam, int]], preferred: dict[_Seam, int]
) -> dict[_Seam, int]:
    """Signs that nest the crossings group by group; one that closes an odd ring is given up."""
    weight: dict[tuple[_Seam, _Seam], int] = defaultdict(int)
    for a, b, want in crossings:
        if a != b:
            weight[min(a, b), max(a, b)] += want
    near: dict[_Seam, list[tuple[_Seam, int]]] = defaultdict(list)
    for (a, b), want in sorted(weight.items(), key=lambda item: (-abs(item[1]), item[0])):
        if want:
            near[a].append((b, 1 if want > 0 else -1))
            near[b].append((a, 1 if want > 0 else -1))
    sign: dict[_Seam, int] = {}
    for seam in sorted(preferred):
        if seam in sign:
            continue
        group, queue = {seam: 1}, [seam]
        while queue:
            a = queue.pop(0)
            for b, want in near[a]:
                if b not in group:
                    group[b] = group[a] * want
                    queue.append(b)
        agree = sum(s * preferred.get(k, 0) for k, s in group.items())
        last = max(group)  # the longest seam decides a tie: both ends of a row then do alike
        flip = 1 if (agree or group[last] * preferred.get(last, 0)) >= 0 else -1
        sign.update({k: s * flip for k, s in group.items()})
    return sign
