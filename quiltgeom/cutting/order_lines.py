"""The order of cuts in words, line by line as hands do it, and as data."""

import itertools
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

from quiltgeom.cutting.fabric_plan import FabricPlan, PlacedUnit
from quiltgeom.cutting.order import CutStrip, Rows, cut_order, extent, leftovers
from quiltgeom.tolerance import RULER_SLACK, SAME_LENGTH

_NOUNS = {
    "binding": "binding strip",
    "joined strip": "strip",
    "strip set": "strip",
    "slanted strip": "strip",
    "lengthwise border": "border strip",
    "mitred border": "border strip",
}


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line: equal strips that lie next to each other; without strips: squaring up.

    Attributes:
        text: what hands do.
        cloth: number of the piece of cloth, from 0.
        strips: their numbers, as in the diagram.
        size: how wide each strip is cut, inches.
        pieces: rectangles of the plan that come from them.
    """

    text: str
    cloth: int = 0
    strips: tuple[int, ...] = ()
    size: float = 0.0
    pieces: tuple[PlacedUnit, ...] = ()


def order_lines(plan: FabricPlan) -> list[OrderLine]:
    """The order of cuts; the first line squares up the cloth.

    >>> from quiltgeom.cutting.cutting_plan import cut_plan
    >>> from quiltgeom.layout.quilt_layout import lay_out
    >>> from quiltgeom.library.patterns import load_patterns
    >>> quilt = lay_out(load_patterns().get("sail-loft"), rows=2, columns=2)
    >>> for line in order_lines(cut_plan(quilt, {}, effort=1).fabrics[0]):
    ...     print(line.text)
    Square up the end of the cloth (1" is included for this).
    Strip 1: cut 1 strip 10 1/2" across the cloth; from it 2 squares 10 1/2" (A).
    """
    words = _Words(plan)
    return [
        OrderLine(_squaring(plan)),
        *(words.line(list(run)) for _, run in itertools.groupby(cut_order(plan), words.kind)),
    ]


def _squaring(plan: FabricPlan) -> str:
    end = "the end of every piece of cloth" if plan.spread else "the end of the cloth"
    included = plan.ruler.meant(plan.straightening) if plan.straightening else "nothing"
    alone = " Patches on the motif: cut each out by itself." if plan.motif_rise else ""
    return f"Square up {end} ({included} is included for this).{alone}"


class _Words:
    """Says what is cut from strips; pieces are alike if they share letter and way of lying."""

    def __init__(self, plan: FabricPlan) -> None:
        self.labels, self.lengthwise = plan.labels, plan.solution.lengthwise
        self.spread, self.ruler = plan.spread, plan.ruler

    def kind(self, strip: CutStrip) -> tuple[object, ...]:
        """Equal for strips that share a line: of pieces of one kind, as many as there are."""
        stacks = {self._alike(rows) for rows in strip.rows}
        one = len(stacks) == 1 and len(strip.stacks[0]) == 1 and strip.stacks[0][0][1] == 1
        rows = stacks.pop() if one else tuple(map(self._alike, strip.rows))
        return strip.cloth, strip.size, one, rows

    def line(self, run: Sequence[CutStrip]) -> OrderLine:
        """The line of strips of one kind."""
        first, n = run[0], len(run)
        numbers = _numbers(first.number, run[-1].number)
        head = f"Cloth {first.cloth + 1}, {numbers.lower()}" if self.spread else numbers
        way = f"{'along' if self.lengthwise else 'across'} the cloth"
        if first.size > self.ruler.reach + RULER_SLACK:
            way += " (open the cloth; mark and cut)"
        pieces = tuple(p for s in run for rows in s.rows for row in rows for p in row)
        if self.kind(first)[2]:
            cuts = f"from {'it' if n == 1 else 'them'} {self._pieces(pieces, first.size)}"
        else:
            cuts = self._stacks(first, "it" if n == 1 else "each")
        strips = "strip" if n == 1 else "strips"
        text = f"{head}: cut {n} {strips} {self.ruler.about(first.size)} {way}; {cuts}."
        return OrderLine(text, first.cloth, tuple(s.number for s in run), first.size, pieces)

    def _alike(self, rows: Rows) -> tuple[object, ...]:
        """Equal for stacks that are cut alike."""
        return tuple(tuple((self.labels[p.number], *self._size(p)) for p in row) for row in rows)

    def _size(self, p: PlacedUnit) -> tuple[float, float]:
        """Along the strip and across it."""
        return (p.height, p.width) if self.lengthwise else (p.width, p.height)

    def _stacks(self, strip: CutStrip, what: str) -> str:
        """What comes off a strip, from its beginning."""
        out, sentence = f"from {what}", False
        for k, (_, group) in enumerate(itertools.groupby(strip.rows, self._alike)):
            alike = list(group)
            crosscut = len(alike[0]) > 1 or _loose(alike[0][0])
            pieces = [p for rows in alike for p in rows[0]]
            words = self._apart(alike) if crosscut else self._pieces(pieces, strip.size)
            rest = "from the rest " if k == 1 else ""
            if k == 0:
                out += f", {words}" if crosscut else f" {words}"
            elif crosscut or sentence:
                out += f". Then {rest}{'' if crosscut else 'cut '}{words}"
            else:
                out += f", then {rest}{words}"
            sentence = crosscut
        return out

    def _apart(self, alike: Sequence[Rows]) -> str:
        """Equal stacks: cut off, then cut apart into rows, and those into pieces."""
        low, high = extent([p for row in alike[0] for p in row], along=self.lengthwise)
        n, rows = len(alike), []
        for _, group in itertools.groupby(alike[0], lambda row: self._alike((row,))):
            same = list(group)
            pieces = [p for row in same for p in row]
            one = len(same[0]) == 1
            rows.append(self._pieces(pieces, 0.0, high - low) if one else self._row(same))
        lengths, each = ("a length", "it") if n == 1 else (f"{n} lengths", "each")
        size = self.ruler.about(high - low)
        return f"crosscut {lengths} of {size}; from {each} {', then '.join(rows)}"

    def _row(self, same: Sequence[tuple[PlacedUnit, ...]]) -> str:
        """Equal rows of several pieces side by side."""
        row, n = same[0], len(same)
        low, high = extent(row, along=not self.lengthwise)
        runs = [list(g) for _, g in itertools.groupby(row, lambda p: self._alike(((p,),)))]
        if len(runs) == 1 and not _loose(row):
            pieces = self._pieces([p for r in same for p in r], high - low)
            return f"{pieces} side by side" if n == 1 else f"{pieces} in {n} rows"
        parts = " and ".join(self._pieces(run, high - low) for run in runs)
        if _loose(row):
            return f"cut out one by one {parts}"
        return f"a row of {parts}" if n == 1 else f"{n} rows, each of {parts}"

    def _pieces(self, pieces: Sequence[PlacedUnit], across: float, run: float = 0.0) -> str:
        """Equal pieces: how many, their size, their letter; to be trimmed where the cuts round
        them leave more than that."""
        unit, n = pieces[0].unit, len(pieces)
        size = f"{self.ruler.text(unit.wide)} x {self.ruler.text(unit.high)}"
        noun = _NOUNS.get(unit.method, "piece")
        if unit.width == unit.height and noun == "piece":
            noun, size = "square", self.ruler.text(unit.wide)
        along, high = self._size(pieces[0])
        trim = across > high + RULER_SLACK or run > along + RULER_SLACK
        label = self.labels[pieces[0].number]
        return f"{n} {noun}{'s' * (n > 1)} {size} ({label}){', trimmed to size' * trim}"


def _numbers(first: int, last: int) -> str:
    if first == last:
        return f"Strip {first}"
    return f"Strips {first} {'and' if last == first + 1 else 'to'} {last}"


def _loose(row: Sequence[PlacedUnit]) -> bool:
    """Whether no straight cuts part the pieces of a row, such as windows on motifs."""
    across = sorted((p.x, p.x + p.width) for p in row)
    along = sorted((p.y, p.y + p.height) for p in row)
    return all(
        any(b[0] < a[1] - SAME_LENGTH for a, b in itertools.pairwise(spans))
        for spans in (across, along)
    )


def named(thing: object, names: str) -> dict[str, Any]:
    """Attributes as plain data, each under its own name or another one.

    >>> named(1 + 2j, "imag x=real")
    {'imag': 2.0, 'x': 1.0}
    """
    pairs = (name.rpartition("=") for name in names.split())
    return {key or name: attrgetter(name)(thing) for key, _, name in pairs}


def order_data(plan: FabricPlan) -> dict[str, Any]:
    """Strips, order of cuts and leftovers as plain data: inches; every piece is in one line."""

    def counts(pieces: Sequence[PlacedUnit]) -> dict[str, int]:
        return dict(Counter(plan.labels[p.number] for p in pieces))

    def stacks(strip: CutStrip) -> list[dict[str, Any]]:
        pairs = zip(strip.ends, strip.rows, strict=True)
        return [{"at": at, "rows": [counts(row) for row in rows]} for (at, _), rows in pairs]

    way = {"way": "along" if plan.solution.lengthwise else "across"}
    return {
        "strips": [
            named(s, "number cloth start size") | way | {"stacks": stacks(s)}
            for s in cut_order(plan)
        ],
        "order": [
            named(n, "text cloth strips size")
            | {"strips": list(n.strips), "pieces": counts(n.pieces)}
            | {"ids": [p.number for p in n.pieces]}
            for n in order_lines(plan)
        ],
        "leftovers": [named(r, "cloth x y w=width h=height") for r in leftovers(plan)],
    }
