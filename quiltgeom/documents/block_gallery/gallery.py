"""The gallery: all blocks by family, as one self-contained HTML page and a printable PDF."""

import base64
import html
from collections.abc import Callable, Iterable, Sequence
from itertools import groupby
from pathlib import Path

from quiltgeom.documents.block_gallery.gallery_pages import gallery_pages
from quiltgeom.documents.html_parts import policy_meta
from quiltgeom.documents.sheet import LETTER
from quiltgeom.files import write_whole
from quiltgeom.library.block_facts import describe_block
from quiltgeom.model.block import Block
from quiltgeom.outputs.folder import output_folder
from quiltgeom.render.mockup import block_scene
from quiltgeom.render.pdf import write_pdf
from quiltgeom.render.svg import svg_text

TITLE = "Traditional blocks"

_STYLE = """
body { font: 16px/1.45 Georgia, 'Times New Roman', serif; color: #26221d; background: #fbf8f2;
       margin: 0 auto; max-width: 76rem; padding: 1.5rem; }
h1 { font-size: 2.2rem; margin: .2rem 0 .4rem; }
h2 small { float: right; font: .9rem/2.6rem Georgia, serif; color: #574f45; }
details { font-size: .84rem; color: #574f45; margin-top: .3rem; } summary { cursor: pointer; }
h2 { border-bottom: 2px solid #2f5d73; padding-bottom: .2rem; margin: 2.4rem 0 1rem; }
nav a { color: #1f4a5f; margin-right: 1rem; white-space: nowrap; }
ul { list-style: none; margin: 0; padding: 0; display: grid; gap: 1.4rem;
     grid-template-columns: repeat(auto-fill, minmax(10.5rem, 1fr)); }
li { background: #fff; border: 1px solid #e2d9c8; border-radius: 6px; padding: .9rem; }
img { display: block; width: 100%; height: 9rem; object-fit: contain; }
h3 { font-size: 1.05rem; margin: .7rem 0 .1rem; }
.also { font-style: italic; color: #574f45; }
.facts, .also, code { font-size: .84rem; } p { margin: .15rem 0; }
input { font: inherit; padding: .4rem .6rem; width: min(24rem, 90%); border: 1px solid #8a8073;
        border-radius: 4px; }
@media print { body { background: none; max-width: none; padding: 0; } nav, label { display: none; }
  li { break-inside: avoid; } h2 { break-after: avoid; } }
"""

_SCRIPT = """
const box = document.getElementById('find');
box.addEventListener('input', () => {
  const words = box.value.toLowerCase().split(/\\s+/).filter(Boolean);
  for (const item of document.querySelectorAll('li')) {
    const text = item.textContent.toLowerCase();
    item.hidden = !words.every(w => text.includes(w));
  }
  for (const part of document.querySelectorAll('section'))
    part.hidden = !part.querySelector('li:not([hidden])');
});
"""


def by_family(blocks: Iterable[Block]) -> list[tuple[str, list[Block]]]:
    """Blocks grouped by family, families and blocks in alphabetical order."""
    order = sorted(blocks, key=lambda b: (b.family or "other", b.name, b.key))
    return [(k, list(g)) for k, g in groupby(order, key=lambda b: b.family or "other")]


def _headline(family: str) -> str:
    return family[:1].upper() + family[1:]


def gallery_html(
    blocks: Sequence[Block], *, progress: Callable[[int, int], None] | None = None
) -> str:
    """One HTML page with everything in it: pictures, names, facts, and a box to search in."""
    families = by_family(blocks)
    links = " ".join(
        f'<a href="#f{i}">{html.escape(_headline(f))}</a>' for i, (f, _) in enumerate(families)
    )
    parts = [
        '<!doctype html><html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        policy_meta(_STYLE, _SCRIPT),
        f"<title>{TITLE}</title><style>{_STYLE}</style></head><body>",
        f"<h1>{TITLE}</h1><p>{len(blocks)} blocks, each proven to cover its outline "
        "without gap or overlap.</p>",
        f'<nav aria-label="Families">{links}</nav>',
        '<p><label>Find <input id="find" type="search" placeholder="star, nine-patch, chain …">'
        "</label></p><main>",
    ]
    done = 0
    for i, (family, members) in enumerate(families):
        heading = f"{html.escape(_headline(family))} <small>{len(members)}</small>"
        parts.append(f'<section id="f{i}"><h2>{heading}</h2><ul>')
        for block in members:
            parts.append(_card(block))
            done += 1
            if progress:
                progress(done, len(blocks))
        parts.append("</ul></section>")
    parts.append(f"</main><script>{_SCRIPT}</script></body></html>\n")
    return "".join(parts)


def _card(block: Block) -> str:
    svg = base64.b64encode(svg_text(block_scene(block, 2.0)).encode()).decode()
    names = html.escape(", ".join(block.aliases))
    also = f'<p class="also">also {names}</p>' if names else ""
    about = " ".join(t.rstrip(".") + "." for t in (block.notes, block.source) if t)
    return (
        f'<li><img alt="{html.escape(block.name)}, drawing" src="data:image/svg+xml;base64,{svg}">'
        f"<h3>{html.escape(block.name)}</h3>{also}"
        f'<p class="facts">{html.escape(describe_block(block))}</p>'
        f"<code>{html.escape(block.key)}</code>"
        f"<details><summary>About</summary>{html.escape(about)}</details></li>"
    )


def write_gallery(
    blocks: Sequence[Block],
    folder: str | Path,
    *,
    paper: tuple[float, float] = LETTER,
    force: bool = False,
    progress: Callable[[int, int], None] | None = None,
) -> list[Path]:
    """Write ``gallery.html`` and ``gallery.pdf`` into a folder.

    Args:
        force: replace files that are not ours or were changed.
        progress: called with (blocks done, blocks in all).
    """
    with output_folder(folder, "gallery", force=force) as filling:
        page = gallery_html(blocks, progress=progress)
        pages = gallery_pages(by_family(blocks), title=TITLE, paper=paper)
        files = [
            write_whole(filling.path / "gallery.html", page.encode("utf-8")),
            write_pdf(pages, filling.path / "gallery.pdf", title=TITLE),
        ]
    return [filling.final(p) for p in files]
