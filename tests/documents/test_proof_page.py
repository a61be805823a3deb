"""The proof page as a file: what is in it, and that nothing from outside becomes markup."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.documents.proof_data import _cloth_uri
from quiltgeom.documents.proof_page import ProofInput, proof_page_text, write_proof_page
from quiltgeom.errors import QuiltError, QuiltKeyError, QuiltValueError
from quiltgeom.model.fabric import Fabric
from tests.documents.pages import fabrics, proof, write_pictures


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("cloth")
    write_pictures(path)
    return path


@pytest.fixture(scope="module")
def text(folder: Path) -> str:
    return proof_page_text(proof(folder))


class Elements(HTMLParser):
    """Every start tag with its attributes, and the text of scripts and styles."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.raw: dict[str, list[str]] = {"script": [], "style": []}
        self.inside = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        self.inside = tag if tag in self.raw else ""
        if self.inside:
            self.raw[tag].append("")

    def handle_endtag(self, tag: str) -> None:
        self.inside = ""

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.raw[self.inside][-1] += data


def page_data(text: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(Elements(text).raw["script"][0])
    return found


def test_the_same_input_gives_the_same_bytes(folder: Path, text: str) -> None:
    assert proof_page_text(proof(folder)) == text


def test_the_policy_allows_only_the_pages_own_script_and_style(text: str) -> None:
    """CSP Level 3: inline elements run only if their hash is listed."""
    page = Elements(text)
    policy = next(a["content"] for t, a in page.found if t == "meta" and "http-equiv" in a)
    assert policy is not None
    assert policy.startswith("default-src 'none'; img-src data: blob:; ")
    assert "unsafe" not in policy
    for kind, source in (("script", page.raw["script"][1]), ("style", page.raw["style"][0])):
        digest = base64.b64encode(hashlib.sha256(source.encode()).digest()).decode()
        assert f"{kind}-src 'sha256-{digest}'" in policy


def test_nothing_points_outside_the_file(text: str) -> None:
    links = [v for _, a in Elements(text).found for k, v in a.items() if k in ("src", "href")]
    assert links
    assert all(v and v.startswith(("data:", "#")) for v in links)
    code = Elements(text).raw["script"][1]
    assert set(re.findall(r"https?://[^\"' ]+", code)) == {
        "http://www.w3.org/2000/svg",
        "http://www.w3.org/1999/xlink",
    }
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\b", code)


def test_markup_in_names_stays_text(folder: Path) -> None:
    evil = '</script><script>alert(1)</script><img src=x onerror="alert(2)">&\u2028\x00'
    cloth = fabrics(folder)
    cloth["focus"] = Fabric(evil, image=folder / "print.jpg", width=12)
    made = proof(folder, ("slipway",), cloth=cloth, title=evil, cautions=[evil])
    page = proof_page_text(made)
    tags = [t for t, _ in Elements(page).found]
    assert tags.count("script") == 2
    assert sum(t == "img" for t in tags) == 1  # the still picture
    assert page_data(page)["title"] == evil
    assert page_data(page)["cautions"] == [evil]
    assert "\u2028" not in page.split('id="data"')[1]


def test_every_patch_has_its_place_and_shared_places_are_few(folder: Path, text: str) -> None:
    data, made = page_data(text), proof(folder)
    for own, pattern in zip(made.proposals, data["patterns"], strict=True):
        for role, count in own.quilt.count_by_role.items():
            laid = pattern["laid"][role]
            assert len(pattern["pieces"][role]["d"]) == count
            assert len(laid["of"]) == sum(p.role == role for p in own.shown)
            assert len(laid.get("d", laid["of"])) == len(laid["of"])
        assert pattern["final"] == own.final == (own is made.first)
    laid = data["patterns"][1]["laid"].values()
    assert sum(len(v["places"]) for v in laid) < 0.5 * sum(len(v["of"]) for v in laid)


def test_amounts_and_cuts_are_the_plans(folder: Path, text: str) -> None:
    plan = proof(folder).first.cutting
    shown = page_data(text)["patterns"][0]["plan"]["fabrics"]
    for mine, theirs in zip(plan.fabrics, shown, strict=True):
        assert [len(s["pieces"]) for s in theirs["sheets"]] == [len(mine.placed)]
        assert sum(line[1] for line in theirs["lines"]) == len(mine.placed)
        assert theirs["sheets"][0]["along"] == mine.buy


def test_every_piece_of_cloth_at_hand_has_its_diagram(folder: Path) -> None:
    made = proof(folder)
    plan = cut_plan(made.first.quilt, made.first.fabrics, have={"background": [(40, 22), (60, 40)]})
    other = [replace(made.first, plan=plan)]
    page = page_data(proof_page_text(proof(folder, proposals=other)))
    shown = page["patterns"][0]["plan"]["fabrics"][1]
    assert shown["buy"] == (
        'at hand: 40" x 22", 39" after straightening; 60" x 40", 59" after straightening'
    )
    assert [(s["along"], s["across"]) for s in shown["sheets"]] == [(39, 22), (59, 40)]
    for sheet in shown["sheets"]:
        assert all(
            x + w <= sheet["across"] and y + h <= sheet["along"]
            for x, y, w, h, *_ in sheet["pieces"]
        )


def test_a_picture_is_embedded_once_however_often_it_is_used(text: str) -> None:
    data = page_data(text)
    assert len(data["cloths"]) == 5  # three in use, two more to pick
    assert len(data["pictures"]) == 3


def test_a_picture_of_noise_is_embedded(tmp_path: Path) -> None:
    """Noise takes more than a byte a pixel, for which an optimised JPEG has no room."""
    noise = np.random.default_rng(7).integers(0, 256, (300, 300, 3)).astype(np.uint8)
    Image.fromarray(noise).save(tmp_path / "sand.png")
    uri = _cloth_uri(Fabric("sand", image=tmp_path / "sand.png", width=12.0), 40.0, 88)
    with Image.open(io.BytesIO(base64.b64decode(uri.split(",")[1]))) as found:
        assert found.format == "JPEG"
        assert found.size == (300, 300)


def test_a_page_without_its_print_is_refused(folder: Path) -> None:
    with pytest.raises(QuiltKeyError, match="no cloth in the role 'focus'"):
        proof(folder, ("slipway",), cloth={"accent": fabrics(folder)["accent"]})
    with pytest.raises(QuiltValueError, match="at least one"):
        ProofInput("x", [])


def test_a_damaged_swatch_leaves_no_file(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "bad.jpg").write_bytes((folder / "print.jpg").read_bytes()[:900])
    focus = Fabric("bad", image=tmp_path / "bad.jpg", width=12)
    made = proof(folder, ("slipway",), cloth={"focus": focus})
    with pytest.raises(QuiltError, match=r"bad\.jpg"):
        write_proof_page(made, tmp_path / "out" / "page.html")
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("size", "width", "says"),
    [
        ((1, 30_000), 12.0, "100 times as long as wide"),
        ((30_000, 1), 12.0, "100 times as long"),
        ((600, 600), 0.01, "0.01 x 0.01 in; accepted: at least 0.05 in"),
        ((100, 1), 1.0, "1 x 0.01 in; accepted: at least 0.05 in"),
    ],
)
def test_a_swatch_no_wider_than_a_thread_is_refused(
    size: tuple[int, int], width: float, says: str, folder: Path, tmp_path: Path
) -> None:
    Image.new("RGB", size, "#204060").save(tmp_path / "thread.png")
    thread = Fabric("thread", image=tmp_path / "thread.png", width=width)
    made = proof(folder, ("slipway",), cloth=fabrics(folder) | {"focus": thread})
    with pytest.raises(QuiltError, match=says):
        write_proof_page(made, tmp_path / "page.html")
    assert not (tmp_path / "page.html").exists()
