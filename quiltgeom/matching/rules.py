"""The rules by which a pattern suits a print. Every verdict shows its number.

All are common practice of the trade (no published source): a large or scenic print wants large
patches that are cut independently; a directional print stands upright only where patches are cut
independently; the print is not cut up small; the background gives it room; interest comes from
the piecing and not from loud companions. The thresholds are this project's reading of them.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from quiltgeom.cutting.cutting_plan import CutPlan
from quiltgeom.errors import QuiltValueError
from quiltgeom.matching.facts import PrintFacts, QuiltFacts
from quiltgeom.matching.verdicts import Outcome, Verdict, verdict
from quiltgeom.piecing.difficulty import WORDS
from quiltgeom.units import format_inches


@dataclass(frozen=True, slots=True)
class Wish:
    """What the maker wants, besides showing the print.

    Attributes:
        size: finished width and height, inches.
        level: what the maker can sew, one of :data:`~quiltgeom.piecing.difficulty.WORDS`.
    """

    size: tuple[float, float] | None = None
    level: str | None = None

    def __post_init__(self) -> None:
        if self.level is not None and self.level not in WORDS:
            raise QuiltValueError(f"level: found {self.level!r}; accepted: {', '.join(WORDS)}")


_MOST_MOTIFS = 4.0
"""A patch of so many motifs across still shows them as motifs."""

_TEXTURE = 1.0
"""Inches: cloth without motifs is used as a small print is."""


def _inches(value: float) -> str:
    return format_inches(round(value * 8) / 8)


def _motif_fits(p: PrintFacts, q: QuiltFacts) -> Verdict:
    if not p.motif and not p.motif_known:
        return verdict(
            "motif-fits",
            "caution",
            0.6,
            "we could not tell how large its motifs are; main patches show "
            f"{_inches(q.window)} square",
        )
    if not p.motif:
        return verdict(
            "motif-fits",
            "pass",
            1.0,
            f"main patches show {_inches(q.window)} square; the print has no motif "
            "that could be cut through",
        )
    ratio = q.window / p.motif
    repeat = max(p.repeat.width, p.repeat.height) if p.repeat else 0.0
    whole_repeat = repeat and q.window >= repeat
    score = 1.0 if whole_repeat else min(0.97, max(0.0, (ratio - 0.6) / 0.9))
    enough = 1.15 if p.motif_known else math.inf
    outcome: Outcome = "fail" if ratio < 1 else "pass" if ratio >= enough else "caution"
    motif = (
        f"the motif is {_inches(p.motif)}"
        if p.motif_known
        else f"we could not tell the motif's size and took {_inches(p.motif)}"
    )
    says = f"main patches show {_inches(q.window)} square; {motif}" + (
        f" and a whole repeat of {_inches(repeat)} fits" if whole_repeat else ""
    )
    return verdict("motif-fits", outcome, score, says)


def _scale_suits(p: PrintFacts, q: QuiltFacts) -> Verdict:
    """A small print is lost in a large patch: it reads as plain there and shows its repeating."""
    motif = max(p.motif, _TEXTURE)
    ratio = q.window / motif
    score = min(1.0, max(0.2, 1.0 - 0.35 * math.log2(max(ratio, 1e-9) / _MOST_MOTIFS)))
    outcome: Outcome = "pass" if ratio <= 2 * _MOST_MOTIFS else "caution"
    what = f"a motif of {_inches(p.motif)}" if p.motif else "a texture"
    says = f"{what} in patches of {_inches(q.window)}"
    if outcome == "caution":
        says += ": a print as small as this reads as plain in patches as large"
    return verdict("scale-suits", outcome, score, says)


def _upright(p: PrintFacts, q: QuiltFacts) -> Verdict:
    if p.direction in ("non-directional", "four-way"):
        return verdict("upright", "pass", 1.0, f"a {p.direction} print may lie any way")
    if not q.independent:
        return verdict(
            "upright",
            "fail",
            0.0,
            "main patches are sliced from strips: nobody chooses which way is up",
        )
    if q.upright:
        return verdict("upright", "pass", 1.0, "cut independently, every patch upright")
    if p.direction == "two-way" and q.half_turned:
        return verdict(
            "upright",
            "pass",
            0.95,
            "some patches are turned half round, which a two-way print allows",
        )
    return verdict("upright", "fail", 0.0, "patches turn with their blocks")


def _not_sliced(p: PrintFacts, q: QuiltFacts) -> Verdict:
    if q.independent and q.small_share < 0.25:
        return verdict("independent", "pass", 1.0, "the print is shown in large patches")
    if q.independent:
        return verdict(
            "independent",
            "caution",
            0.6,
            f"{q.small_share:.0%} of the print's area is in small patches",
        )
    tolerable = p.motif < 1.0
    return verdict(
        "independent",
        "caution" if tolerable else "fail",
        0.5 if tolerable else 0.0,
        f"the print is sliced into strips; its motif is {_inches(p.motif)}",
    )


def _shows_enough(p: PrintFacts, q: QuiltFacts) -> Verdict:
    best = 0.35
    score = max(0.0, 1.0 - abs(q.main_share - best) / best)
    outcome: Outcome = "pass" if 0.15 <= q.main_share <= 0.6 else "caution"
    return verdict(
        "shows-enough",
        outcome,
        score,
        f"{q.main_patches} main patches, {q.main_share:.0%} of the quilt",
    )


def _room(p: PrintFacts, q: QuiltFacts) -> Verdict:
    need = 0.2 + 0.4 * p.loudness
    score = min(1.0, q.touching / need)
    outcome: Outcome = "pass" if q.touching >= need else "caution"
    return verdict(
        "room",
        outcome,
        score,
        f"{q.touching:.0%} of the main patches' edges lie against quiet background",
    )


def _piecing(p: PrintFacts, q: QuiltFacts) -> Verdict:
    score = min(1.0, q.piecing / 4.0)
    outcome: Outcome = "pass" if q.piecing >= 1.5 else "caution"
    return verdict(
        "piecing", outcome, score, f"{q.piecing:.1f} companion patches to the square foot"
    )


def _difficulty(q: QuiltFacts, level: str | None) -> Verdict:
    """One step above the maker's level is a caution, more is not kind."""
    reasons = f" ({'; '.join(q.reasons[:3])})" if q.reasons else ", nothing in it is hard"
    word = WORDS[q.level]
    if level is None:
        hardest = q.level == len(WORDS) - 1
        return verdict(
            "difficulty", "caution" if hardest else "pass", 1.0 - 0.2 * q.level, f"{word}{reasons}"
        )
    above = q.level - WORDS.index(level)
    outcome: Outcome = "pass" if above <= 0 else "caution" if above == 1 else "fail"
    score = (1.0, 0.5, 0.1, 0.0)[max(0, above)]
    return verdict(
        "difficulty",
        outcome,
        score,
        f"{word}, for a maker who is at '{level}'{reasons}",
        weight=1.5,
    )


