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
from quiltgeom.units import INCHES


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


_Judged = tuple[Outcome, float, str]
"""Outcome, score and reason by one rule."""


def _motif_fits(p: PrintFacts, q: QuiltFacts) -> _Judged:
    shown = f"main patches show {INCHES.near(q.window)} square"
    if not p.motif and not p.motif_known:
        return "caution", 0.6, f"we could not tell how large its motifs are; {shown}"
    if not p.motif:
        return "pass", 1.0, f"{shown}; the print has no motif that could be cut through"
    ratio = q.window / p.motif
    repeat = max(p.repeat.width, p.repeat.height) if p.repeat else 0.0
    whole_repeat = repeat and q.window >= repeat
    score = 1.0 if whole_repeat else min(0.97, max(0.0, (ratio - 0.6) / 0.9))
    enough = 1.15 if p.motif_known else math.inf
    outcome: Outcome = "fail" if ratio < 1 else "pass" if ratio >= enough else "caution"
    motif = "the motif is" if p.motif_known else "we could not tell the motif's size and took"
    whole = f" and a whole repeat of {INCHES.near(repeat)} fits" if whole_repeat else ""
    return outcome, score, f"{shown}; {motif} {INCHES.near(p.motif)}{whole}"


def _scale_suits(p: PrintFacts, q: QuiltFacts) -> _Judged:
    """A small print is lost in a large patch: it reads as plain there and shows its repeating."""
    motif = max(p.motif, _TEXTURE)
    ratio = q.window / motif
    score = max(0.2, 1.0 - 0.35 * math.log2(max(ratio / _MOST_MOTIFS, 1.0)))
    what = f"a motif of {INCHES.near(p.motif)}" if p.motif else "a texture"
    says = f"{what} in patches of {INCHES.near(q.window)}"
    if ratio <= 2 * _MOST_MOTIFS:
        return "pass", score, says
    return "caution", score, f"{says}: a print as small as this reads as plain in patches as large"


def _upright(p: PrintFacts, q: QuiltFacts) -> _Judged:
    if p.direction in ("non-directional", "four-way"):
        return "pass", 1.0, f"a {p.direction} print may lie any way"
    if not q.independent:
        return "fail", 0.0, "main patches are sliced from strips: nobody chooses which way is up"
    if q.upright:
        return "pass", 1.0, "cut independently, every patch upright"
    if p.direction == "two-way" and q.half_turned:
        return "pass", 0.95, "some patches are turned half round, which a two-way print allows"
    return "fail", 0.0, "patches turn with their blocks"


def _not_sliced(p: PrintFacts, q: QuiltFacts) -> _Judged:
    if q.independent and q.small_share < 0.25:
        return "pass", 1.0, "the print is shown in large patches"
    if q.independent:
        return "caution", 0.6, f"{q.small_share:.0%} of the print's area is in small patches"
    says = f"the print is sliced into strips; its motif is {INCHES.near(p.motif)}"
    return ("caution", 0.5, says) if p.motif < 1.0 else ("fail", 0.0, says)


def _shows_enough(p: PrintFacts, q: QuiltFacts) -> _Judged:
    best = 0.35
    score = max(0.0, 1.0 - abs(q.main_share - best) / best)
    says = f"{q.main_patches} main patches, {q.main_share:.0%} of the quilt"
    return "pass" if 0.15 <= q.main_share <= 0.6 else "caution", score, says


def _room(p: PrintFacts, q: QuiltFacts) -> _Judged:
    need = 0.2 + 0.4 * p.loudness
    says = f"{q.touching:.0%} of the main patches' edges lie against quiet background"
    return "pass" if q.touching >= need else "caution", min(1.0, q.touching / need), says


def _piecing(p: PrintFacts, q: QuiltFacts) -> _Judged:
    says = f"{q.piecing:.1f} companion patches to the square foot"
    return "pass" if q.piecing >= 1.5 else "caution", min(1.0, q.piecing / 4.0), says


def _difficulty(q: QuiltFacts, level: str | None) -> Verdict:
    """One step above the maker's level is a caution, more is not kind."""
    reasons = f" ({'; '.join(q.reasons[:3])})" if q.reasons else ", nothing in it is hard"
    word = WORDS[q.level]
    outcome: Outcome = "caution" if q.level == len(WORDS) - 1 else "pass"
    if level is None:
        return verdict("difficulty", outcome, 1.0 - 0.2 * q.level, f"{word}{reasons}")
    above = q.level - WORDS.index(level)
    outcome = "pass" if above <= 0 else "caution" if above == 1 else "fail"
    score = (1.0, 0.5, 0.1, 0.0)[max(0, above)]
    says = f"{word}, for a maker who is at '{level}'{reasons}"
    return verdict("difficulty", outcome, score, says, weight=1.5)


def _size(q: QuiltFacts, size: tuple[float, float]) -> Verdict:
    found = f"{INCHES.near(q.width)} x {INCHES.near(q.height)}"
    miss = max(abs(q.width - size[0]) / size[0], abs(q.height - size[1]) / size[1])
    outcome: Outcome = "pass" if miss <= 0.05 else "caution" if miss <= 0.2 else "fail"
    wanted = f"{INCHES.near(size[0])} x {INCHES.near(size[1])}"
    return verdict("size", outcome, max(0.0, 1.0 - 3 * miss), f"comes out {found}; wanted {wanted}")


PATTERN_RULES: tuple[tuple[str, Callable[[PrintFacts, QuiltFacts], _Judged]], ...] = (
    ("motif-fits", _motif_fits),
    ("scale-suits", _scale_suits),
    ("upright", _upright),
    ("independent", _not_sliced),
    ("shows-enough", _shows_enough),
    ("room", _room),
    ("piecing", _piecing),
)


def judge(p: PrintFacts, q: QuiltFacts, wish: Wish = Wish()) -> tuple[Verdict, ...]:
    """All rules' verdicts on a print in a quilt."""
    verdicts = [verdict(key, *rule(p, q)) for key, rule in PATTERN_RULES]
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
        amount = INCHES.near(found.buy)
        return verdict("cloth", "pass", 1.0, f"buy {amount}; {found.why}", weight=0.0)
    if found.status == "fits":
        return verdict("cloth", "pass", 1.0, found.why)
    unknown = found.status == "unknown"
    return verdict("cloth", "caution" if unknown else "fail", 0.4 if unknown else 0.0, found.why)
