"""Picture files that other people made, where a package on this machine carries some."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from quiltgeom.errors import QuiltFileError
from quiltgeom.fabric.image import image_info, load_image

PLACES = [
    ("skimage", "data"),
    ("matplotlib", "mpl-data/sample_data"),
    ("sklearn", "datasets/images"),
]
ENDINGS = {".jpg", ".png", ".tif", ".gif"}
DOC = Path("/usr/share/doc")


def files() -> list[Path]:
    found: list[Path] = []
    for package, folder in PLACES:
        spec = find_spec(package)
        for root in (spec.submodule_search_locations or []) if spec else []:
            found += sorted(p for p in (Path(root) / folder).glob("*") if p.suffix in ENDINGS)
    return found + sorted(DOC.glob("*/html/*.gif"))[:10]


FILES = files()
PHOTOS = [p for p in FILES if p.suffix in (".jpg", ".png")]


@pytest.mark.skipif(not FILES, reason="no package with sample pictures is installed")
def test_every_file_is_a_picture_or_one_clear_error() -> None:
    read = 0
    for path in FILES:
        try:
            info, image = image_info(path), load_image(path)
        except QuiltFileError:  # e.g. a TIFF with separate planes; any other error fails
            continue
        assert image.mode == "RGB"
        assert image.size == (info.width, info.height)
        read += 1
    assert read >= 0.9 * len(FILES)


@pytest.mark.skipif(not PHOTOS, reason="no package with sample photographs is installed")
@pytest.mark.parametrize("how", ["cmyk.jpg", "cmyk.tif", "grey16.png", "turned.jpg", "pal.png"])
def test_converted_foreign_pictures_keep_their_look(how: str, tmp_path: Path) -> None:
    source = max(PHOTOS, key=lambda p: p.stat().st_size)
    with Image.open(source) as opened:
        picture = opened.convert("RGB").resize((300, 200))
    path, wanted = tmp_path / how, np.asarray(picture, dtype=float)
    if how.startswith("cmyk"):
        picture.convert("CMYK").save(path)
    elif how == "grey16.png":
        grey = np.asarray(picture.convert("L"))
        Image.fromarray(grey.astype(np.uint16) * 257).save(path)
        wanted = np.repeat(grey[..., None], 3, axis=2).astype(float)
    elif how == "turned.jpg":
        exif = Image.Exif()
        exif[0x0112] = 6
        picture.transpose(Image.Transpose.ROTATE_90).save(path, exif=exif, quality=95)
    else:
        picture.quantize(256).save(path)
    assert np.abs(np.asarray(load_image(path), dtype=float) - wanted).mean() < 12
