"""A design to a folder with its whole kit: picture, pages, diagrams, templates, cloth."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path

from quiltgeom.documents.cutting_pages.cutting_folder import write_cutting
from quiltgeom.documents.kit import kit_pages
from quiltgeom.documents.kit_html import kit_html
from quiltgeom.documents.sheet import A4, LETTER
from quiltgeom.errors import QuiltValueError, shown
from quiltgeom.fabric.handed_on import clean_picture
from quiltgeom.files import free_name, safe_name, write_whole
from quiltgeom.library.design_file import design_text, write_design
from quiltgeom.library.patterns import is_own, pattern_path
from quiltgeom.library.toml_text import identity, write_pattern
from quiltgeom.model.design import Design
from quiltgeom.model.pattern import Pattern
from quiltgeom.outputs.folder import output_folder
from quiltgeom.outputs.manifest import digest
from quiltgeom.proposal.proposal import Proposal
from quiltgeom.render.answer import save_scene
from quiltgeom.render.pdf import write_pdf
from quiltgeom.tracing.build import quilt_templates
from quiltgeom.tracing.pages import template_pages

PAPERS = {"letter": LETTER, "a4": A4}


def known_paper(name: str) -> str:
    """The paper of this name.

    Raises:
        QuiltValueError: there is none.
    """
    if name not in PAPERS:
        raise QuiltValueError(f"paper: found {shown(name)}; accepted: {', '.join(PAPERS)}")
    return name


Progress = Callable[[str, int, int], None]


@dataclass(frozen=True)
class KitFolder:
    """What was written.

    Attributes:
        files: all files, in the order in which they were written.
    """

    kit: Proposal
    files: tuple[Path, ...]


def write_kit(
    kit: Proposal,
    folder: str | Path,
    *,
    paper: str = "letter",
    templates: bool = True,
    inputs: Sequence[Path] = (),
    force: bool = False,
    progress: Progress | None = None,
) -> KitFolder:
    """Write the whole kit of a proposal; a folder that can be sent on as it is.

    It holds ``kit.pdf``, ``kit.html``, ``quilt`` (.svg, .png, .pdf), ``templates.pdf`` where a
    patch needs one, ``cutting/`` with diagrams and lists, ``design.toml`` and ``swatches/`` with
    copies of the pictures, so that the design can be opened again from the folder. A pattern of
    one's own and its blocks come along in ``patterns/``.

    Args:
        folder: an earlier kit there makes room for this one, files of others are left alone; see
            :func:`~quiltgeom.outputs.folder.output_folder`.
        paper: ``"letter"`` or ``"a4"``.
        inputs: files that it is made of, beside the pictures of its fabrics: none is replaced.
        force: replace files that are not ours or were changed.
        progress: called with (what is done, steps done, steps in all).

    Raises:
        QuiltError: a quilt that cannot be drawn, or is not planned.
        QuiltFileError: the folder cannot be written.
    """
    folder, design, pattern = Path(folder), kit.design, kit.pattern
    steps = ("plan", "design", "picture", "pages", "page", "cutting", "templates")

    def done(what: str) -> None:
        if progress:
            progress(what, steps.index(what) + 1, len(steps))

    pictures = {r: f.image for r, f in design.fabrics.items() if f.image}
    made_of = {f"cloth {role}": digest(p) for role, p in pictures.items()}
    made_of |= {p.name: digest(p) for p in inputs}
    if is_own(pattern):
        made_of["pattern"] = sha256(identity(pattern, design.block_folders).encode()).hexdigest()
    options = {"design": design_text(_unplaced(design, pattern), Path()), "paper": paper}
    sources = [*inputs, *pictures.values(), *filter(None, [pattern_path(design.pattern)])]
    with output_folder(
        folder, "kit", inputs=sources, made_of=made_of, options=options, force=force
    ) as filling:
        done("plan")
        files = _fill(kit, filling.path, paper, templates, done)
    return KitFolder(kit, tuple(map(filling.final, files)))


def _unplaced(design: Design, pattern: Pattern) -> Design:
    """The design without the folders of this machine."""
    fabrics = {
        r: replace(f, image=f.image and Path(f.image.name)) for r, f in design.fabrics.items()
    }
    return replace(design, pattern=pattern.key, fabrics=fabrics, block_folders=(), variants={})


def _fill(
    kit: Proposal, folder: Path, paper: str, templates: bool, done: Callable[[str], None]
) -> list[Path]:
    own = with_own_pattern(kit, with_own_pictures(kit.design, folder), folder)
    own = with_own_blocks(own, folder)
    files = [write_design(own, folder / "design.toml")]
    files += [f.image for f in own.fabrics.values() if f.image]
    for own_content in ("patterns", "blocks"):
        files += sorted((folder / own_content).rglob("*.toml"))
    done("design")
    scene = kit.picture.scene
    files += [save_scene(scene, folder / f"quilt{suffix}") for suffix in (".svg", ".png", ".pdf")]
    done("picture")
    title = f"{kit.quilt.name}: kit"
    files.append(write_pdf(kit_pages(kit, paper=PAPERS[paper]), folder / "kit.pdf", title=title))
    done("pages")
    files.append(write_whole(folder / "kit.html", kit_html(kit).encode("utf-8")))
    done("page")
    files += write_cutting(kit.cutting, kit.design.fabrics, folder / "cutting")
    done("cutting")
    if templates:
        files += write_templates(kit, folder, paper)
    done("templates")
    return files


def write_templates(kit: Proposal, folder: Path, paper: str) -> list[Path]:
    """``templates.pdf`` with every shape that a ruler does not cut; nothing where there is none."""
    aimed = [r for r, f in kit.design.fabrics.items() if f.direction == "one-way"]
    made = quilt_templates(
        kit.quilt,
        allowance=kit.cutting.options.seam,
        directional=tuple(aimed),
        letters=kit.cutting.letters,
    )
    made = replace(made, ruler=kit.cutting.options.ruler)
    if not made.templates:
        return []
    pages = template_pages(made, paper)
    return [write_pdf(pages, folder / "templates.pdf", title=f"{made.title}: templates")]


def with_own_pictures(design: Design, folder: Path) -> Design:
    """Copies the swatches into the folder, without what their files tell of their owner; returns
    the design with the copies. Two pictures of one name get different ones."""
    copies: dict[Path, Path] = {}
    for source in dict.fromkeys(f.image for f in design.fabrics.values() if f.image):
        data, ending = clean_picture(source)
        name = free_name(safe_name(source.stem), [p.stem for p in copies.values()])
        copies[source] = write_whole(folder / "swatches" / f"{name}{ending}", data)
    fabrics = {r: replace(f, image=f.image and copies[f.image]) for r, f in design.fabrics.items()}
    return replace(design, fabrics=fabrics, variants={})  # a kit is of one of them


def with_own_pattern(kit: Proposal, design: Design, folder: Path) -> Design:
    """Writes a pattern of one's own, with the blocks that lie beside it or were made for it."""
    if not is_own(kit.pattern):
        return replace(design, pattern=kit.pattern.key)
    path = write_pattern(kit.pattern, folder / "patterns", design.block_folders)
    return replace(design, pattern=path)


def with_own_blocks(design: Design, folder: Path) -> Design:
    """Copies the folders with blocks of one's own, so that the design can be opened anywhere."""
    own = []
    for number, source in enumerate(design.block_folders, 1):
        own.append(folder / "blocks" / f"{number}")
        for path in sorted(source.glob("*.toml")):
            write_whole(own[-1] / f"{safe_name(path.stem)}.toml", path.read_bytes())
    return replace(design, block_folders=tuple(own))
