"""Everything that ``quiltgeom demo`` makes."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from quiltgeom.demo.swatches import SWATCHES, write_swatches
from quiltgeom.documents.sheet import Picture, picture_sheet
from quiltgeom.files import write_whole
from quiltgeom.library.design_file import load_design
from quiltgeom.outputs.folder import Filling, output_folder
from quiltgeom.render.answer import save_scene
from quiltgeom.render.preview import preview
from quiltgeom.units import about_inches


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
    folder: str | Path,
    *,
    px: int = 1600,
    every: bool = False,
    force: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> DemoResult:
    """Draw the swatches that the example designs use, their previews, and a contact sheet.

    Args:
        folder: made if need be; an earlier demo there makes room, other files are left alone.
        px: longer side of the PNG previews.
        every: draw all swatches, also those that no example design uses.
        force: replace files that are not ours or were changed.
        progress: called with (steps done, steps in all).
    """
    folder = Path(folder)
    files = sorted(design_folder().glob("*.toml"))
    names = sorted(
        {f.image.stem for d in map(load_design, files) for f in d.fabrics.values() if f.image}
    )
    if every:
        names = sorted(s.name for s in SWATCHES)
    total, done = len(names) + len(files) + 1, 0

    def step(*_: object) -> None:
        nonlocal done
        done += 1
        if progress:
            progress(done, total)

    options = {"px": px, "every": every}
    with output_folder(folder, "demo", cloth="swatches", options=options, force=force) as filling:
        write_swatches(filling.path / "swatches", names, progress=step)
        designs, contact = _draw(files, filling, px, step)
    return DemoResult(folder / "swatches", designs, contact)


def _draw(
    files: Sequence[Path], filling: Filling, px: int, step: Callable[[], None]
) -> tuple[tuple[DemoDesign, ...], Path]:
    designs, pictures = [], []
    for source in files:
        target = write_whole(filling.path / source.name, source.read_bytes())
        made = preview(load_design(target))
        written = tuple(
            filling.final(made.save(target.with_suffix(suffix), px=px))
            for suffix in (".svg", ".png", ".pdf")
        )
        designs.append(DemoDesign(filling.final(target), written, made.notes))
        size = f"{about_inches(made.quilt.width)} × {about_inches(made.quilt.height)}"
        words = f"{size}, {len(made.quilt)} patches"
        pictures.append(Picture(made.scene, made.quilt.name, words))
        step()
    sheets = picture_sheet(
        pictures,
        title="From the quilting room by the harbour",
        paper=(17, 11),
        columns=4,
        rows=2,
        word_lines=1,
    )
    contact = save_scene(sheets[0], filling.path / "contact-sheet.png", ppi=150)
    step()
    return tuple(designs), filling.final(contact)
