"""The kit as one HTML page with everything in it: to read on a screen, to send, to print."""

import html
from collections.abc import Iterable, Sequence

from quiltgeom.cutting.listing import cut_lines, finishing_rows, trimming
from quiltgeom.documents.cutting_pages.cutting_sheet import cutting_sheets
from quiltgeom.documents.html_parts import drawn, jpeg_uri, policy_meta
from quiltgeom.documents.kit import CARE, chip_scene, role_rows, size_words
from quiltgeom.proposal.proposal import Proposal
from quiltgeom.render.scene import Scene

_STYLE = """
:root{color-scheme:light}
body{font:17px/1.5 Georgia,'Times New Roman',serif;color:#222;background:#fbf9f4;margin:0}
main{max-width:46rem;margin:0 auto;padding:1.5rem}
h1{font-size:2rem;margin:.2em 0}h2{margin-top:2em;border-bottom:1px solid #cfc7b6}
h3{margin:1.4em 0 .3em}img{max-width:100%;height:auto;display:block}
.quilt{border:1px solid #8d8676;margin:1rem auto;max-height:85vh}
.soft{color:#5a564d;font-size:.92em}.roles{list-style:none;padding:0}
.roles li{display:flex;gap:1rem;align-items:center;margin:.6rem 0}
.roles img,.roles .plain{width:4.5rem;height:4.5rem;border:1px solid #8d8676;flex:none}
.table{overflow-x:auto}table{border-collapse:collapse;width:100%}
th,td{text-align:left;padding:.25rem .6rem;border-bottom:1px solid #ddd5c6;vertical-align:top}
td.n{text-align:right}ol,ul.names{padding-left:1.4rem}.care{background:#fff3d6;padding:.6rem 1rem}
@media print{body{background:#fff;font-size:11pt}main{max-width:none;padding:0}
h2{break-after:avoid}img,table,li{break-inside:avoid}}
"""


def kit_html(kit: Proposal) -> str:
    """The page's text; nothing in it asks the network for anything."""
    quilt, name = kit.quilt, html.escape(kit.quilt.name)
    alt = f"{quilt.name} in the chosen fabrics: {kit.picture.scene.description}"
    notes = "".join(f'<p class="soft">{html.escape(n)}</p>' for n in (*kit.remarks, *quilt.notes))
    parts = [
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        policy_meta(_STYLE),
        f"<title>{name}: kit</title><style>{_STYLE}</style></head><body><main>",
        f"<h1>{name}</h1><p>{html.escape(size_words(kit))}</p>",
        _image(kit.picture.scene, alt, "quilt", 1400),
        notes,
        "<h2>Fabrics</h2>",
        _fabrics(kit),
        "<h2>Cutting</h2>",
        _cutting(kit),
        '<h2>Take care</h2><div class="care">',
        *(f"<p>{html.escape(t)}</p>" for t in CARE),
        "</div><h2>Order of sewing</h2>",
        _sewing([f" {kit.sewing.seam_note}", *kit.sewing.lines()]),
        "<h2>Pictures of the steps</h2>",
        *(_image(s, s.title, "steps", round(150 * s.width)) for s in kit.drawings),
        "<h2>Where to cut</h2>",
    ]
    for p in kit.cutting.fabrics:
        sheets = cutting_sheets(p, quilt.name, kit.fabric(p.role), seam=kit.cutting.options.seam)
        parts += [_image(s, f"Cutting diagram of {p.name}", "", 1275) for s in sheets]
    return "".join(parts) + "</main></body></html>\n"


def _image(scene: Scene, alt: str, kind: str, width: int) -> str:
    """A picture of ``width`` pixels."""
    data = jpeg_uri(drawn(scene, width / scene.width), quality=88, subsampling=0)
    look = f' class="{kind}"' if kind else ""
    shown = f' width="{width // 2}"' if kind == "steps" else ""
    return f'<img{look}{shown} alt="{html.escape(alt)}" src="{data}">'


def _fabrics(kit: Proposal) -> str:
    rows = []
    for plan in kit.cutting.fabrics:
        chip = chip_scene(kit.fabric(plan.role), plan.role, tuple(kit.quilt.roles))
        if isinstance(chip, str):
            picture = (
                '<svg class="plain" viewBox="0 0 1 1" aria-hidden="true">'
                f'<path fill="{chip}" d="M0 0h1v1H0z"/></svg>'
            )
        else:
            side = "10 cm" if plan.ruler.metric else "four inches"
            picture = _image(chip, f"{plan.name}, {side} square", "", 240)
        head, words = role_rows(plan)
        rows.append(
            f"<li>{picture}<span><b>{html.escape(head)}</b><br>{html.escape(words)}</span></li>"
        )
    table = _table(("for", "amount"), finishing_rows(kit.cutting))
    return f'<ul class="roles">{"".join(rows)}</ul>{table}'


def _cutting(kit: Proposal) -> str:
    seam = html.escape(kit.cutting.options.ruler.meant(kit.cutting.options.seam), quote=False)
    parts = [
        f"<p>Sizes include the {seam} seam allowance; the first number lies across the cloth."
        " Cut the largest pieces first.</p>"
    ]
    if trim := trimming(kit.cutting):
        parts.append(f"<p>{html.escape(trim)}</p>")
    for plan in kit.cutting.fabrics:
        head, words = role_rows(plan)
        rows = [
            (n.label, str(n.count), n.size, n.how, str(n.patches or "")) for n in cut_lines(plan)
        ]
        parts.append(f'<h3>{html.escape(head)}</h3><p class="soft">{html.escape(words)}</p>')
        parts.append(_table(("piece", "cut", "size", "how", "patches"), rows))
    parts += [f"<p>{html.escape(made.text)}</p>" for made in kit.cutting.sets]
    return "".join(parts)


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    head = "".join(f'<th scope="col">{html.escape(h)}</th>' for h in heads)
    body = "".join(
        "<tr>" + "".join(f"<td>{html.escape(c)}</td>" for c in row) + "</tr>" for row in rows
    )
    return (
        f'<div class="table"><table><thead><tr>{head}</tr></thead><tbody>{body}</tbody>'
        "</table></div>"
    )


def _sewing(lines: Sequence[str]) -> str:
    """Headings, numbered steps (with their own numbers) and names of parts."""
    parts: list[str] = []
    for line in lines:
        text = html.escape(line.strip())
        if not text:
            continue
        if line[0].isdigit() or line.startswith(" "):
            parts.append(f"<p>{text}</p>")
        else:
            parts.append(f"<h3>{text}</h3>")
    return "".join(parts)
