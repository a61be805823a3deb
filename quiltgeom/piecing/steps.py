"""The plan as a person sews it: each different unit once, with how many to make."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby
from string import ascii_uppercase

from quiltgeom.geometry.congruence import Shape, ShapeCache
from quiltgeom.piecing.plan import Node, SeamClass, SewingPlan

__all__ = ["Step", "Steps", "letter", "sewing_steps"]


def letter(number: int) -> str:
    """A, B, ... Z, AA, AB ...: 0 is A.

    >>> letter(0), letter(25), letter(26)
    ('A', 'Z', 'AA')
    """
    head, tail = divmod(number, 26)
    return (letter(head - 1) if head else "") + ascii_uppercase[tail]


@dataclass(frozen=True)
class Step:
    """Sew some parts together, so many times.

    Attributes:
        number: 1, 2, ...; the unit it makes is called by this number.
        node: one of the equal units, for drawing.
        parts: labels of what is sewn together, in order: letters are patches, numbers units;
            an r marks a mirror image.
        count: how many to make like ``node``.
        mirrored: how many to make as its mirror image.
        seams: kind of each seam, in order.
        whole: what this step finishes (``"block"``, ``"top"``); "" for all others.
    """

    number: int
    node: Node
    parts: tuple[str, ...]
    count: int
    mirrored: int
    seams: tuple[SeamClass, ...]
    whole: str = ""

    @property
    def text(self) -> str:
        """The step in words.

        Set-in, partial and curved seams are named; how to sew them is in the docs.
        """
        kinds = [k for k in ("partial", "set-in", "curved") if k in self.seams]
        begun = any(j.opens for j in self.node.joins)
        how = {"partial": "partial seam, its end left open"} if begun else {}
        seam = f" ({', '.join(how.get(k, k + ' seam') for k in kinds)})" if kinds else ""
        if len(self.node.closes) == 1:
            seam += ", then finish the seam that was left open"
        elif self.node.closes:
            seam += f", then finish the {len(self.node.closes)} seams that were left open"
        if self.whole:
            return f"Sew {_listed(self.parts)}{seam}: the {self.whole} is done."
        made = f"make {self.count}" + (f", and {self.mirrored} mirrored" if self.mirrored else "")
        return f"Sew {_listed(self.parts)}{seam}: unit {self.number}, {made}."


@dataclass(frozen=True)
class Steps:
    """All steps of a block and the labels of its patches.

    Attributes:
        steps: in sewing order.
        patches: per patch number, its label (equal shape and role, equal letter).
        shapes: per letter, one patch number that has it.
        made_by: per unit (its patch numbers), the number of the step that makes it.
        label_of: per unit or patch (its patch numbers), its label.
    """

    steps: tuple[Step, ...]
    patches: tuple[str, ...]
    shapes: dict[str, int] = field(default_factory=dict)
    made_by: dict[tuple[int, ...], int] = field(default_factory=dict)
    label_of: dict[tuple[int, ...], str] = field(default_factory=dict)

    def __iter__(self) -> Iterator[Step]:
        return iter(self.steps)

    def __len__(self) -> int:
        return len(self.steps)


def sewing_steps(plan: SewingPlan, roles: Sequence[str], whole: str = "block") -> Steps:
    """Equal units found, up to turning and turning over; each step once.

    Args:
        plan: of the patches.
        roles: fabric of each patch; units are equal only if their fabrics are.
        whole: what the last step finishes.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.piecing.plan import plan_block
    >>> block = load_blocks().get("churn-dash")
    >>> steps = sewing_steps(plan_block(block), [p.role for p in block.patches])
    >>> [s.count for s in steps][:2]
    [4, 4]
    >>> steps.steps[0].text
    'Sew A + B: unit 1, make 4.'
    """
    return _Stepper(plan, roles, whole).run()


class _Stepper:
    def __init__(self, plan: SewingPlan, roles: Sequence[str], whole: str) -> None:
        self.plan, self.whole = plan, whole
        known = plan.shapes if plan.labels == tuple(roles) else None
        self.shapes = known or ShapeCache(plan.outlines, roles)

    def shape(self, node: Node) -> Shape:
        return self.shapes.shape(node.faces)

    def run(self) -> Steps:
        nodes = list(self.plan.root.walk())
        leaves = sorted((n for n in nodes if not n.parts), key=lambda n: n.faces)
        first: dict[tuple[object, ...], Node] = {}
        label: dict[tuple[object, ...], str] = {}
        for node in leaves:
            key = self.shape(node).key
            if key not in first:
                first[key] = node
                label[key] = letter(len(first) - 1)
        shapes = {label[k]: n.faces[0] for k, n in first.items()}
        units = [n for n in nodes if n.parts]
        for node in units:
            key = self.shape(node).key
            if key not in first:
                first[key] = node
                label[key] = str(sum(bool(n.parts) for n in first.values()))
        made_by: dict[tuple[int, ...], int] = {}
        every = [self._step(node, first, label) for node in first.values() if node.parts]
        number, steps = self._counted(every)
        for node in units:
            old = int(label[self.shape(node).key])
            made_by[node.faces] = number.get(old, 0)
        label_of = {n.faces: _renumbered(self._label(n, first, label), number) for n in nodes}
        patches = tuple(self._label(n, first, label) for n in leaves)
        made_by = {faces: n for faces, n in made_by.items() if n}
        return Steps(tuple(steps), patches, shapes, made_by, label_of)

    def _counted(self, every: list[Step]) -> tuple[dict[int, int], list[Step]]:
        """How many of each unit the steps themselves use: equal units are all made the way of the
        first one, even where the tree takes another of them apart differently."""
        need: dict[int, list[int]] = {s.number: [0, 0] for s in every}
        order = sorted(every, key=lambda s: -len(s.node.faces))
        for step in order:
            if step.whole:
                need[step.number][0] = 1
            count, mirrored = need[step.number]
            for part in step.parts:
                if part[0].isdigit():
                    turned = part.endswith("r")
                    used = need[int(part.rstrip("r"))]
                    used[0] += mirrored if turned else count
                    used[1] += count if turned else mirrored
        kept = [s for s in every if any(need[s.number])]
        number = {s.number: k for k, s in enumerate(kept, 1)}
        steps = [
            replace(s, number=number[s.number], count=need[s.number][0],
                    mirrored=need[s.number][1],
                    parts=tuple(_renumbered(p, number) for p in s.parts))
            for s in kept
        ]  # fmt: skip
        return number, steps

    def _label(
        self, node: Node, first: dict[tuple[object, ...], Node],
        label: dict[tuple[object, ...], str],
    ) -> str:  # fmt: skip
        shape = self.shape(node)
        mirrored = shape.hand * self.shape(first[shape.key]).hand == -1
        return label[shape.key] + ("r" if mirrored else "")

    def _step(
        self, node: Node, first: dict[tuple[object, ...], Node],
        label: dict[tuple[object, ...], str],
    ) -> Step:  # fmt: skip
        return Step(
            int(label[self.shape(node).key]), node,
            tuple(self._label(p, first, label) for p in node.parts),
            0, 0, tuple(j.kind for j in node.joins),
            self.whole if node is self.plan.root else "",
        )  # fmt: skip


def _renumbered(label: str, number: dict[int, int]) -> str:
    """The label of a unit after steps that nobody needs were left out."""
    if not label[0].isdigit():
        return label
    tail = "r" if label.endswith("r") else ""
    return f"{number.get(int(label.rstrip('r')), 0)}{tail}"


def _listed(parts: Sequence[str]) -> str:
    """``A + 2 + A``; more than three equal parts side by side are counted: ``6 x A``."""
    runs = [(label, len(list(same))) for label, same in groupby(parts)]
    return " + ".join(f"{n} x {label}" if n > 3 else " + ".join([label] * n) for label, n in runs)
