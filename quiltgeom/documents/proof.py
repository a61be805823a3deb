"""The six patterns that suit a print best, shown in that print."""

from collections.abc import Mapping, Sequence

from quiltgeom.documents.sheet import LETTER, Picture, picture_sheet
from quiltgeom.matching.rank import PatternFit
from quiltgeom.matching.verdicts import OUTCOME_WORDS
from quiltgeom.model.fabric import Fabric
from quiltgeom.render.mockup import mockup
from quiltgeom.render.scene import Scene


def ranking_sheet(
    fits: Sequence[PatternFit],
    fabrics: Mapping[str, Fabric],
    *,
    title: str,
    most: int = 6,
    paper: tuple[float, float] = (LETTER[1], LETTER[0]),
) -> Scene:
    """One page: the first ``most`` patterns in real cloth, each with the word that decides.

    Args:
        fits: ranked, best first.
        fabrics: by role; roles without one are drawn in plain colours.
    """
    pictures = []
    for place, fit in enumerate(fits[:most], 1):
        made = mockup(fit.quilt, fabrics)
        worst = min(fit.verdicts, key=lambda v: (v.score, -v.weight))
        words = f"{OUTCOME_WORDS[fit.outcome]}: {worst.title}: {worst.sentence}"
        pictures.append(Picture(made.scene, f"{place}  {fit.pattern.name}", words))
    return picture_sheet(pictures, title=title, paper=paper, columns=3, rows=2)[0]
