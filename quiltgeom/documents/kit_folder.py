"""A design to a folder with its whole kit: picture, pages, diagrams, templates, cloth."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from quiltgeom.documents.cutting_folder import plan_design, write_cutting
from quiltgeom.documents.kit import Kit, kit_pages, make_kit
from quiltgeom.documents.kit_html import kit_html
from quiltgeom.documents.sheet import A4, LETTER
from quiltgeom.files import write_whole
from quiltgeom.library.design_file import design_text
from quiltgeom.model.design import Design
from quiltgeom.render.pdf import write_pdf
from quiltgeom.render.preview import save_scene
from quiltgeom.templates.build import quilt_templates
from quiltgeom.templates.pages import template_pages

__all__ = ["PAPERS", "KitFolder", "write_kit"]

PAPERS = {"letter": LETTER, "a4": A4}

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True)
class KitFolder:
    """What was written.

    Attributes:
        kit: the kit itself.
        files: all files, in the order in which they were written.
    """

    kit: Kit
    files: tuple[Path, ...]


def write_kit(
    design: Design,
    folder: str | Path,
    *,
    paper: str = "letter",
    have: Mapping[str, tuple[float, float]] | None = None,
    width: float = 40.0,
    seconds: float | None = None,
    notes: Sequence[str] = (),
    kit: Kit | None = None,
    templates: bool = True,
    progress: Progress | None = None,
) -> KitFolder:
    """Write the whole kit of a design; a folder that can be sent on as it is.

    It holds ``kit.pdf``, ``kit.html``, ``quilt`` (.svg, .png, .pdf), ``templates.pdf`` where a
    patch needs one, ``cutting/`` with diagrams and lists, ``design.toml`` and ``swatches/`` with
    copies of the pictures, so that the design can be opened again from the folder.

    Args:
        design: what was decided.
        folder: made if need be; files of the same names are replaced, others left alone.
        paper: ``"letter"`` or ``"a4"``.
        have, width, seconds: as of :func:`~quiltgeom.cutting.plan.cut_plan`.
        notes: remarks for the cover.
        kit: the kit, if it has been made already.
        templates: whether to make template pages.
        progress: called with (what is done, steps done, steps in all).

    Raises:
        QuiltError: a design that cannot be laid out, drawn or cut.
        QuiltFileError: the folder cannot be written.
    """
    folder = Path(folder)
    steps = ("plan", "design", "picture", "pages", "page", "cutting", "templates")

    def done(what: str) -> None:
        if progress:
            progress(what, steps.index(what) + 1, len(steps))

    if kit is None:
        plan = plan_design(design, have=have, width=width, seconds=seconds)
        kit = make_kit(design, plan, notes=notes)
    done("plan")
    own = with_own_pictures(design, folder)
    files = [write_whole(folder / "design.toml", design_text(own, folder).encode("utf-8"))]
    files += [f.image for f in own.fabrics.values() if f.image]
    done("design")
    scene = kit.picture.scene
    files += [save_scene(scene, folder / f"quilt{suffix}") for suffix in (".svg", ".png", ".pdf")]
    done("picture")
    title = f"{kit.quilt.name}: kit"
    files.append(write_pdf(kit_pages(kit, paper=PAPERS[paper]), folder / "kit.pdf", title=title))
    done("pages")
    files.append(write_whole(folder / "kit.html", kit_html(kit).encode("utf-8")))
    done("page")
    files += write_cutting(kit.plan, design.fabrics, folder / "cutting")
    done("cutting")
    if templates:
        files += write_templates(kit, folder, paper)
    done("templates")
    return KitFolder(kit, tuple(files))


def write_templates(kit: Kit, folder: Path, paper: str) -> list[Path]:
    """``templates.pdf`` with every shape that a ruler does not cut; nothing where there is none."""
    aimed = [r for r, f in kit.design.fabrics.items() if f.direction == "one-way"]
    made = quilt_templates(kit.quilt, directional=tuple(aimed))
    if not made.templates:
        return []
    pages = template_pages(made, paper)
    return [write_pdf(pages, folder / "templates.pdf", title=f"{made.title}: templates")]


def with_own_pictures(design: Design, folder: Path) -> Design:
    """Copies the swatches into the folder; returns the design with the copies.

    Two pictures of one name get different ones; a picture that is in the folder already stays.
    """
    target = folder / "swatches"
    taken: dict[str, Path] = {}
    fabrics = {}
    for role, fabric in design.fabrics.items():
        if fabric.image is None:
            fabrics[role] = fabric
            continue
        source = fabric.image.resolve()
        name = source.name
        if taken.get(name, source) != source:
            name = f"{role}-{name}"
        taken[name] = source
        copy = target / name
        if copy.resolve() != source:
            write_whole(copy, source.read_bytes())
        fabrics[role] = replace(fabric, image=copy)
    return replace(design, fabrics=fabrics)
