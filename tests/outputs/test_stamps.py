"""A stamp tells our own file from one that was changed, and is a legal comment of each format."""

from __future__ import annotations

import io
from pathlib import Path

import ezdxf
import pypdf
import pypdfium2
import pytest
import resvg_py
from PIL import Image

from quiltgeom.outputs.stamps import KINDS, is_drawn, is_unchanged, stamped
from quiltgeom.render.pdf import pdf_bytes
from quiltgeom.render.scene import Scene
from quiltgeom.render.svg import svg_text

SCENE = Scene(3, 2, (), title="a page")


def plain(ending: str) -> bytes:
    if ending == ".pdf":
        return pdf_bytes([SCENE, SCENE])
    if ending == ".svg":
        return svg_text(SCENE).encode()
    if ending == ".dxf":
        out = io.StringIO()
        ezdxf.new("R2010").write(out)
        return out.getvalue().encode()
    packed = io.BytesIO()
    Image.new("RGB", (40, 30), "#336699").save(packed, "PNG" if ending == ".png" else "JPEG")
    return packed.getvalue()


@pytest.mark.parametrize("ending", KINDS)
def test_it_is_found_again_and_every_change_shows(ending: str, tmp_path: Path) -> None:
    path = tmp_path / f"file{ending}"
    before = plain(ending)
    path.write_bytes(before)
    assert not is_unchanged(path)
    assert not is_drawn(path)
    data = stamped(before, ending)
    path.write_bytes(data)
    assert is_unchanged(path)
    assert data == stamped(before, ending)
    for at in (12, len(data) // 2, len(data) - 100):
        path.write_bytes(data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :])
        assert not is_unchanged(path), at
    path.write_bytes(data[:-1])
    assert not is_unchanged(path)


@pytest.mark.parametrize("ending", [".png", ".jpg", ".svg"])
def test_a_drawing_is_no_cloth_even_when_it_was_changed(ending: str, tmp_path: Path) -> None:
    path = tmp_path / f"file{ending}"
    path.write_bytes(stamped(plain(ending), ending) + b" ")
    assert is_drawn(path)
    path.write_bytes(stamped(plain(ending), ending, cloth=True))
    assert not is_drawn(path)
    assert is_unchanged(path)


def test_other_libraries_read_the_files_as_before(tmp_path: Path) -> None:
    for ending in (".png", ".jpg"):
        with Image.open(io.BytesIO(stamped(plain(ending), ending))) as after:
            after.load()
            with Image.open(io.BytesIO(plain(ending))) as before:
                assert after.tobytes() == before.tobytes()
                assert after.info.get("dpi") == before.info.get("dpi")
    pdf = stamped(plain(".pdf"), ".pdf")
    assert len(pypdf.PdfReader(io.BytesIO(pdf), strict=True).pages) == 2
    assert len(pypdfium2.PdfDocument(pdf)) == 2
    assert resvg_py.svg_to_bytes(svg_string=stamped(plain(".svg"), ".svg").decode(), dpi=96)
    (tmp_path / "file.dxf").write_bytes(stamped(plain(".dxf"), ".dxf"))
    assert not ezdxf.readfile(tmp_path / "file.dxf").audit().errors
