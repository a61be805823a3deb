"""Patterns in order of how well they suit a print."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from quiltgeom.layout.quilt import fit_size, lay_out
from quiltgeom.matching.facts import PrintFacts, QuiltFacts, quilt_facts
from quiltgeom.matching.rules import Outcome, Verdict, judge
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt

__all__ = ["PatternFit", "fit_pattern", "rank_patterns"]


@dataclass(frozen=True)
class PatternFit:
    """How a pattern suits a print.

    Attributes:
        pattern, quilt: what was judged, laid out in the wanted size.
        facts: what the rules looked at.
        verdicts: one per rule.
    """

    pattern: Pattern
    quilt: Quilt
    facts: QuiltFacts
    verdicts: tuple[Verdict, ...]

    @property
    def outcome(self) -> Outcome:
        """The worst of the verdicts."""
        found = {v.outcome for v in self.verdicts}
        return "fail" if "fail" in found else "caution" if "caution" in found else "pass"

    @property
    def score(self) -> float:
        """Weighted mean of the rules' scores, 0 to 1."""
        total = sum(v.weight for v in self.verdicts)
        return sum(v.score * v.weight for v in self.verdicts) / total

    @property
    def fails(self) -> int:
        """How many rules fail."""
        return sum(v.outcome == "fail" for v in self.verdicts)


def fit_pattern(
    pattern: Pattern, print_: PrintFacts, size: tuple[float, float] | None = None
) -> PatternFit:
    """Judge one pattern, in a wanted finished size (inches) or as it usually is."""
    chosen = fit_size(pattern, *size) if size else {}
    quilt = lay_out(pattern, **chosen)  # type: ignore[arg-type]
    facts = quilt_facts(quilt)
    return PatternFit(pattern, quilt, facts, judge(print_, facts))


def rank_patterns(
    patterns: Iterable[Pattern], print_: PrintFacts, size: tuple[float, float] | None = None
) -> list[PatternFit]:
    """All patterns, the best first: fewest failed rules, then the score, then the key.

    >>> from quiltgeom.library.patterns import load_patterns
    >>> scenic = PrintFacts(motif=6.0, direction="one-way", loudness=0.7)
    >>> best = rank_patterns(load_patterns(), scenic)[0]
    >>> best.facts.independent, best.facts.upright, best.outcome != "fail"
    (True, True, True)
    """
    fits = [fit_pattern(p, print_, size) for p in patterns]
    return sorted(fits, key=lambda f: (f.fails, -round(f.score, 9), f.pattern.key))
