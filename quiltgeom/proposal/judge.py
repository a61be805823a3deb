"""Verdicts on what is seen: from the patches as they are placed, and on the cloths beside them."""

from collections.abc import Mapping, Sequence

from quiltgeom.colour import from_hex, lab_to_lch, rgb_to_lab
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.fabric.reading.value import SOLID
from quiltgeom.matching.verdicts import Outcome, Verdict, verdict
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.quilt import Piece, Quilt
from quiltgeom.proposal.seen import Seen
from quiltgeom.render.lay import outside_words
from quiltgeom.tolerance import LEAST_DIVISOR

SLICED = 0.2
"""Share of the visible motifs that may be cut through before it has to be looked at."""

_GUESSED, _SHOWN, _VOICE = 0.1, 0.5, 0.6
"""Patches that may show more than the photo; the least of a print that should appear; how loud
companions may be together, as a part of the print."""


def judge_placed(pieces: Sequence[Piece], fabric: Fabric, motif: float) -> list[Verdict]:
    """Whether the print stands as it must in its patches, and is not cut up small.

    Args:
        pieces: the patches of the print, as placed.
        fabric: the print.
        motif: size of a typical motif, inches; 0 if there are none, or none are known.
    """
    allowed = {"one-way": 360.0, "two-way": 180.0, "four-way": 90.0}.get(fabric.direction)
    wrong = [p for p in pieces if allowed and _off(p.lie_deg, allowed) > 1.0]
    words = f"upright in all {len(pieces)} patches" if allowed else "the print may lie any way"
    upright = verdict("upright", "pass", 1.0, words)
    if wrong:
        words = f"not upright in {len(wrong)} of {len(pieces)} patches"
        upright = verdict("upright", "fail", 0.0, words)
    area = sum(p.area for p in pieces)
    small = sum(p.area for p in pieces if _narrow(p) < motif) / area if area else 0.0
    outcome: Outcome = "pass" if small <= 0.25 else "caution" if small <= 0.6 else "fail"
    words = f"{small:.0%} of the print lies in patches smaller than its motif"
    return [upright, verdict("cut-up", outcome, 1.0 - small, words)]


def _off(degrees: float, step: float) -> float:
    return abs((degrees + step / 2) % step - step / 2)


def _narrow(piece: Piece) -> float:
    x0, y0, x1, y1 = piece.polygon.bounds
    return float(min(x1 - x0, y1 - y0))


def judge_seen(seen: Seen, reading: Reading) -> list[Verdict]:
    """What the main patches show of the print's motifs, and of the print at all."""
    return [_whole(seen, reading), _joins(seen, reading), _guessed(seen), _appears(seen)]


def _without_motifs(reading: Reading) -> bool:
    return reading.loudness <= SOLID or reading.direction.figure != "print"


def _whole(seen: Seen, reading: Reading) -> Verdict:
    count = len(seen.patches)
    if not seen.motifs:
        if _without_motifs(reading):
            return verdict("whole-motifs", "pass", 1.0, "the print has no single motifs to cut")
        words = "we could not tell its motifs apart: look whether any is cut through"
        return verdict("whole-motifs", "caution", 0.6, words)
    visible = seen.whole + seen.sliced
    sliced = seen.sliced / visible if visible else 1.0
    held = 1.0 - seen.absent / count if count else 0.0
    outcome: Outcome = "pass" if sliced <= SLICED and held >= 0.5 else "caution"
    words = (
        f"{seen.whole} motifs show whole, {seen.sliced} are cut by a seam; "
        f"{count - seen.absent} of {count} patches hold a whole one"
    )
    return verdict("whole-motifs", outcome, 0.5 * held + 0.5 * (1.0 - sliced), words)


def _joins(seen: Seen, reading: Reading) -> Verdict:
    if seen.joined and not seen.motifs and not _without_motifs(reading):
        words = (
            f"{seen.joined} patches of the print meet another; "
            "we could not tell whether a motif is cut there"
        )
        return verdict("one-cloth-seams", "caution", 0.6, words)
    if not seen.at_joins:
        words = "no seam between two patches of the print cuts a motif"
        return verdict("one-cloth-seams", "pass", 1.0, words)
    share = seen.at_joins / max(1, seen.whole + seen.sliced)
    words = f"{seen.at_joins} motifs are cut where two patches of the print meet"
    return verdict("one-cloth-seams", "caution", max(0.0, 1.0 - 2 * share), words)


def _guessed(seen: Seen) -> Verdict:
    count = len(seen.patches)
    if not seen.guessed:
        outside = sum(p.outside for p in seen.patches)
        words = "the photo shows all that the patches show"
        if outside:
            where = outside_words(outside, count, False)
            words = f"the photo shows the whole print: {where}, there it goes on by its repeat"
        return verdict("guessed", "pass", 1.0, words)
    share = seen.guessed / count
    larger = all(p.larger for p in seen.patches if p.guessed > 0.01)
    words = (
        f"{outside_words(seen.guessed, count, larger)}: there we guessed the cloth, it will look "
        "different"
    )
    return verdict("guessed", "caution" if share > _GUESSED else "pass", 1.0 - share, words)


def _appears(seen: Seen) -> Verdict:
    lost = f"; nowhere to be seen: {', '.join(seen.lost)}" if seen.lost else ""
    motifs = f", {seen.appear} of its {seen.motifs} motifs whole" if seen.motifs else ""
    outcome: Outcome = "pass" if seen.shown >= _SHOWN and not seen.lost else "caution"
    words = f"{seen.shown:.0%} of the print is used{motifs}{lost}"
    return verdict("appears", outcome, min(1.0, seen.shown / _SHOWN), words)


def judge_companions(
    quilt: Quilt, fabrics: Mapping[str, Fabric], readings: Mapping[str, Reading], main: str
) -> Verdict:
    """Whether the print leads: loudness, area and colour of the companions against its own."""
    unknown = [r for r, f in fabrics.items() if f.image and r not in readings]
    if main not in readings or unknown:
        names = ", ".join(sorted({*unknown, *([main] if main not in readings else [])}))
        words = f"we could not tell how loud everything is: {names} was not read"
        return verdict("companions-quiet", "caution", 0.6, words)
    area = quilt.area_by_role
    prominence = {r: area[r] * _prominence(fabrics.get(r), readings.get(r)) for r in quilt.roles}
    own = prominence.pop(main) or LEAST_DIVISOR
    share = sum(prominence.values()) / own
    outcome: Outcome = "pass" if share <= _VOICE else "caution"
    loudest = max(prominence, key=lambda r: prominence[r], default="")
    words = "the companions stay behind the print"
    if outcome != "pass":
        words = f"the companions speak nearly as loud as the print, {loudest} the most"
    return verdict("companions-quiet", outcome, max(0.0, min(1.0, 1.5 - share)), words)


def _prominence(fabric: Fabric | None, reading: Reading | None) -> float:
    """How much a square inch of a cloth is noticed: its pattern, more so in strong colours."""
    if reading is not None:
        return (0.05 + reading.loudness) * (0.5 + reading.chroma.mean / 60.0)
    if fabric is None or fabric.colour is None:
        return 0.0
    return 0.05 * (0.5 + float(lab_to_lch(rgb_to_lab(from_hex(fabric.colour)))[1]) / 60.0)
