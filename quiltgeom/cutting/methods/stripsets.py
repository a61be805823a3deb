"""Strip sets: strips of several fabrics sewn side by side, then cut across into slices."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from quiltgeom.cutting.methods.cut_shapes import TURNS, block_outline, is_rectangle, quarter_turns
from quiltgeom.cutting.methods.pieced import placed_blocks
from quiltgeom.cutting.methods.unit import CutUnit, Member
from quiltgeom.cutting.options import CutOptions
from quiltgeom.model.fabric import Direction
from quiltgeom.model.quilt import Piece
from quiltgeom.tolerance import SAME_LENGTH
from quiltgeom.units import INCHES, Ruler


@dataclass(frozen=True, slots=True)
class Slice:
    """A row or column of rectangles in a block that one cut across a strip set gives.

    Attributes:
        strips: role and finished width of each strip, from the top of the set.
        across: finished size along the strips.
        pieces: one piece per strip.
        lie: how the set's up lies in the quilt, degrees clockwise.
    """

    strips: tuple[tuple[str, float], ...]
    across: float
    pieces: tuple[int, ...]
    lie: float


@dataclass(frozen=True, slots=True)
class StripSet:
    """Equal strip sets.

    Attributes:
        number: from 1.
        strips: role and cut width (inches) of each strip, from the top.
        slice: cut width of a slice, inches.
        slices: how many slices are needed.
        lengths: length of the strips of every set, inches.
    """

    number: int
    strips: tuple[tuple[str, float], ...]
    slice: float
    slices: int
    lengths: tuple[float, ...]
    ruler: Ruler = INCHES

    @property
    def text(self) -> str:
        """What to do, as a sentence."""
        order = ", ".join(f"{role} {self.ruler.text(w)}" for role, w in self.strips)
        sets = "1 set" if len(self.lengths) == 1 else f"{len(self.lengths)} sets"
        return (
            f"Strip set {self.number}: {order}; {sets}; press, then cut {self.slices} slices "
            f"{self.ruler.text(self.slice)} wide."
        )


def slices(
    pieces: Sequence[Piece], directions: Mapping[str, Direction], roles: Iterable[str]
) -> list[Slice]:
    """Rows or columns right across a block whose patches are all of ``roles`` and rectangles.

    Strips run across the cloth, so a print stands upright in a slice that is set as a column. Of
    rows and columns those count that leave a block in fewer slices.
    """
    wanted = set(roles)
    found: list[Slice] = []
    for group in placed_blocks(pieces):
        if len(group) > 1 and any(p.role in wanted for p in group):
            ways = [_lines(group, directions, wanted, column) for column in (True, False)]
            best = min(ways, key=lambda w: (-sum(len(s.pieces) for s in w), len(w)))
            found += best
    return found


def _lines(
    group: Sequence[Piece], directions: Mapping[str, Direction], wanted: set[str], column: bool
) -> list[Slice]:
    outlines = [block_outline(p) for p in group]
    along = 1 if column else 0
    low = min(o.bounds[along] for o in outlines)
    high = max(o.bounds[along + 2] for o in outlines)
    chains: dict[tuple[int, int], list[int]] = {}
    for k, (piece, outline) in enumerate(zip(group, outlines, strict=True)):
        if piece.role in wanted and is_rectangle(outline):
            b = outline.bounds
            key = round(b[1 - along] * 1e4), round(b[3 - along] * 1e4)
            chains.setdefault(key, []).append(k)
    found = []
    for chain in chains.values():
        chain.sort(key=lambda k: outlines[k].bounds[along])
        ends = [low, *(outlines[k].bounds[along + 2] for k in chain)]
        starts = [*(outlines[k].bounds[along] for k in chain), high]
        whole = all(abs(a - b) < SAME_LENGTH for a, b in zip(ends, starts, strict=True))
        if whole and len(chain) > 1:
            boxes = [outlines[k].bounds for k in chain]
            widths = [c[along + 2] - c[along] for c in boxes]
            across = boxes[0][3 - along] - boxes[0][1 - along]
            made = _slice([group[k] for k in chain], widths, across, column, directions)
            found += [made] if made else []
    return found


def _slice(
    chain: Sequence[Piece],
    widths: Sequence[float],
    across: float,
    column: bool,
    directions: Mapping[str, Direction],
) -> Slice | None:
    """The chain as a slice, turned as its prints allow; None if they do not."""
    options = []
    for turn in (0.0, 180.0) if column else (90.0, 270.0):
        lie = (chain[0].placement.degrees + turn) % 360.0
        if not all(_allowed(p, lie, directions[p.role]) for p in chain):
            continue
        # the set's top lies up (0), right (90), down (180) or left (270) in the block
        order = list(range(len(chain)))[:: -1 if turn in (90.0, 180.0) else 1]
        strips = tuple((chain[k].role, round(widths[k], 6)) for k in order)
        options.append(Slice(strips, round(across, 6), tuple(chain[k].index for k in order), lie))
    return min(options, key=lambda s: (s.strips, s.lie), default=None)


def _allowed(piece: Piece, lie: float, direction: Direction) -> bool:
    if direction == "non-directional":
        return True
    quarters = quarter_turns(lie - piece.lie_deg)
    return quarters is not None and quarters % 4 in TURNS[direction]


def strip_sets(
    found: Sequence[Slice], cloth: Mapping[str, float], options: CutOptions
) -> tuple[list[StripSet], list[tuple[str, CutUnit]], set[int]]:
    """Strips for slices: as many slices from a set as the narrowest cloth is wide.

    Args:
        found: slices, see :func:`slices`.
        cloth: usable width by role, inches.
        options: seam allowance and ruler.

    Returns:
        The sets; the strips, each with its role; the pieces that they give.
    """
    seam, ruler = options.seam, options.ruler
    groups: dict[tuple[object, ...], list[Slice]] = {}
    for s in found:
        groups.setdefault((s.strips, s.across), []).append(s)
    sets: list[StripSet] = []
    units: list[tuple[str, CutUnit]] = []
    done: set[int] = set()
    for alike in sorted(groups.values(), key=lambda g: (-len(g[0].strips), -len(g))):
        first = alike[0]
        step = ruler.ceil(first.across + 2 * seam)
        room = min(cloth[role] for role, _ in first.strips)
        most = math.floor(room / step + SAME_LENGTH)
        if most < 2 or len(alike) < 2:
            continue
        runs = [alike[k : k + most] for k in range(0, len(alike), most)]
        strips = tuple((r, ruler.ceil(w + 2 * seam)) for r, w in first.strips)
        lengths = tuple(len(r) * step for r in runs)
        made = StripSet(len(sets) + 1, strips, step, len(alike), lengths, ruler)
        sets.append(made)
        for run in runs:
            units += _strips(made, run, step)
        done.update(k for s in alike for k in s.pieces)
    return sets, units, done


def _strips(made: StripSet, run: Sequence[Slice], step: float) -> list[tuple[str, CutUnit]]:
    length = len(run) * step
    out = []
    for k, (role, width) in enumerate(made.strips):
        members = tuple(
            Member(s.pieces[k], (i + 0.5) * step, width / 2, s.lie) for i, s in enumerate(run)
        )
        lines = [(i * step, 0.0, i * step, width) for i in range(1, len(run))]
        note, inside = f"strip set {made.number}", (members, lines)
        unit = CutUnit.of("strip set", length, width, *inside, ruler=made.ruler, note=note)
        out.append((role, unit))
    return out
