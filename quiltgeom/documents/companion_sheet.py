"""The picture of a search for companions: the print in proposed trios, in cloth and in greys."""

from collections.abc import Sequence
from dataclasses import dataclass

from quiltgeom.documents.sheet import LETTER, Picture, picture_sheet
from quiltgeom.errors import QuiltValueError
from quiltgeom.fabric.cloth import cloth_of
from quiltgeom.geometry.outline import rectangle
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching.companions import Companion, Pair
from quiltgeom.matching.separation import SeamContrast
from quiltgeom.matching.verdicts import OUTCOME_WORDS, Outcome, worst
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.render.greyscale_check import Separation, check_separation
from quiltgeom.render.lay import lie_matrix
from quiltgeom.render.mockup import mockup
from quiltgeom.render.scene import ClothPaint, Fill, Scene, path_of

SHEET_PATTERN = "gull-cove"
"""A pattern with large patches of print, a background round them and an accent that is pieced."""

_GREYS = 0.42  # size of the greyscale picture beside the one in cloth
_GAP = 0.04


@dataclass(frozen=True)
class Trio:
    """A proposed pair sewn up with its print.

    Attributes:
        scene: the mockup, with its greys beside it.
        separation: the greyscale check of this very picture.
    """

    pair: Pair
    scene: Scene
    separation: Separation

    @property
    def words(self) -> str:
        """What decides, in short: where each colour comes from, what the greys say, doubts."""
        chosen = (self.pair.background, self.pair.accent)
        parts = [f"{c.role}: {_colour(c)}" for c in chosen]
        parts += [
            _greys(s)
            for s in sorted(self.separation.seams, key=lambda s: s.show)
            if not s.show or s.outcome != "pass"
        ]
        named = ("colour", "sets-off")
        doubts = [
            f"{c.role}: {v.title}"
            for c in chosen
            for v in c.verdicts
            if v.outcome != "pass" and v.rule not in named
        ]
        if doubts:
            parts.append("look at " + ", ".join(doubts))
        return ". ".join(p[:1].upper() + p[1:] for p in parts) + "."

    @property
    def outcome(self) -> Outcome:
        """The worst of all."""
        return worst([self.pair, self.separation])


def _colour(chosen: Companion) -> str:
    return next(v.sentence for v in chosen.verdicts if v.rule == "colour")


def _greys(seam: SeamContrast) -> str:
    lost = f", {seam.lost:.0%} of their seam lost" if seam.lost >= 0.005 else ""
    return f"in greys {seam.roles[0]} and {seam.roles[1]} {seam.steps:.1f} steps apart{lost}"


def trios(focus: Fabric, pairs: Sequence[Pair], pattern: Pattern | None = None) -> list[Trio]:
    """Sew each pair up with the print, two blocks by two.

    Args:
        pattern: None takes :data:`SHEET_PATTERN`.

    Raises:
        QuiltValueError: the pattern has no background or no accent.
    """
    pattern = pattern or load_patterns().get(SHEET_PATTERN)
    if not {"background", "accent"} <= set(pattern.roles):
        raise QuiltValueError(
            f"pattern {pattern.key}: found roles {', '.join(pattern.roles)}; accepted: a pattern "
            "with background and accent"
        )
    quilt = lay_out(pattern, rows=2, columns=2)
    made = []
    for pair in pairs:
        fabrics = {pattern.main_role: focus, **pair.fabrics}
        cloth, check = mockup(quilt, fabrics).scene, check_separation(quilt, fabrics)
        w, h = cloth.width, cloth.height
        both = Scene(w * (1 + _GAP + _GREYS), h)
        both = both.with_scene(cloth, 0, 0).with_scene(
            check.scene, w * (1 + _GAP), h * (1 - _GREYS), _GREYS
        )
        made.append(Trio(pair, both, check))
    return made


def companion_sheet(made: Sequence[Trio], *, title: str) -> Scene:
    """One page: up to six trios with their reasons."""
    pictures = []
    for k, t in enumerate(made[:6], 1):
        names = f"{t.pair.background.name} + {t.pair.accent.name}"
        head = f"{k}  {names}: {OUTCOME_WORDS[t.outcome]}"
        pictures.append(Picture(t.scene, head, t.words, frame=False))
    return picture_sheet(
        pictures, title=title, paper=LETTER[::-1], columns=3, rows=2, word_lines=6
    )[0]


def cloth_square(fabric: Fabric) -> Scene:
    """Four inches square of a cloth that has a picture, upright."""
    side = min(4.0, fabric.width or 4.0)
    a, b, c, d = lie_matrix(-fabric.up_deg)
    cloth = cloth_of(fabric)
    # about the swatch's middle, so that a turned one still fills the square
    u, v = cloth.width / 2, cloth.height / 2
    matrix = (a, b, c, d, side / 2 - (a * u + c * v), side / 2 - (b * u + d * v))
    fill = Fill(path_of(rectangle(0, 0, side, side)), ClothPaint(cloth, matrix))
    return Scene(side, side).with_items(fill, label="cloth")


def cloth_sheet(cloths: Sequence[tuple[Fabric, str]], *, title: str) -> list[Scene]:
    """Pages of cloths on hand: four inches square of each, its name, a few words."""
    pictures = [Picture(cloth_square(f), f.name, words) for f, words in cloths]
    return picture_sheet(pictures, title=title, columns=4, rows=4)
