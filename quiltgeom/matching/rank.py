"""Patterns, in sizes that suit, in order of how well they suit a print."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from quiltgeom.layout.quilt_layout import LayoutSize, finished_size, fit_size, lay_out, ruler_sizes
from quiltgeom.library.patterns import is_own
from quiltgeom.matching.facts import PrintFacts, QuiltFacts, quilt_facts
from quiltgeom.matching.rules import Wish, judge
from quiltgeom.matching.verdicts import Judged, Verdict
from quiltgeom.model.design import Design
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt
from quiltgeom.piecing.difficulty import quilt_difficulty
from quiltgeom.tolerance import SAME_POINT

ROOM = 1.15
"""Main patches are made this much larger than the motif where the pattern allows."""


@dataclass(frozen=True)
class PatternFit(Judged):
    """How a pattern suits a print.

    Attributes:
        chosen: what :func:`~quiltgeom.layout.quilt_layout.lay_out` makes this quilt from.
    """

    pattern: Pattern
    quilt: Quilt
    facts: QuiltFacts
    verdicts: tuple[Verdict, ...]
    chosen: LayoutSize

    @property
    def design(self) -> Design:
        """The design of this quilt, for a preview or cutting."""
        borders, quilt = self.chosen.get("borders"), self.quilt
        return Design(
            self.pattern if is_own(self.pattern) else self.pattern.key,
            block_size=quilt.block_size,
            rows=quilt.rows,
            columns=quilt.columns,
            borders=None if borders is None else tuple(borders),
        )

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "key": self.pattern.key,
            "outcome": self.outcome,
            "score": round(self.score, 6),
            "width_in": self.quilt.width,
            "height_in": self.quilt.height,
            "block_in": self.quilt.block_size,
            "verdicts": [v.to_json() for v in self.verdicts],
        }


def fit_pattern(
    pattern: Pattern,
    print_: PrintFacts,
    size: tuple[float, float] | None = None,
    *,
    level: str | None = None,
) -> PatternFit:
    """Judge one pattern in the size of block that suits the print best.

    Tried are the usual block and, where its main patch is too small for the motif, a larger one;
    in the wanted finished size (inches) or near the usual one.
    """
    wish = Wish(size, level)
    first = _judged(pattern, print_, wish, fit_size(pattern, *size) if size else LayoutSize())
    grown = _grown(pattern, print_, first, size)
    fits = [first, *([_judged(pattern, print_, wish, grown)] if grown else [])]
    # fewest failed rules, then room for the motif, then the score
    room = ROOM * print_.motif - SAME_POINT
    best = min(in_order(fits), key=lambda f: (f.fails, f.facts.window < room))
    return _with_difficulty(best, print_, wish)


def _judged(pattern: Pattern, print_: PrintFacts, wish: Wish, chosen: LayoutSize) -> PatternFit:
    quilt = lay_out(pattern, **chosen)
    facts = quilt_facts(quilt)
    return PatternFit(pattern, quilt, facts, judge(print_, facts, wish), chosen)


def _with_difficulty(fit: PatternFit, print_: PrintFacts, wish: Wish) -> PatternFit:
    """The last thing to be found, since it takes longest."""
    found = quilt_difficulty(fit.quilt)
    facts = replace(fit.facts, level=found.level, reasons=found.reasons)
    return replace(fit, facts=facts, verdicts=judge(print_, facts, wish))


def _grown(
    pattern: Pattern, print_: PrintFacts, first: PatternFit, size: tuple[float, float] | None
) -> LayoutSize | None:
    """A layout whose main patches have room for the motif, if the first one has none."""
    if not print_.motif or first.facts.window >= ROOM * print_.motif or not first.facts.window:
        return None
    grow = ROOM * print_.motif / first.facts.window
    least = first.quilt.block_size * grow / pattern.block_size
    sizes = ruler_sizes(pattern, least - SAME_POINT, 2.0)
    block = next((s for s in sizes if s >= least * pattern.block_size - SAME_POINT), None)
    if block is None:
        return None
    target = size or finished_size(pattern, pattern.rows, pattern.columns, pattern.block_size)
    larger = replace(pattern, block_size=block)
    chosen = fit_size(larger, *target, sizes=(block,))
    return None if chosen["block_size"] == first.quilt.block_size else chosen


def rank_patterns(
    patterns: Iterable[Pattern],
    print_: PrintFacts,
    size: tuple[float, float] | None = None,
    *,
    level: str | None = None,
) -> list[PatternFit]:
    """All patterns, the best first: fewest failed rules, then the score, then the key.

    Args:
        size: wanted finished width and height, inches.
        level: the maker's level, one of :data:`~quiltgeom.piecing.difficulty.WORDS`.

    >>> from quiltgeom.library.patterns import load_patterns
    >>> scenic = PrintFacts(motif=6.0, direction="one-way", loudness=0.7)
    >>> best = rank_patterns(load_patterns(), scenic)[0]
    >>> best.facts.independent, best.facts.upright, best.outcome != "fail"
    (True, True, True)
    """
    return in_order(fit_pattern(pattern, print_, size, level=level) for pattern in patterns)


def in_order(fits: Iterable[PatternFit]) -> list[PatternFit]:
    """The best first: fewest failed rules, then the score, then the key."""
    return sorted(fits, key=lambda f: (f.fails, -round(f.score, 9), f.pattern.key))


def with_verdicts(fit: PatternFit, *others: Verdict) -> PatternFit:
    """The fit with further verdicts; one of a rule that was judged before takes its place."""
    final = {v.rule: v for v in (*fit.verdicts, *others)}
    return replace(fit, verdicts=tuple(final.values()))
