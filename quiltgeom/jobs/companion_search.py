"""From a photo and a place with swatches to companions or substitutes, and their sheet."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from quiltgeom.documents.companion_sheet import cloth_sheet, companion_sheet, trios
from quiltgeom.errors import QuiltFileError
from quiltgeom.jobs.arguments import checks_arguments
from quiltgeom.jobs.read_print import Swatch, swatch_of
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching.alike import something_like
from quiltgeom.matching.companion_rules import Ground
from quiltgeom.matching.companions import Companion, Companions, companions_for
from quiltgeom.matching.verdicts import MARKS, OUTCOME_WORDS
from quiltgeom.model.fabric import Fabric
from quiltgeom.onhand.features import Shelf
from quiltgeom.onhand.index import open_index
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.onhand.scan import digest_of
from quiltgeom.render.answer import Answer
from quiltgeom.render.scene import Scene

Progress = Callable[[int, int], None]


@dataclass(frozen=True, repr=False)
class Found(Answer):
    """A print and the companions proposed for it.

    Attributes:
        swatch: the print.
        companions: the proposals.
        pattern: in which the sheet shows them, with background and accent; None: one that shows
            all three cloths well.
        notes: where the swatches' index is kept, and which of them were left out.
    """

    swatch: Swatch
    companions: Companions
    pattern: str | Path | None = None
    notes: tuple[str, ...] = ()

    @property
    def fabrics(self) -> dict[str, Fabric]:
        """By role the print (focus) and the first pair, ready for a preview; that of others:
        ``companions.pairs[1].fabrics``."""
        pairs = self.companions.pairs
        return {"focus": self.swatch.fabric, **(pairs[0].fabrics if pairs else {})}

    def to_json(self) -> dict[str, Any]:
        """Every pair with all verdicts."""
        return self.companions.to_json()

    def lines(self) -> list[str]:
        """The pairs, the best first, with the reason for every verdict."""
        out = []
        for rank, pair in enumerate(self.companions.pairs, 1):
            names = f"{pair.background.name} + {pair.accent.name}"
            out.append(f"{rank}  {names}: {OUTCOME_WORDS[pair.outcome]}")
            out += [f"   {MARKS[v.outcome]} {v.sentence}" for v in pair.verdicts]
            for chosen in (pair.background, pair.accent):
                out += [f"   {chosen.role} {chosen.name}", *chosen.lines()]
        return out + [f"Note: {note}" for note in self.notes]

    def scenes(self) -> list[Scene]:
        """The first six trios sewn up, in cloth and in greys."""
        focus = self.fabrics["focus"]
        chosen = load_patterns().get(self.pattern) if self.pattern else None
        made = trios(focus, self.companions.pairs[:6], chosen)
        return [companion_sheet(made, title=f"Companions for {self.swatch.photo.stem}")]


@checks_arguments()
def companions(
    print_: Any,
    place: str | Path,
    *,
    width: float | None = None,
    swatch_width: float | None = None,
    ground: Ground = "light",
    need: Mapping[str, tuple[float, float]] | None = None,
    most: int = 6,
    pattern: str | Path | None = None,
    progress: Progress | None = None,
) -> Found:
    """Read a print and propose companions from what is on hand.

    Args:
        print_: a photo of it (file, array or Pillow image), or what :func:`read` made of one.
        place: a folder of swatches, whose index (``on-hand.sqlite`` in it, so that each is read
            once) is made or brought up to date first; or an index file, which is taken as it is.
        width: real width of the photo, inches.
        swatch_width: real width of swatches' pictures of which nothing else is said.
        ground, need, most: see :func:`~quiltgeom.matching.companions.companions_for`.
        pattern: of the sheet; see :class:`Found`.
        progress: called with (done, total) swatches.

    Raises:
        QuiltError: the photo, the folder or the index cannot be used, or nothing is on hand.
    """
    swatch = swatch_of(print_, width)
    shelf, notes = _shelf(Path(place), swatch_width, progress)
    own = [_digest(swatch.photo)]
    found = companions_for(
        swatch.reading, shelf, most=most, ground=ground, need=need, leave_out=own
    )
    return Found(swatch, found, pattern, notes)


@dataclass(frozen=True, repr=False)
class Alike(Answer):
    """What on hand is most like a print.

    Attributes:
        cloths: the nearest first, each with its verdicts.
    """

    cloths: tuple[Companion, ...]

    def to_json(self) -> dict[str, Any]:
        """Each with all verdicts: the list is called ``swatches``."""
        return {"swatches": [c.to_json() for c in self.cloths]}

    def lines(self) -> list[str]:
        """Each with the reason for every verdict."""
        out = []
        for place, cloth in enumerate(self.cloths, 1):
            out += [f"{place}  {cloth.name}: {OUTCOME_WORDS[cloth.outcome]}", *cloth.lines()]
        return out

    def scenes(self) -> list[Scene]:
        """Their pictures."""
        cloths = [(c.fabric, OUTCOME_WORDS[c.outcome]) for c in self.cloths]
        return cloth_sheet(cloths, title="Something like it")


@checks_arguments()
def find_alike(
    print_: Any,
    place: str | Path,
    *,
    width: float | None = None,
    swatch_width: float | None = None,
    most: int = 6,
    progress: Progress | None = None,
) -> Alike:
    """Read a print and find the nearest to it on hand; arguments as of :func:`companions`."""
    swatch = swatch_of(print_, width)
    shelf, _ = _shelf(Path(place), swatch_width, progress)
    own = [_digest(swatch.photo)]
    return Alike(something_like(swatch.reading, shelf, most=most, leave_out=own))


def _digest(photo: Path) -> str:
    """The photo's digest."""
    try:
        return digest_of(photo.read_bytes())
    except OSError as e:
        raise QuiltFileError(f"picture {photo}: cannot be read ({e.strerror})") from e


def _shelf(
    place: Path, width: float | None, progress: Progress | None
) -> tuple[Shelf, tuple[str, ...]]:
    """What is on hand, and what to say of that."""
    notes = []
    if place.is_dir():
        report = index_folder(place, width=width, quick=True, progress=progress)
        report.check_widths()
        notes.append(f"what was read of the swatches is kept as {place / report.index.name}")
        if report.without_width:
            notes.append(f"{report.without_width} swatches have no width and were left out")
    with open_index(place) as index:
        return index.shelf(), tuple(notes)
