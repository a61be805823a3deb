"""A patch and a block: patches that cover an outline exactly, in grid units."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from quiltgeom import checks
from quiltgeom.errors import Finding, QuiltValueError, raise_findings
from quiltgeom.geometry.cover import CoverFault, cover_faults
from quiltgeom.geometry.outline import Outline, Point, rectangle, split_arcs
from quiltgeom.tolerance import SAME_CORNER, SAME_SHARE, SLIVER

ROLES = ("background", "accent", "focus", "second", "third")
"""Roles that block files use: background (the light), accent (the dark), focus (the featured
print), second and third (further accents). A pattern may rename them as it likes."""


_SIDE = checks.number(0, 1e9, above=True)
_TURN = 36000.0
"""Degrees by which a patch may be turned: copies of copies go round more than once."""


@dataclass(frozen=True, slots=True)
class Patch:
    """One patch of a block.

    Attributes:
        outline: finished shape in grid units; corners ``[(x, y), ...]`` do for straight sides.
        role: which fabric it takes, e.g. ``"accent"``.
        part: optional name of its place in the block (``"centre"``, ``"corner"``), which a
            pattern can use to give it another role.
        turn_deg: how far this copy was turned from the patch as written in the block file
            (degrees clockwise): the print turns with it where a role lies "with the unit".
    """

    outline: Outline
    role: str
    part: str = ""
    turn_deg: float = 0.0

    if TYPE_CHECKING:  # what it is made of is more than what it then has

        def __init__(
            self,
            outline: Outline | Sequence[Point],
            role: str,
            part: str = "",
            turn_deg: float = 0.0,
        ) -> None: ...

    def __post_init__(self) -> None:
        role, part, turn = self.role, self.part, self.turn_deg
        if (  # of all values the one that is made most often: sound ones pass quickly
            type(self.outline) is Outline
            and type(role) is str
            and role.strip()
            and type(part) is str
            and type(turn) is float
            and abs(turn) <= _TURN
        ):
            return
        if isinstance(self.outline, list | tuple):
            object.__setattr__(self, "outline", Outline(tuple(self.outline)))
        checks.guard(self, role=checks.TEXT, turn_deg=checks.number(-_TURN, _TURN))


@dataclass(frozen=True, repr=False)
class Block:
    """A named block: patches in grid units that cover its outline exactly.

    Where arcs lie along each other they are cut at each other's corners, so that neighbours share
    every point of their seams.

    Attributes:
        key: file name without ending, e.g. ``"churn-dash"``.
        name: name as a quilter says it.
        width, height: size in grid units (of the bounding box).
        patches: the patches, in the order in which the file draws them.
        boundary: the outline; a rectangle unless the block is a hexagon, a shell, ...
        aliases, family, source, notes: what the file says about it.
        origin: the file it came from.
        tile: two vectors by which copies of the outline fill the plane without gap, for blocks
            that are not rectangles.
    """

    key: str
    name: str
    width: float
    height: float
    patches: tuple[Patch, ...]
    boundary: Outline
    aliases: tuple[str, ...] = ()
    family: str = ""
    source: str = ""
    notes: str = ""
    origin: str = field(default="", compare=False)
    tile: tuple[Point, Point] | None = None

    def __post_init__(self) -> None:
        raise_findings(self._audit(())[0])

    def __repr__(self) -> str:
        size = f"{self.width:g} x {self.height:g}"
        return checks.brief(f"Block {self.key}, {size}, {len(self.patches)} patches")

    @classmethod
    def drawn(
        cls, labels: Sequence[str], **fields: Any
    ) -> tuple[Block, list[Finding], list[CoverFault]]:
        """A block as somebody drew it, sound or not, with all that is wrong with it.

        Args:
            labels: how findings name the patches.
            fields: of a block, all of them.

        Returns:
            The block, the findings, and the faults of the cover as regions, for drawing them.
        """
        made = cls.sound(**fields)
        return (made, *made._audit(labels))

    @classmethod
    def sound(cls, **fields: Any) -> Block:
        """A block of which it is known that it is sound, or lies elsewhere: nothing is checked."""
        made = object.__new__(cls)
        made.__dict__.update(fields)
        return made

    def changed(self, **changes: Any) -> Block:
        """A copy with other fields that is as sound as this one: nothing is checked."""
        return Block.sound(**({f.name: getattr(self, f.name) for f in fields(self)} | changes))

    def _audit(self, labels: Sequence[str]) -> tuple[list[Finding], list[CoverFault]]:
        check = checks.Checks(self.origin or f"block {self.key}")
        check.fields(self, key=checks.TEXT, name=checks.TEXT, width=_SIDE, height=_SIDE)
        if self.patches == ():
            check.add("patches", "none", "at least one patch")
        if check.findings:
            return check.findings, []
        x0, y0, x1, y1 = self.boundary.bounds
        if max(abs(x0), abs(y0), abs(x1 - self.width), abs(y1 - self.height)) > SAME_CORNER:
            found = f"from ({x0:.6g}, {y0:.6g}) to ({x1:.6g}, {y1:.6g})"
            full = f"from (0, 0) to ({self.width:.6g}, {self.height:.6g})"
            check.add("the outline just fits the grid", found, full, "outline")
        if self.tile is not None:
            self._check_tile(check, *self.tile)
        try:
            faults = self._cover()
        except QuiltValueError as e:
            rule, wanted = "an audit of what the patches cover", "patches that can be told apart"
            check.add(rule, str(e), wanted)
            return check.findings, []
        for fault in faults:
            x, y = fault.at
            box = ", ".join(f"{v:.4g}" for v in fault.geometry.bounds)
            check.add(
                {"gap": "no gap", "overlap": "no overlap"}.get(fault.kind, "inside the outline"),
                f"{fault.kind} of {fault.area:.6g} square units around ({x:.4g}, {y:.4g}), "
                f"box [{box}]",
                "patches that cover the block exactly",
                " and ".join(labels[i] if labels else f"patch {i + 1}" for i in fault.shapes),
            )
        return check.findings, faults

    def _cover(self) -> list[CoverFault]:
        """Cut the arcs where corners lie on them, then ask what is not covered just once."""
        if len(self.patches) == 1 and self.patches[0].outline is self.boundary:
            return []
        *outlines, edge = split_arcs([*(p.outline for p in self.patches), self.boundary])
        cut = [
            p if o is p.outline else replace(p, outline=o)
            for p, o in zip(self.patches, outlines, strict=True)
        ]
        self.__dict__.update(patches=tuple(cut), boundary=edge)
        return cover_faults(outlines, edge, split=True)

    def _check_tile(self, check: checks.Checks, a: Point, b: Point) -> None:
        found, area = abs(a[0] * b[1] - a[1] * b[0]), self.boundary.area
        far = 3 * (self.width + self.height)
        if not abs(found - area) <= SLIVER * area or max(map(abs, (*a, *b))) > far:
            check.add(
                "copies of the block, moved by tile's vectors, fill the plane",
                f"{(a, b)!r}, which span {found:.6g} square units",
                f"vectors up to {far:.4g} long that span {area:.6g}",
            )

    @property
    def is_rectangular(self) -> bool:
        """Whether the outline is the full ``width`` x ``height`` rectangle."""
        edge, full = self.boundary, self.width * self.height
        four = bool(edge.is_straight) and len(edge.points) == 4
        return four and abs(edge.area - full) < SAME_SHARE * full

    @cached_property
    def roles(self) -> tuple[str, ...]:
        """Roles in use, the known ones first in their usual order, then the others by name."""
        used = {p.role for p in self.patches}
        known = [r for r in ROLES if r in used]
        return tuple(known + sorted(used.difference(ROLES)))

    @cached_property
    def area_share(self) -> dict[str, float]:
        """Share of the block's area by role; adds up to 1."""
        total = sum(p.outline.area for p in self.patches)
        return {
            r: sum(p.outline.area for p in self.patches if p.role == r) / total for r in self.roles
        }

    def recoloured(self, roles: Mapping[str, str]) -> Block:
        """The same block with roles renamed; a key may be a part name or a role (part wins).

        >>> b = plain_block(1, 1, "focus")
        >>> b.recoloured({"focus": "accent"}).roles
        ('accent',)
        """
        return self._with_roles(lambda p: roles.get(p.part, roles.get(p.role, p.role)))

    def _with_roles(self, role: Callable[[Patch], str]) -> Block:
        return self.changed(patches=tuple(replace(p, role=role(p)) for p in self.patches))

    def inverted(self) -> Block:
        """Dark and light exchanged: the negative, to set beside the block as drawn.

        Only roles change, so a part that is light in one place and dark in another is safe.

        >>> plain_block(1, 1, "background").inverted().roles
        ('accent',)
        """
        swap = {"accent": "background", "second": "third"}
        swap |= {other: tone for tone, other in swap.items()}
        return self._with_roles(lambda p: swap.get(p.role, p.role))

    def in_four_values(self) -> Block:
        """A two-tone block in four values: every second part of the dark becomes ``third``, every
        second part of the light ``second``; a block of one part in each tone stays as it is.

        >>> plain_block(1, 1, "accent").in_four_values().roles
        ('accent',)
        """
        other = {"accent": "third", "background": "second"}
        parts = {
            tone: sorted({p.part for p in self.patches if p.role == tone})[1::2] for tone in other
        }
        second = {(tone, part): other[tone] for tone in other for part in parts[tone]}
        return self._with_roles(lambda p: second.get((p.role, p.part), p.role))


def plain_block(width: float, height: float, role: str, part: str = "") -> Block:
    """One rectangular patch as a block: a setting square, a sashing strip, a border piece."""
    outline = rectangle(0, 0, width, height)
    return Block("plain", "Plain", width, height, (Patch(outline, role, part),), outline)
