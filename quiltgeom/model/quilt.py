"""A quilt: placed pieces, each knowing how its fabric lies."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from quiltgeom.checks import brief
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.placement import Placement
from quiltgeom.model.block import Patch
from quiltgeom.model.pattern import CutKind, RoleSpec
from quiltgeom.units import INCH_IN_CM, RULERS, Ruler, Units


@dataclass(frozen=True, slots=True)
class Piece:
    """One patch in its place in the quilt.

    Attributes:
        index: number of the piece in the quilt.
        patch: the shared shape (in its own units).
        placement: from the patch's units to inches in the quilt.
        role: the fabric role of the pattern.
        cut: cut independently or out of a strip assembly.
        lie_deg: angle (clockwise, degrees) at which the cloth's up lies in the quilt; 0 = upright.
            Preview, cutting plan and templates all use this number.
        place: where it is, e.g. ``"block 2,3"`` or ``"border 1 top"``.
        block: key of the block it belongs to.
    """

    index: int
    patch: Patch
    placement: Placement
    role: str
    cut: CutKind
    lie_deg: float
    place: str
    block: str

    @property
    def in_border(self) -> bool:
        """Whether it belongs to a border."""
        return self.place.startswith("border")

    @property
    def is_strip(self) -> bool:
        """Whether it is a strip of sashing or a border, which may be joined end to end."""
        kind, _, side = self.place.partition(" ")
        plain = self.block in ("plain", "mitred-border")
        return plain and kind in ("border", "sashing", "spacer") and not side.endswith("corner")

    @property
    def in_block(self) -> bool:
        """Whether it belongs to a block of the setting."""
        return self.place.startswith("block")

    @property
    def outline(self) -> Outline:
        """Finished outline in inches, in the quilt."""
        return self.patch.outline.placed(self.placement)

    @property
    def polyline(self) -> NDArray[np.float64]:
        """``(n, 2)`` finished outline in inches, arcs as fine polylines."""
        return self.placement.apply(self.patch.outline.polyline)

    @property
    def polygon(self) -> Polygon:
        """Shapely polygon of :attr:`polyline`."""
        return Polygon(self.polyline)

    @property
    def area(self) -> float:
        """Exact finished area, square inches."""
        return self.patch.outline.area * self.placement.scale**2


@dataclass(frozen=True, repr=False)
class Quilt:
    """A laid-out quilt top.

    Attributes:
        name: title for people.
        pattern: key of the pattern.
        width, height: finished size, inches.
        block_size: finished block size, inches.
        rows, columns: as laid out.
        pieces: all pieces; they cover the rectangle exactly.
        roles: the pattern's roles.
        notes: what was adjusted on the way, for people.
        units: in which it is written.
    """

    name: str
    pattern: str
    width: float
    height: float
    block_size: float
    rows: int
    columns: int
    pieces: tuple[Piece, ...]
    roles: dict[str, RoleSpec]
    notes: tuple[str, ...] = ()
    units: Units = "in"

    def __repr__(self) -> str:
        inches = INCH_IN_CM if self.ruler.metric else 1.0
        size = f"{self.width * inches:g} x {self.height * inches:g} {self.units}"
        laid = f"{self.columns} x {self.rows} blocks, {len(self.pieces)} patches"
        return brief(f"Quilt {self.pattern or self.name} {size}, {laid}")

    def __hash__(self) -> int:
        return hash((self.pattern, self.width, self.height, self.pieces))

    def __iter__(self) -> Iterator[Piece]:
        return iter(self.pieces)

    def __len__(self) -> int:
        return len(self.pieces)

    @property
    def ruler(self) -> Ruler:
        """By which it is written."""
        return RULERS[self.units]

    @property
    def main_role(self) -> str:
        """The role that shows the print."""
        return next((r.name for r in self.roles.values() if r.main), next(iter(self.roles)))

    @cached_property
    def area_by_role(self) -> dict[str, float]:
        """Finished area by role, square inches; adds up to width x height."""
        areas = dict.fromkeys(self.roles, 0.0)
        for piece in self.pieces:
            areas[piece.role] += piece.area
        return areas

    @cached_property
    def count_by_role(self) -> dict[str, int]:
        """Number of pieces by role."""
        counts = dict.fromkeys(self.roles, 0)
        for piece in self.pieces:
            counts[piece.role] += 1
        return counts
