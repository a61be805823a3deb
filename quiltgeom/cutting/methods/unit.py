"""One rectangle of cloth, how it becomes patches, and the patches."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from quiltgeom.units import INCHES, Ruler

Line = tuple[float, float, float, float]
"""A straight cut, ``(x, y, x, y)`` in inches."""

Method = Literal[
    "rectangle",
    "square cut once",
    "square cut twice",
    "half of a square cut twice",
    "template",
    "slanted strip",
    "joined strip",
    "mitred border",
    "lengthwise border",
    "pair of squares",
    "four at a time",
    "eight at a time",
    "no-waste geese",
    "no-waste skies",
    "flip base",
    "flip corner",
    "strip set",
    "fussy cut",
    "foundation piece",
    "foundation triangles",
    "binding",
    "bias binding",
    "spare strip",
]


@dataclass(frozen=True, slots=True)
class Member:
    """A patch inside a cut rectangle.

    Attributes:
        piece: its index in the quilt.
        x, y: middle of its finished bounding box, inches from the rectangle's top left.
        lie_deg: how the cloth lies in the quilt when it is cut like this.
        part, parts: which length of a strip that is joined end to end.
        span: of such a length, from where to where along the strip, inches, in the frame of the
            patch turned back by ``lie_deg``; None for a whole patch.
    """

    piece: int
    x: float
    y: float
    lie_deg: float
    part: int = 1
    parts: int = 1
    span: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class CutUnit:
    """One rectangle of cloth and the patches that it gives.

    Attributes:
        method: how it becomes patches.
        width, height: cut size in steps of the ruler, across and along the cloth.
        members: the patches; empty for binding and spare strips.
        lines: cuts inside it, ``(x, y, x, y)`` in inches from its top left.
        fixed: it may not be turned even where the print would allow it.
        note: what else to know about it, such as its strip set.
        ruler: by which it is cut.
    """

    method: Method
    width: int
    height: int
    members: tuple[Member, ...] = ()
    lines: tuple[Line, ...] = ()
    fixed: bool = False
    note: str = ""
    ruler: Ruler = INCHES

    @classmethod
    def of(
        cls,
        method: Method,
        width: float,
        height: float,
        members: Iterable[Member] = (),
        lines: Iterable[Line] = (),
        *,
        ruler: Ruler,
        fixed: bool = False,
        note: str = "",
    ) -> CutUnit:
        """A rectangle of at least this size, inches.

        >>> CutUnit.of("rectangle", 2.51, 3, ruler=INCHES).wide
        2.625
        """
        size, inside = (ruler.up(width), ruler.up(height)), (tuple(members), tuple(lines))
        return cls(method, *size, *inside, fixed, note, ruler)

    @property
    def wide(self) -> float:
        """Its width, inches."""
        return self.width * self.ruler.step

    @property
    def high(self) -> float:
        """Its height, inches."""
        return self.height * self.ruler.step
