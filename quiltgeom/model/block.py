"""A patch and a block: patches that cover an outline exactly, in grid units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from quiltgeom.geometry.outline import Outline, Point, rectangle

__all__ = ["ROLES", "Block", "Patch"]

ROLES = ("background", "accent", "focus", "second", "third")
"""Roles that block files use: background (the light), accent (the dark), focus (the featured
print), second and third (further accents). A pattern may rename them as it likes."""


@dataclass(frozen=True, slots=True)
class Patch:
    """One patch of a block.

    Attributes:
        outline: finished shape in grid units.
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


@dataclass(frozen=True)
class Block:
    """A named block: patches in grid units that cover its outline exactly.

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

    @property
    def is_rectangular(self) -> bool:
        """Whether the outline is the full ``width`` x ``height`` rectangle."""
        return (
            bool(self.boundary.is_straight)
            and len(self.boundary.points) == 4
            and (
                abs(self.boundary.area - self.width * self.height) < 1e-9 * self.width * self.height
            )
        )

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
        patches = tuple(
            replace(p, role=roles.get(p.part, roles.get(p.role, p.role))) for p in self.patches
        )
        return replace(self, patches=patches)

    def inverted(self) -> Block:
        """Dark and light exchanged: the negative, to set beside the block as drawn.

        Only roles change, so a part that is light in one place and dark in another is safe.

        >>> plain_block(1, 1, "background").inverted().roles
        ('accent',)
        """
        swap = {
            "accent": "background",
            "background": "accent",
            "second": "third",
            "third": "second",
        }
        return replace(
            self, patches=tuple(replace(p, role=swap.get(p.role, p.role)) for p in self.patches)
        )

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
        return replace(
            self,
            patches=tuple(
                replace(p, role=other[p.role]) if p.part in parts.get(p.role, ()) else p
                for p in self.patches
            ),
        )


def plain_block(width: float, height: float, role: str, part: str = "") -> Block:
    """One rectangular patch as a block: a setting square, a sashing strip, a border piece."""
    outline = rectangle(0, 0, width, height)
    return Block("plain", "Plain", width, height, (Patch(outline, role, part),), outline)
