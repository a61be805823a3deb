"""Patterns for a print."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from quiltgeom.documents.sheet import LETTER, Picture, picture_sheet
from quiltgeom.jobs.arguments import checks_arguments
from quiltgeom.jobs.read_print import Swatch, swatch_of
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching.facts import PrintFacts
from quiltgeom.matching.rank import PatternFit, rank_patterns
from quiltgeom.matching.verdicts import MARKS, OUTCOME_WORDS
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.render.answer import Answer
from quiltgeom.render.mockup import mockup
from quiltgeom.render.preview import Cloths, as_fabrics
from quiltgeom.render.scene import Scene


@dataclass(frozen=True, repr=False)
class Match(Answer):
    """Patterns for a print, the best first.

    Attributes:
        swatch: the print.
        facts: what the rules looked at.
        fits: every pattern in the size that suits best, with its verdicts.
        fabrics: companions with which it is shown.
    """

    swatch: Swatch
    facts: PrintFacts
    fits: tuple[PatternFit, ...]
    fabrics: Mapping[str, Fabric]

    def to_json(self) -> dict[str, Any]:
        """Print and patterns with all verdicts."""
        facts = self.facts
        seen = {"motif_in": facts.motif, "direction": facts.direction, "loudness": facts.loudness}
        rows = [fit.to_json() | {"window_in": fit.facts.window} for fit in self.fits]
        return {"print": seen | {"unsure": list(facts.unsure)}, "patterns": rows}

    def __repr__(self) -> str:
        return f"<Match: {len(self.fits)} patterns, first {self.fits[0].pattern.name}>"

    def lines(self) -> list[str]:
        """The patterns in order, with the reason for every verdict."""
        out = [f"Note: {doubt}" for doubt in self.facts.unsure]
        for place, fit in enumerate(self.fits, 1):
            word = OUTCOME_WORDS[fit.outcome]
            out.append(f"{place:2d}  {fit.pattern.name}  ({fit.pattern.key}): {word}")
            out += [f"      {MARKS[v.outcome]} {v.title}: {v.sentence}" for v in fit.verdicts]
        return out

    def scenes(self) -> list[Scene]:
        """The six best in this print, each with the word that decides."""
        fabrics, pictures = {**self.fabrics, "focus": self.swatch.fabric}, []
        for place, fit in enumerate(self.fits[:6], 1):
            worst = min(fit.verdicts, key=lambda v: (v.score, -v.weight))
            words = f"{OUTCOME_WORDS[fit.outcome]}: {worst.title}: {worst.sentence}"
            head = f"{place}  {fit.pattern.name}"
            pictures.append(Picture(mockup(fit.quilt, fabrics).scene, head, words))
        title, paper = f"Patterns for {self.swatch.photo.stem}", LETTER[::-1]
        return picture_sheet(pictures, title=title, paper=paper, columns=3, rows=2)


@checks_arguments()
def match(
    print_: Any,
    width: float | None = None,
    *,
    size: tuple[float, float] | None = None,
    level: str | None = None,
    patterns: Sequence[Pattern] | None = None,
    fabrics: Cloths | None = None,
    loudness: float | None = None,
) -> Match:
    """Rank patterns for a print: first those of which fewest rules fail, then by their scores.

    A pattern may stand before another that "suits" although one of its rules says "look again":
    the others then speak the more for it.

    Args:
        print_: a photo (file, array or Pillow image), or what :func:`read` made of it.
        width: real width of the photo, inches.
        size: wanted finished width and height, inches.
        level: what the maker can sew: ``"first quilt"``, ``"comfortable"``, ``"experienced"`` or
            ``"challenge"``.
        patterns: to choose from; None: those of the library.
        fabrics: companions with which it is shown, by role.
        loudness: your word, 0 (solid) to 1.
    """
    swatch = swatch_of(print_, width)
    facts = swatch.facts if loudness is None else replace(swatch.facts, loudness=loudness)
    known = load_patterns() if patterns is None else patterns
    return Match(
        swatch, facts, tuple(rank_patterns(known, facts, size, level=level)), as_fabrics(fabrics)
    )
