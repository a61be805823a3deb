"""The quilt as a plan cuts it: every patch with its place on the cloth, for the preview."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from quiltgeom.cutting.methods.cut_shapes import turned_point
from quiltgeom.errors import QuiltValueError, shown
from quiltgeom.geometry.clip import clip_to_line
from quiltgeom.geometry.outline import Outline
from quiltgeom.geometry.placement import Placement
from quiltgeom.model.block import Patch
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Piece, Quilt

if TYPE_CHECKING:
    from quiltgeom.cutting.fabric_plan import PlacedUnit


@dataclass(frozen=True, slots=True)
class CutPatch:
    """A patch, or one length of a patch that is joined end to end, with its place on the cloth.

    Attributes:
        piece: index of the piece in the quilt.
        part: which length of it, from 1.
        x, y: point of the cloth at the middle of its bounding box, print upright, inches.
        lie_deg: how the cloth lies in the quilt, degrees clockwise.
        outline: finished outline in the quilt of a part; None for a whole patch.
    """

    piece: int
    part: int
    x: float
    y: float
    lie_deg: float
    outline: Outline | None = None


def cut_patches(quilt: Quilt, placed: Iterable[PlacedUnit]) -> list[CutPatch]:
    """The patches of rectangles that lie on cloth, in order."""
    out = []
    for unit in placed:
        for k, m in enumerate(unit.unit.members):
            outline = None
            if m.span is not None:
                outline = _part(quilt.pieces[m.piece].outline, m.lie_deg, m.span)
            x, y = unit.centre(k)
            out.append(CutPatch(m.piece, m.part, x, y, unit.lie(k), outline))
    return out


def _part(outline: Outline, lie: float, span: tuple[float, float]) -> Outline | None:
    """The part of a patch between two lines square to the strip that it is cut from."""
    whole = outline.turned(-lie, (0, 0))
    x0, y0, x1, y1 = whole.bounds
    along, back = ((1, 0), (-1, 0)) if x1 - x0 >= y1 - y0 else ((0, 1), (0, -1))
    parts = [whole]
    for normal, limit in ((along, span[1]), (back, -span[0])):
        parts = [q for p in parts for q in clip_to_line(p, normal, limit)]
    return parts[0].turned(lie, (0, 0)) if len(parts) == 1 else None


def assemble(
    quilt: Quilt, patches: Iterable[CutPatch]
) -> tuple[Quilt, dict[int, tuple[float, float]]]:
    """The quilt with the plan's lies, joined strips in their lengths, and places on the cloth.

    The first length of a joined strip keeps the number of its piece; the others come last.

    Raises:
        QuiltValueError: patches that are not those of this quilt.
    """
    pieces = list(quilt.pieces)
    places: dict[int, tuple[float, float]] = {}
    for p in sorted(patches, key=lambda p: (p.part, p.piece)):
        if not 0 <= p.piece < len(quilt.pieces):
            raise QuiltValueError(
                f"cutting plan: found patch {p.piece}; accepted: 0 to {len(quilt.pieces) - 1}, the "
                f"patches of {quilt.name}: a plan of this design and size"
            )
        index = p.piece if p.part == 1 else len(pieces)
        piece = replace(quilt.pieces[p.piece], index=index, lie_deg=p.lie_deg)
        if p.outline is not None:
            patch = Patch(p.outline, piece.role, piece.patch.part)
            piece = replace(piece, patch=patch, placement=Placement())
        if index == len(pieces):
            pieces.append(piece)
        pieces[index] = piece
        places[index] = (p.x, p.y)
    missing = [p for p in quilt if p.index not in places]
    if missing:
        raise QuiltValueError(
            f"cutting plan: found no place for {len(missing)} of {len(quilt)} patches, such as one "
            f"of {missing[0].place}; accepted: a plan of this design and size"
        )
    return replace(quilt, pieces=tuple(pieces)), places


def patches_from_data(data: Any, quilt: Quilt) -> list[CutPatch]:
    """Patches of a plan as ``plan.json`` (:func:`~quiltgeom.cutting.listing.plan_data`) has them.

    Raises:
        QuiltValueError: no such plan, or one of another quilt.
    """
    try:
        size = (_number(data["width_in"]), _number(data["height_in"]))
        rows = [q for f in data["fabrics"] for p in f["pieces"] for q in p["patches"]]
        found = [_patch(q) for q in rows]
    except (LookupError, TypeError, ArithmeticError, ValueError) as e:
        raise QuiltValueError(
            f"cutting plan: found no plan in it ({shown(e)}); accepted: plan.json of "
            "'quiltgeom cut'"
        ) from e
    if abs(size[0] - quilt.width) + abs(size[1] - quilt.height) > 1e-3:
        raise QuiltValueError(
            f"cutting plan: found a plan for {size[0]:g} x {size[1]:g} in; accepted: one for "
            f"{quilt.name}, {quilt.width:g} x {quilt.height:g} in"
        )
    return found


def _patch(data: Any) -> CutPatch:
    piece, part = _whole(data["piece"]), _whole(data["part"])
    x, y, lie = (_number(data[k]) for k in ("x", "y", "lie"))
    points = data.get("outline")
    outline = Outline(tuple((_number(a), _number(b)) for a, b in points)) if points else None
    return CutPatch(piece, part, x, y, lie, outline)


def _number(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= 1e6:
        raise ValueError(f"found {shown(value)} for a number")
    return float(value)


def _whole(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError(f"found {shown(value)} for a whole number")
    return value


def picture_places(
    pieces: Iterable[Piece], places: Mapping[int, tuple[float, float]], fabric: Fabric
) -> dict[int, tuple[float, float]]:
    """Places on the cloth as points of the fabric's picture, whose print need not be upright.

    The cloth's top left corner lies at the picture's; beyond the picture the print goes on.

    Returns:
        By piece index, the point of the picture at the middle of the piece's bounding box (as the
        picture sees it).

    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> piece = lay_out(load_patterns().get("harbour-windows"), rows=1, columns=1).pieces[0]
    >>> picture_places([piece], {piece.index: (3.0, 5.0)}, Fabric("sky", colour="#88aacc"))
    {0: (3.0, 5.0)}
    """
    out = {}
    for piece in pieces:
        upright = piece.outline.turned(-piece.lie_deg, (0, 0))
        x, y = _middle(upright)
        u, v = places[piece.index][0] - x, places[piece.index][1] - y
        shown = upright.turned(fabric.up_deg, (0, 0))
        (a, b), (du, dv) = _middle(shown), turned_point((u, v), fabric.up_deg)
        out[piece.index] = (a + du, b + dv)
    return out


def _middle(outline: Outline) -> tuple[float, float]:
    x0, y0, x1, y1 = outline.bounds
    return (x0 + x1) / 2, (y0 + y1) / 2
