"""A corrected photo is a picture that reads as the correction said."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from quiltgeom.cli import cli
from quiltgeom.documents.reading_picture import write_corrected
from quiltgeom.errors import QuiltError
from quiltgeom.fabric.image import image_info


def shaded(path: Path) -> Path:
    """Dots on cloth, its right half in shadow."""
    y, x = np.mgrid[0:600, 0:600]
    dots = np.where((x % 100 - 50) ** 2 + (y % 100 - 50) ** 2 < 500, 70.0, 220.0)
    light = np.clip(1.15 - x / 1000, 0, 1)
    rgb = np.repeat((dots * light)[..., None], 3, axis=2)
    Image.fromarray(rgb.astype(np.uint8)).save(path, quality=95)
    return path


def test_the_shadow_is_out_of_the_picture_and_its_size_in_it(tmp_path: Path) -> None:
    photo, out = shaded(tmp_path / "table.jpg"), tmp_path / "dots.png"
    args = ["read", str(photo), "--width", "6in", "--even-light", "--corrected", str(out)]
    result = CliRunner().invoke(cli, args)
    assert result.exit_code == 0, result.output
    pixels = np.asarray(Image.open(out).convert("L")).astype(float)
    ground = np.median(pixels[:, 20:80]), np.median(pixels[:, 520:580])
    before = np.asarray(Image.open(photo).convert("L")).astype(float)
    assert (
        abs(ground[0] - ground[1])
        < 12
        < abs(np.median(before[:, 20:80]) - np.median(before[:, 520:580]))
    )
    assert image_info(out).width == 600
    assert Image.open(out).info["dpi"][0] == pytest.approx(100, abs=0.1)


def test_the_photo_itself_is_never_written(tmp_path: Path) -> None:
    photo = shaded(tmp_path / "table.jpg")
    before = photo.read_bytes()
    for name in ("table.jpg", "table.tiff"):
        with pytest.raises(QuiltError, match="corrected picture: found"):
            write_corrected(photo, tmp_path / name, 6.0)
    assert photo.read_bytes() == before
    assert not (tmp_path / "table.tiff").exists()


def test_fussy_names_a_role(tmp_path: Path) -> None:
    photo = shaded(tmp_path / "dots.jpg")
    args = [
        "preview",
        "--pattern",
        "tide-tables",
        "--fussy",
        "nope",
        "--focus",
        str(photo),
        "--width",
        "6in",
        "-o",
        str(tmp_path / "q.png"),
    ]
    result = CliRunner().invoke(cli, args)
    assert result.exit_code == 2
    assert "fussy: found role 'nope'" in result.output
    assert not (tmp_path / "q.png").exists()
