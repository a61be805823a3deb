"""The cloth on hand: a folder of swatches read into its index, listed, and the index cared for."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from quiltgeom.documents.companion_sheet import cloth_sheet
from quiltgeom.jobs.arguments import checks_arguments
from quiltgeom.library.corrections import declared_fabric
from quiltgeom.onhand.export import export_index as export_index
from quiltgeom.onhand.index import Swatch, open_index
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.onhand.repair.check import check_index as check_index
from quiltgeom.onhand.repair.index_care import backup_index as backup_index
from quiltgeom.onhand.repair.index_care import repair_index as repair_index
from quiltgeom.onhand.stock import IndexReport
from quiltgeom.render.answer import Answer
from quiltgeom.render.scene import Scene
from quiltgeom.units import format_inches


@dataclass(frozen=True, repr=False)
class ClothOnHand(Answer):
    """What is on hand, as its index has it.

    Attributes:
        report: what was read into the index now.
    """

    report: IndexReport

    def __repr__(self) -> str:
        return f"<ClothOnHand: {self.report.index}, {self.report.found} found>"

    def to_json(self) -> dict[str, Any]:
        """Everything: the list is called ``swatches``. Lengths in inches."""
        with open_index(self.report.index) as index:
            return index.to_json()

    def lines(self) -> list[str]:
        """Every swatch that was read, with its amounts, its looks and its owner's notes."""
        out = []
        with open_index(self.report.index) as index:
            for s in index.swatches():
                if s.status == "read":
                    row = [f"{s.name:<24}", f"{_amount(s):<16}", index.gist(s), s.notes]
                    out.append("  ".join(row).rstrip())
        return out

    def notes(self) -> list[str]:
        """What was found, read, followed, and could not be read."""
        report = self.report
        out = [f"not read: {path}: {reason}" for path, reason in report.unreadable]
        out += [f"followed: {before} -> {after}" for before, after in report.moved]
        numbers = [f"{report.found} found", f"{report.read} read now", f"{report.missing} gone"]
        numbers.append(f"{len(report.unreadable)} unreadable")
        if report.waiting:
            numbers.append(f"{report.waiting} left for the next run")
        if report.older:
            numbers.append(
                f"{report.older} read by an earlier version (again=True reads them anew)"
            )
        return [*out, f"{report.index}: " + ", ".join(numbers)]

    def scenes(self) -> list[Scene]:
        """The swatches that were read, with their names and amounts."""
        with open_index(self.report.index) as index:
            read = [s for s in index.swatches() if s.status == "read"]
        cloths = [
            (declared_fabric(s.name, image=s.path, width=s.picture_width), _amount(s)) for s in read
        ]
        return cloth_sheet(cloths, title="Cloth on hand")


def _amount(swatch: Swatch) -> str:
    amounts = (swatch.width_on_hand, swatch.length_on_hand)
    return " x ".join(format_inches(v) for v in amounts if v is not None)


@checks_arguments()
def on_hand(
    folder: str | Path,
    index: str | Path | None = None,
    *,
    width: float | None = None,
    workers: int | None = None,
    quick: bool = False,
    again: bool = False,
    swatch: str | None = None,
    notes: Mapping[str, Any] | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> ClothOnHand:
    """Bring the index of a folder of swatches up to date, and list what is on hand.

    Args:
        folder, index, width, workers, quick, again, progress: as of
            :func:`~quiltgeom.onhand.indexing.index_folder`.
        swatch: name or file of a swatch of which something is to be written down.
        notes: that, as of :meth:`~quiltgeom.onhand.index.OnHand.say`.

    Raises:
        QuiltError: the folder or the index cannot be used, or there is no such swatch.
    """
    report = index_folder(
        folder, index, width=width, workers=workers, quick=quick, again=again, progress=progress
    )
    if swatch:
        with open_index(report.index) as found:
            found.say(found.find(swatch), **(notes or {}))
    return ClothOnHand(report)