def _size(q: QuiltFacts, size: tuple[float, float]) -> Verdict:
    found = f"{_inches(q.width)} x {_inches(q.height)}"
    miss = max(abs(q.width - size[0]) / size[0], abs(q.height - size[1]) / size[1])
    outcome: Outcome = "pass" if miss <= 0.05 else "caution" if miss <= 0.2 else "fail"
    wanted = f"{_inches(size[0])} x {_inches(size[1])}"
    return verdict("size", outcome, max(0.0, 1.0 - 3 * miss), f"comes out {found}; wanted {wanted}")


PATTERN_RULES: tuple[Callable[[PrintFacts, QuiltFacts], Verdict], ...] = (
    _motif_fits,
    _scale_suits,
    _upright,
    _not_sliced,
    _shows_enough,
    _room,
    _piecing,
)


def judge(p: PrintFacts, q: QuiltFacts, wish: Wish = Wish()) -> tuple[Verdict, ...]:
    """All rules' verdicts on a print in a quilt."""
    verdicts = [rule(p, q) for rule in PATTERN_RULES]
    verdicts.append(_difficulty(q, wish.level))
    if wish.size:
        verdicts.append(_size(q, wish.size))
    return tuple(verdicts)


def cloth_verdict(plan: CutPlan, role: str) -> Verdict:
    """Whether the print at hand is enough, by the cutting plan; of one to be bought, how much."""
    found = next((f for f in plan.fabrics if f.role == role), None)
    if found is None:
        return verdict("cloth", "pass", 1.0, "no cloth of this print is needed")
    if found.have is None:
        amount = _inches(found.buy)
        return verdict("cloth", "pass", 1.0, f"buy {amount}; {found.why}", weight=0.0)
    outcome: Outcome = (
        "pass" if found.status == "fits" else ("caution" if found.status == "unknown" else "fail")
    )
    score = {"pass": 1.0, "caution": 0.4, "fail": 0.0}[outcome]
    return verdict("cloth", outcome, score, found.why)
