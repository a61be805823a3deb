"""Blocks and patterns of the library: listed with their facts, and drawn."""

import textwrap
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

from quiltgeom.documents.block_gallery.block_pages import drawing_sheet
from quiltgeom.documents.block_gallery.gallery import write_gallery
from quiltgeom.documents.kit_folder import PAPERS, known_paper
from quiltgeom.errors import QuiltValueError
from quiltgeom.jobs.arguments import checks_arguments
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.block_facts import block_facts, search_blocks
from quiltgeom.library.blocks import load_blocks, name_key
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.block import Block
from quiltgeom.model.design import Design
from quiltgeom.model.pattern import Pattern
from quiltgeom.render.answer import Answer, save_scene
from quiltgeom.render.mockup import block_scene
from quiltgeom.render.preview import preview
from quiltgeom.render.scene import Scene
from quiltgeom.units import format_inches


@dataclass(frozen=True, repr=False)
class BlockList(Answer):
    """Blocks with their facts.

    Attributes:
        blocks: in the order of the library.
        name: the name that they were found by, if it was one.
        paper: of drawing sheet and gallery, ``"letter"`` or ``"a4"``.
    """

    blocks: tuple[Block, ...]
    name: str = ""
    paper: str = "letter"

    def __repr__(self) -> str:
        return f"<BlockList: {len(self.blocks)} blocks>"

    def to_json(self) -> dict[str, Any]:
        """Facts of every block: the list is called ``blocks``."""
        return {"blocks": list(map(_facts, self.blocks))}

    def lines(self) -> list[str]:
        """Each with its facts; all there are where one was asked for by its name."""
        return [line for b in self.blocks for line in _lines(b, whole=bool(self.name))]

    def scenes(self) -> list[Scene]:
        """The picture of the one block."""
        return [block_scene(self._one("picture"), 6.0)]

    def save_sheet(self, path: str | Path) -> Path:
        """Write a drawing sheet of the one block: on a graph grid, shaded, taken apart."""
        return save_scene(drawing_sheet(self._one("sheet"), PAPERS[self.paper]), path)

    def save_folder(
        self,
        folder: str | Path,
        *,
        force: bool = False,
        progress: Callable[[int, int], None] | None = None,
    ) -> list[Path]:
        """Write the blocks by family as ``gallery.html`` and ``gallery.pdf``."""
        paper = PAPERS[self.paper]
        return write_gallery(self.blocks, folder, paper=paper, force=force, progress=progress)

    def _one(self, what: str) -> Block:
        """The one block; of several by one name that whose key it is."""
        chosen = [b for b in self.blocks if self.name and b.key == name_key(self.name)]
        chosen = chosen or list(self.blocks)
        if len(chosen) != 1:
            keys = ", ".join(b.key for b in chosen[:8])
            raise QuiltValueError(
                f"blocks {what}: found {len(chosen)} blocks ({keys}); accepted: one"
            )
        return chosen[0]


def _facts(block: Block) -> dict[str, Any]:
    facts = asdict(block_facts(block))
    facts.pop("area_share")
    return {
        "key": block.key,
        "name": block.name,
        "aliases": list(block.aliases),
        "family": block.family,
        "grid": [block.width, block.height],
        "patches": len(block.patches),
        "area_share": {role: round(share, 6) for role, share in block.area_share.items()},
        **{k: round(v, 6) if isinstance(v, float) else v for k, v in facts.items()},
        "source": block.source,
        "notes": block.notes,
    }


def _lines(block: Block, *, whole: bool) -> list[str]:
    facts = block_facts(block)
    also = f" (also {', '.join(block.aliases)})" if block.aliases else ""
    shares = ", ".join(f"{role} {round(v, 6):.0%}" for role, v in block.area_share.items())
    size = f"{block.width:g} x {block.height:g}, {facts.patches} patches"
    seams = "curved seams" if facts.curved else "straight seams"
    set_in = f", {facts.set_in_points} set-in points" if facts.set_in_points else ""
    out = [
        f"{block.name}{also}",
        f"  {block.key}: {block.family}, {size}; {shares}",
        f"  {len(facts.shapes)} shapes, symmetry {facts.symmetry}, {seams}{set_in}, "
        f"smallest angle {facts.smallest_angle:.3g} degrees",
    ]
    if whole:
        shapes = " + ".join(str(n) for n in facts.shapes)
        out.append(
            f"  patches of each shape {shapes}; symmetry without colours {facts.symmetry_plain}; "
            f"{facts.meeting_points} points where seams meet; smallest edge "
            f"{facts.smallest_edge:.4g}, square centre {facts.centre_share:.0%}"
        )
        for text in (block.notes, block.source):
            out += textwrap.wrap(text, 96, initial_indent="  ", subsequent_indent="  ")
    return out


