"""The letters of a quilt: one for each kind of piece that is cut, the same in every document."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from quiltgeom.cutting.as_sewn import AsSewn, as_sewn
from quiltgeom.cutting.methods.unit import CutUnit
from quiltgeom.geometry.allowance import SEAM
from quiltgeom.geometry.congruence import same_shape
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.placement import Placement
from quiltgeom.model.quilt import Quilt
from quiltgeom.units import INCHES, Ruler

_ALPHABET = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_BY_SHAPE = ("template", "slanted strip", "strip set", "fussy cut")
"""Methods whose rectangles are for one shape of patch each, however large they are."""

SPARE = "spare"


def letter(number: int) -> str:
    """A, B, ... Z, AA, AB ...: 0 is A. There is no I and no O, as "1 I" would be hard to read.

    >>> letter(0), letter(8), letter(23), letter(24)
    ('A', 'J', 'Z', 'AA')
    """
    head, tail = divmod(number, len(_ALPHABET))
    return (letter(head - 1) if head else "") + _ALPHABET[tail]


def shape_letters(outlines: Sequence[Outline], roles: Sequence[str]) -> tuple[str, ...]:
    """A letter for each patch of a block, where nobody has said how it is cut: one for every
    shape and fabric, in order of the patches.

    >>> from quiltgeom.library.blocks import load_blocks
    >>> patches = load_blocks().get("four-patch").patches
    >>> shape_letters([p.outline for p in patches], [p.role for p in patches])
    ('A', 'A', 'B', 'B')
    """
    known: dict[object, str] = {}
    keys = [same_shape([o], [r]).key for o, r in zip(outlines, roles, strict=True)]
    return tuple(known.setdefault(key, letter(len(known))) for key in keys)


@dataclass(frozen=True)
class Letters:
    """Which letter everything has that is cut for a quilt.

    A letter names what lies on one pile: rectangles of one fabric, size and method, and the patches
    that become of them. Strips for equal patches share it, whatever their lengths and strip sets.

    Attributes:
        pieces: by index in the quilt.
        binding: of the strips or squares of the binding; ``""`` without one.
        sewn: by index in the quilt, how large the patch sews from what is cut.
        ruler: by which it is cut.
    """

    pieces: Mapping[int, str] = field(default_factory=dict)
    binding: str = ""
    sewn: Mapping[int, AsSewn] = field(default_factory=dict)
    ruler: Ruler = INCHES

    def of(self, unit: CutUnit) -> str:
        """The letter of a rectangle of cloth; a spare strip has its word."""
        if unit.method == "spare strip":
            return SPARE
        return self.pieces[unit.members[0].piece] if unit.members else self.binding


def line_key(unit: CutUnit) -> tuple[int, int, str, str]:
    """Equal for rectangles of one size and method; sorted, the tallest come first."""
    return -unit.height, -unit.width, unit.method, unit.note


def cut_letters(
    quilt: Quilt, units: Mapping[str, Sequence[CutUnit]], *, seam: float = SEAM
) -> Letters:
    """Letters for all that is cut, through all fabrics in their order; within a fabric the tallest
    first, the binding last.

    Args:
        units: rectangles by role, before anybody looks where they lie on the cloth.
        seam: the allowance in them, inches.
    """
    pieces: dict[int, str] = {}
    binding, number = "", 0
    for rows in units.values():
        known: dict[object, str] = {}
        made = [u for u in rows if u.method != "spare strip"]
        for unit in sorted(made, key=lambda u: (not u.members, line_key(u))):
            kind = _kind(unit, quilt)
            if kind not in known:
                known[kind] = letter(number)
                number += 1
            pieces.update((m.piece, known[kind]) for m in unit.members)
            binding = binding if unit.members else known[kind]
    every = [unit for rows in units.values() for unit in rows]
    ruler = every[0].ruler if every else INCHES
    return Letters(pieces, binding, as_sewn(quilt, every, seam), ruler)


def _kind(unit: CutUnit, quilt: Quilt) -> tuple[object, ...]:
    """Equal for rectangles that share a letter."""
    if not unit.members:
        return ("binding",)
    if unit.method == "half of a square cut twice":  # what the last triangle is cut from
        side = -max(unit.width, unit.height)
        return side, side, "square cut twice", unit.note
    piece = quilt.pieces[unit.members[0].piece]
    by_shape = unit.method in _BY_SHAPE
    shape = _shape(piece.patch.outline, piece.placement.scale) if by_shape else None
    if unit.method in ("slanted strip", "strip set"):
        return _thickness(unit), unit.method, shape
    return (*line_key(unit), shape)


def _thickness(unit: CutUnit) -> int:
    """Of a strip, in steps: the cuts in a slanted one go from edge to edge."""
    if unit.method == "strip set":
        return unit.height
    _, y0, _, y1 = unit.lines[0]
    return unit.height if abs(abs(y1 - y0) - unit.high) < unit.ruler.step else unit.width


@lru_cache(maxsize=1024)
def _shape(outline: Outline, scale: float) -> object:
    """Equal for patches that can be laid on each other by turning or turning over."""
    return same_shape([outline.placed(Placement(scale=scale))]).key
