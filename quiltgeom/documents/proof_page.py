"""The proof page: one HTML file for the owner of the print, who tries fabrics and patterns in it.

The file asks the network for nothing. Its script gets plain data and draws every picture as SVG,
by the same rules as the previews; a Content-Security-Policy in the file forbids any request and
any script but its own. All that comes from outside is text, never markup.
"""

import html
import json
from functools import cache
from pathlib import Path
from string import Template
from typing import Any

from quiltgeom.documents.html_parts import drawn, jpeg_uri, policy_meta
from quiltgeom.documents.proof_data import ProofInput, Reason, Swatch, proof_data
from quiltgeom.files import write_whole
from quiltgeom.matching.verdicts import OUTCOME_WORDS

__all__ = ["ProofInput", "Reason", "Swatch", "proof_page_text", "write_proof_page"]

SCRIPTS = "numbers lay draw intake state parts paper sections rolecard page".split()
"""Parts of the page's script, in the order in which they go into it."""

STILL_PX = 760
"""Longer side of the picture for viewers that run no script, pixels."""


def write_proof_page(proof: ProofInput, path: str | Path) -> Path:
    """Write a proof page.

    Args:
        path: the HTML file; replaced whole or not at all.

    Raises:
        QuiltError: a swatch cannot be used, or the file cannot be written.
    """
    return write_whole(path, proof_page_text(proof).encode("utf-8"))


def proof_page_text(proof: ProofInput) -> str:
    """As :func:`write_proof_page`, returning the file's text.

    >>> from quiltgeom.model.design import Design
    >>> from quiltgeom.model.fabric import Fabric
    >>> from quiltgeom.proposal.proposal import propose
    >>> sky = Fabric("Morning Sky", colour="#88aacc")
    >>> made = propose(Design("harbour-windows", {"focus": sky}), planned=False)
    >>> page = proof_page_text(ProofInput("A quilt for the sky", [made]))
    >>> "<title>A quilt for the sky</title>" in page, "default-src 'none'" in page
    (True, True)
    """
    style, script = _part("page.css"), page_script()
    return Template(_part("page.html")).substitute(
        policy=policy_meta(style, script, images="data: blob:"),
        title=_escape(proof.title),
        lede=_escape(_lede(proof)),
        still=_still(proof),
        style=style,
        data=script_json(proof_data(proof)),
        script=script,
    )


def script_json(data: Any) -> str:
    r"""JSON that may stand inside a ``script`` element: nothing in it can end the element.

    >>> print(script_json({"name": "</script>"}))
    {"name":"\u003c/script\u003e"}
    """
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for character in "<>&\u2028\u2029":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return text


@cache
def _part(name: str) -> str:
    return Path(__file__).with_name("page").joinpath(name).read_text(encoding="utf-8")


def page_script() -> str:
    """The page's whole script."""
    parts = "\n".join(_part(f"{name}.js") for name in SCRIPTS)
    return f'(() => {{\n"use strict";\n{parts}}})();\n'


def _escape(text: str) -> str:
    return html.escape("".join(c for c in text if c >= " " or c in "\t\n"))


def _lede(proof: ProofInput) -> str:
    made = proof.first
    width, height = (
        made.quilt.ruler.near(v).replace(" ", "\u00a0")
        for v in (made.quilt.width, made.quilt.height)
    )
    others = min(len(proof.proposals), proof.most) - 1
    more = f", and {others} more to choose from" if others else ""
    places = [made.picture.places.get(p.index) for p in made.patches_of(made.main)]
    guessed = sum(p is not None and p.beyond and p.cloth.kind != "repeat" for p in places)
    real = f"; {guessed} of {len(places)} patches of it are partly guessed" if guessed else ""
    return (
        f"Your print, {proof.focus.name}, as it would look sewn into {made.quilt.name}, "
        f"{width} × {height}{more}. At true scale, in your own cloth{real}."
    )


def _still(proof: ProofInput) -> str:
    """The recommended quilt for viewers that run no script, with its verdicts."""
    made = proof.first
    scene = made.picture.scene
    picture = drawn(scene, STILL_PX / max(scene.width, scene.height))
    source = jpeg_uri(picture, quality=78, optimize=True)
    rows = "".join(
        f"<li>{_escape(v.title)}: {OUTCOME_WORDS[v.outcome]}. {_escape(v.sentence)}</li>"
        for v in made.verdicts
    )
    care = "".join(f"<li>{_escape(c)}</li>" for c in proof.cautions)
    words = _escape(f"{scene.title}. {scene.description}")
    return (
        f'<figure><img src="{source}" width="{picture.width}" height="{picture.height}" '
        f'alt="{words}"></figure>\n<ul>{rows}</ul>\n<ul>{care}</ul>'
    )
