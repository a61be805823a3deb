"""The plan as a person sews it: each different unit once, with how many to make."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby

from quiltgeom.cutting.letters import shape_letters
from quiltgeom.geometry.congruence import ShapeCache
from quiltgeom.piecing.measures import unit_name
from quiltgeom.piecing.sewing_plan import Node, SeamClass, SewingPlan

_Key = tuple[int, int, int]
"""Equal for units and patches of one shape in the same fabrics."""


@dataclass(frozen=True)
class Step:
    """Sew some parts together, so many times.

    Attributes:
        number: 1, 2, ...; pictures call the unit that it makes by this number.
        node: one of the equal units, for drawing.
        parts: labels of what is sewn together, in order: patches by letter, units by number;
            an r marks a mirror image.
        name: what it makes, in words: ``"flying geese"``, ``"unit 3"``.
        count: how many to make like ``node``.
        mirrored: how many to make as its mirror image.
        whole: what this step finishes (``"block"``, ``"top"``); "" for all others.
        placed: the name says where each of them goes, and so how many there are.
        before, after: sizes to which patches are trimmed before, and the unit after this step.
    """

    number: int
    node: Node
    parts: tuple[str, ...]
    said: tuple[str, ...]
    name: str
    count: int
    mirrored: int
    seams: tuple[SeamClass, ...]
    whole: str = ""
    placed: bool = False
    before: str = ""
    after: str = ""

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
        first = f"Trim {self.before}. " if self.before else ""
        sewn = f"{first}Sew {_listed(self.said)}{seam}"
        trim = f"; trim {self.after}" if self.after else ""
        if self.whole:
            return f"{sewn}: the {self.whole} is done{trim}."
        many = (self.count > 1 and not self.placed) or self.mirrored
        made = f", make {self.count}" if many else ""
        made += f", and {self.mirrored} mirrored" if self.mirrored else ""
        return f"{sewn}: {self.name}{made}{trim}."


@dataclass(frozen=True)
class Steps:
    """All steps of a block and the labels of its patches.

    Attributes:
        steps: in sewing order.
        patches: per patch number, its label: its letter, with an r for a mirror image.
        made_by: per unit (its patch numbers), the number of the step that makes it.
        label_of: per unit or patch (its patch numbers), its label.
        places: per unit that is known by its place, its name.
    """

    steps: tuple[Step, ...]
    patches: tuple[str, ...]
    made_by: dict[tuple[int, ...], int] = field(default_factory=dict)
    label_of: dict[tuple[int, ...], str] = field(default_factory=dict)
    places: Mapping[tuple[int, ...], str] = field(default_factory=dict)

    def tag(self, faces: tuple[int, ...]) -> str:
        """What is written on a unit or patch in a picture: letters, numbers of units and of rows;
        nothing on a block, which is known by its look."""
        if faces in self.places:
            return self.places[faces].split()[-1]
        label = self.label_of[faces]
        plain = label.removesuffix("r")
        return label if plain.isdigit() or plain.isupper() else ""

    def __iter__(self) -> Iterator[Step]:
        return iter(self.steps)

    def __len__(self) -> int:
        return len(self.steps)


def sewing_steps(
    plan: SewingPlan,
    roles: Sequence[str],
    whole: str = "block",
    *,
    letters: Sequence[str] | None = None,
    names: Mapping[tuple[int, ...], str] | None = None,
) -> Steps:
    """Equal units found, up to turning and turning over; each step once.

    Args:
        roles: fabric (or letter) of each patch; units are equal only if these are.
        whole: what the last step finishes.
        letters: of the patches where it is known how they are cut (see
            :class:`~quiltgeom.cutting.letters.Letters`); by shape and fabric, if not given.
        names: of units (their patch numbers) that are known by their places.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> from quiltgeom.piecing.sewing_plan import plan_block
    >>> block = load_blocks().get("churn-dash")
    >>> steps = sewing_steps(plan_block(block), [p.role for p in block.patches])
    >>> [s.count for s in steps][:2]
    [4, 4]
    >>> steps.steps[0].text
    'Sew A + B: half-square triangles, make 4.'
    """
    return _Stepper(plan, roles, whole, letters, names or {}).run()


class _Stepper:
    def __init__(
        self,
        plan: SewingPlan,
        roles: Sequence[str],
        whole: str,
        letters: Sequence[str] | None,
        names: Mapping[tuple[int, ...], str],
    ) -> None:
        self.plan, self.whole, self.names = plan, whole, names
        known = plan.shapes if plan.labels == tuple(roles) else None
        self.shapes = known or ShapeCache(plan.outlines, roles)
        self.letters = letters or shape_letters(plan.outlines, roles)
        self.first: dict[_Key, Node] = {}
        self.number: dict[_Key, int] = {}

    def run(self) -> Steps:
        nodes = list(self.plan.root.walk())
        leaves = sorted((n for n in nodes if not n.parts), key=lambda n: n.faces)
        units = [n for n in nodes if n.parts]
        for node in (*leaves, *units):
            self.first.setdefault(self.shapes.key(node.faces), node)
        need = self._needed()
        made = [key for key, counts in need.items() if any(counts)]
        self.number = {key: k for k, key in enumerate(made, 1)}
        numbers = {n.faces: self.number.get(self.shapes.key(n.faces), 0) for n in units}
        return Steps(
            tuple(self._steps(made, need, numbers)),
            tuple(map(self._label, leaves)),
            {faces: number for faces, number in numbers.items() if number},
            {n.faces: self._label(n) for n in nodes},
            self.names,
        )

    def _needed(self) -> dict[_Key, list[int]]:
        """How many of each unit (and of its mirror image) the steps themselves use: equal units are
        all made the way of the first one, even where the tree takes another apart differently."""
        need = {key: [0, 0] for key, node in self.first.items() if node.parts}
        for key in sorted(need, key=lambda key: -len(self.first[key].faces)):
            node = self.first[key]
            if node is self.plan.root:
                need[key][0] = 1
            count, mirrored = need[key]
            for part in node.parts:
                if part.parts:
                    turned, used = self._mirrored(part), need[self.shapes.key(part.faces)]
                    used[0] += mirrored if turned else count
                    used[1] += count if turned else mirrored
        return need

    def _steps(
        self, keys: list[_Key], need: dict[_Key, list[int]], numbers: dict[tuple[int, ...], int]
    ) -> Iterator[Step]:
        """The steps with their parts and units in words: a unit without a name of its own is known
        by its number, one with a place by that, any other by its name and the number of its step.
        """
        words: dict[str, str] = {}
        for number, key in enumerate(keys, 1):
            node = self.first[key]
            parts = tuple(map(self._label, node.parts))
            places = [name for faces, name in self.names.items() if numbers[faces] == number]
            own = unit_name([self.plan.outlines[f] for f in node.faces])
            for label in (f"{number}", f"{number}r"):
                words[label] = f"{own} ({label})" if own else f"unit {label}"
            said = tuple(
                self.names.get(part.faces, words.get(label, label))
                for part, label in zip(node.parts, parts, strict=True)
            )
            name = _together(places) or own or f"unit {number}"
            kinds, (count, mirrored) = tuple(j.kind for j in node.joins), need[key]
            made = (count, mirrored, kinds, self.whole if node is self.plan.root else "")
            yield Step(number, node, parts, said, name, *made, placed=bool(places))

    def _mirrored(self, node: Node) -> bool:
        """Whether a unit or patch is the mirror image of the first of its shape."""
        shape = self.shapes.shape(node.faces)
        return shape.hand * self.shapes.hand(self.first[shape.key].faces) == -1

    def _label(self, node: Node) -> str:
        key = self.shapes.key(node.faces)
        own = self.number.get(key, 0) if node.parts else self.letters[self.first[key].faces[0]]
        return f"{own}{'r' if self._mirrored(node) else ''}"


def _listed(parts: Sequence[str]) -> str:
    """``A + unit 2 + A``; more than three equal parts side by side are counted, of names more
    than one: ``6 x A + 2 x Ohio Star``."""
    runs = [(said, len(list(same))) for said, same in groupby(parts)]
    return " + ".join(
        f"{n} x {said}" if n > (3 if len(said) < 8 else 1) else " + ".join([said] * n)
        for said, n in runs
    )


def _together(places: Sequence[str]) -> str:
    """``"row 1"``, ``"rows 1, 3 and 5"``.

    >>> _together(["row 1", "row 3", "row 5"]), _together(["column 2"]), _together([])
    ('rows 1, 3 and 5', 'column 2', '')
    """
    if len(places) < 2:
        return "".join(places)
    word = places[0].split()[0]
    numbers = [p.split()[1] for p in places]
    return f"{word}s {', '.join(numbers[:-1])} and {numbers[-1]}"