@checks_arguments()
def list_blocks(
    name: str = "",
    *,
    folders: Sequence[str | Path] = (),
    text: str = "",
    family: str = "",
    patches: tuple[int, int] | None = None,
    set_in: bool | None = None,
    curved: bool | None = None,
    centre: float = 0.0,
    recolour: Literal["negative", "four-values"] | None = None,
    paper: str = "letter",
) -> BlockList:
    """Blocks of the library by name and by what can be measured on them.

    Args:
        name: of the wanted block or blocks; "": all.
        folders: with blocks of one's own.
        text, family, patches, set_in, curved: as of
            :func:`~quiltgeom.library.block_facts.search_blocks`.
        centre: smallest share of the area for a square patch in the middle.
        recolour: dark and light exchanged; or four values instead of two.
        paper: of drawing sheet and gallery, ``"letter"`` or ``"a4"``.

    Raises:
        QuiltKeyError: no block has that name.

    >>> list_blocks("Churn Dash").lines()[1]
    '  churn-dash: nine-patch, 3 x 3, 17 patches; background 56%, accent 44%'
    """
    library = load_blocks(*folders)
    chosen = list(library.find(name)) if name else list(library)
    if name and not chosen:
        library.get(name)  # raises, and names the nearest
    chosen = search_blocks(
        chosen,
        text=text,
        family=family,
        patches=patches,
        set_in=set_in,
        curved=curved,
        centre_at_least=centre,
    )
    if recolour:
        chosen = [b.inverted() if recolour == "negative" else b.in_four_values() for b in chosen]
    return BlockList(tuple(chosen), name, known_paper(paper))


@dataclass(frozen=True, repr=False)
class PatternList(Answer):
    """Patterns with their facts, each laid out at its usual size.

    Attributes:
        patterns: as asked for, or in the order of the library.
        single: one was asked for by name.
    """

    patterns: tuple[Pattern, ...]
    single: bool = False

    def __repr__(self) -> str:
        return f"<PatternList: {len(self.patterns)} patterns>"

    def to_json(self) -> dict[str, Any]:
        """Facts of the one pattern; of several a list called ``patterns``."""
        rows = list(map(_pattern_facts, self.patterns))
        return rows[0] if self.single else {"patterns": rows}

    def lines(self) -> list[str]:
        """Each with its size and its largest patch."""
        return [line for p in self.patterns for line in _pattern_lines(_pattern_facts(p))]

    def scenes(self) -> list[Scene]:
        """Each in plain colours."""
        return [preview(Design(p), seams=True).scene for p in self.patterns]


def _pattern_facts(pattern: Pattern) -> dict[str, Any]:
    quilt = lay_out(pattern)
    largest = max((p for p in quilt if p.role == pattern.main_role), key=lambda p: p.area)
    box = largest.polyline
    main = box.max(axis=0) - box.min(axis=0)
    return {
        "key": pattern.key,
        "name": pattern.name,
        "summary": pattern.summary,
        "setting": pattern.setting,
        "block_in": pattern.block_size,
        "rows": pattern.rows,
        "columns": pattern.columns,
        "width_in": round(quilt.width, 6),
        "height_in": round(quilt.height, 6),
        "patches": len(quilt),
        "main_role": pattern.main_role,
        "main_patch_in": [round(float(v), 6) for v in main],
        "roles": {
            r.name: {
                "cut": r.cut,
                "lie": r.lie,
                "share": round(quilt.area_by_role[r.name] / (quilt.width * quilt.height), 4),
            }
            for r in pattern.roles.values()
        },
    }


def _pattern_lines(row: dict[str, Any]) -> list[str]:
    size = f"{format_inches(row['width_in'])} x {format_inches(row['height_in'])}"
    main = " x ".join(format_inches(v) for v in row["main_patch_in"])
    cut = row["roles"][row["main_role"]]["cut"]
    return [
        row["key"],
        f"  {row['summary']}",
        f"  {row['setting']}, {size}, {row['patches']} patches; largest {row['main_role']} patch "
        f"{main}, cut {'independently' if cut == 'independent' else 'from strips'}",
    ]


@checks_arguments()
def list_patterns(names: Sequence[str] = (), *, folders: Sequence[str | Path] = ()) -> PatternList:
    """Patterns of the library, or those named.

    Args:
        names: keys or files; none: all.
        folders: with patterns of one's own.

    Raises:
        QuiltKeyError: no pattern has that name.

    >>> list_patterns(["gull-cove"]).to_json()["main_role"]
    'focus'
    """
    library = load_patterns(*folders)
    chosen = [library.get(name) for name in names] or list(library)
    return PatternList(tuple(chosen), len(names) == 1)
