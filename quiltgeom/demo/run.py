"""Everything that ``quiltgeom demo`` makes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from quiltgeom.demo.swatches import SWATCHES, write_swatches
from quiltgeom.documents.sheet import Picture, picture_sheet
from quiltgeom.files import write_whole
from quiltgeom.library.design_file import load_design
from quiltgeom.render.preview import preview, save_scene
from quiltgeom.units import about_inches

__all__ = ["DemoDesign", "DemoResult", "design_folder", "run_demo"]


@dataclass(frozen=True)
class DemoDesign:
    """One example: its design file and the pictures made of it."""

    file: Path
    pictures: tuple[Path, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class DemoResult:
    """What was written."""

    swatches: Path
    designs: tuple[DemoDesign, ...]
    contact_sheet: Path


def design_folder() -> Path:
    """Folder with the example designs that come with the package."""
    return Path(__file__).resolve().parent / "designs"


def run_demo(
    folder: str | Path, *, px: int = 1600, every: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> DemoResult:  # fmt: skip
    """Draw the swatches that the example designs use, their previews, and a contact sheet.

    Args:
        folder: made if need be; files of the same names are replaced.
        px: longer side of the PNG previews.
        every: draw all swatches, also those that no example design uses.
        progress: called with (steps done, steps in all).
    """
    folder = Path(folder)
    files = sorted(design_folder().glob("*.toml"))
    names = sorted({f.image.stem for d in map(load_design, files) for f in d.fabrics.values()
                    if f.image})  # fmt: skip
    if every:
        names = sorted(s.name for s in SWATCHES)
    total, done = len(names) + len(files) + 1, 0

    def step(*_: object) -> None:
        nonlocal done
        done += 1
        if progress:
            progress(done, total)

    swatches = folder / "swatches"
    write_swatches(swatches, names, progress=step)
    designs, pictures = [], []
    for source in files:
        target = write_whole(folder / source.name, source.read_bytes())
        made = preview(load_design(target))
        written = tuple(
            made.save(target.with_suffix(suffix), px=px) for suffix in (".svg", ".png", ".pdf")
        )
        designs.append(DemoDesign(target, written, made.notes))
        size = f"{about_inches(made.quilt.width)} × {about_inches(made.quilt.height)}"
        words = f"{size}, {len(made.quilt)} patches"
        pictures.append(Picture(made.scene, made.quilt.name, words))
        step()
    sheets = picture_sheet(pictures, title="From the quilting room by the harbour",
                           paper=(17, 11), columns=4, rows=2, word_lines=1)  # fmt: skip
    contact = save_scene(sheets[0], folder / "contact-sheet.png", ppi=150)
    step()
    return DemoResult(swatches, tuple(designs), contact)
