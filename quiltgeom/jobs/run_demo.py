"""The demo: our own swatches, quilts made of them, and a contact sheet."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from quiltgeom.demo.swatches import SWATCHES, design_folder, write_swatches
from quiltgeom.documents.sheet import Picture, picture_sheet
from quiltgeom.files import write_whole
from quiltgeom.library.design_file import load_design
from quiltgeom.outputs.folder import Filling, output_folder
from quiltgeom.render.answer import Answer, save_scene
from quiltgeom.render.preview import preview
from quiltgeom.render.scene import Scene
from quiltgeom.units import about_inches


@dataclass(frozen=True)
class DemoDesign:
    """One example: its design file and the pictures made of it."""

    file: Path
    pictures: tuple[Path, ...]


@dataclass(frozen=True, repr=False)
class DemoResult(Answer):
    """What was written.

    Attributes:
        swatches: their folder.
        designs: one entry for each example.
        contact_sheet: picture of all of them.
        sheet: what is drawn on it.
    """

    swatches: Path
    designs: tuple[DemoDesign, ...]
    contact_sheet: Path
    sheet: Scene

    def to_json(self) -> dict[str, Any]:
        """The files by design."""
        files = {str(d.file): [str(p) for p in d.pictures] for d in self.designs}
        sheet = str(self.contact_sheet)
        return {"swatches": str(self.swatches), "designs": files, "contact_sheet": sheet}

    def lines(self) -> list[str]:
        """The files in words."""
        out = [f"swatches:      {self.swatches}"]
        for design in self.designs:
            out.append(f"design:        {design.file}")
            out.append(f"               {', '.join(p.name for p in design.pictures)} beside it")
        return [*out, f"contact sheet: {self.contact_sheet}"]

    def scenes(self) -> list[Scene]:
        """The contact sheet."""
        return [self.sheet]


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
        return DemoResult(folder / "swatches", *_draw(files, filling, px, step))


def _draw(
    files: Sequence[Path], filling: Filling, px: int, step: Callable[[], None]
) -> tuple[tuple[DemoDesign, ...], Path, Scene]:
    designs, pictures = [], []
    for source in files:
        target = write_whole(filling.path / source.name, source.read_bytes())
        made = preview(load_design(target))
        written = tuple(
            filling.final(made.save(target.with_suffix(suffix), px=px))
            for suffix in (".svg", ".png", ".pdf")
        )
        designs.append(DemoDesign(filling.final(target), written))
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
    return tuple(designs), filling.final(contact), sheets[0]
