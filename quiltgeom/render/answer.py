"""What a job answers: words for people, data for programs, pictures, files."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from quiltgeom.checks import Checks, number, unknown_option
from quiltgeom.errors import QuiltValueError
from quiltgeom.files import write_whole
from quiltgeom.render.scene import Scene

SUFFIXES = (".svg", ".png", ".pdf")

_NOTEBOOK_PX = 900
"""Longer side of a picture in a notebook, pixels."""


class Answer:
    """Common to the answers of all jobs: printed it is words, in a notebook a picture."""

    def to_json(self) -> dict[str, Any]:
        """Plain data: lengths in inches, angles in degrees clockwise."""
        raise NotImplementedError

    def lines(self) -> list[str]:
        """What there is to say, line by line."""
        raise NotImplementedError

    def scenes(self) -> Sequence[Scene]:
        """Its pages or pictures; the last one is what a notebook shows."""
        raise NotImplementedError

    def save(self, path: str | Path, **drawing: Any) -> Path:
        """Write one file, by its ending: ``.json`` data, ``.txt`` words, else a picture (``.pdf``
        all pages; ``.svg`` and ``.png`` one).

        Args:
            path: the file; it is replaced as a whole or not at all.
            drawing: ``px``, ``ppi`` or ``cloth_ppi`` of a picture, as of
                :func:`save_scene`.
        """
        for key, value in drawing.items():
            if key not in ("px", "ppi", "cloth_ppi"):
                raise unknown_option("save", key, ("px", "ppi", "cloth_ppi"))
            _check_pixels("save", key, value)
        path, kind = Path(path), Path(path).suffix.lower()
        if kind in (".json", ".txt"):
            text = json.dumps(self.to_json(), indent=2) if kind == ".json" else str(self)
            return write_whole(path, (text + "\n").encode("utf-8"))
        if kind == ".pdf" or not drawing:
            return save_scenes(self.scenes(), path)
        return save_scene(self.scenes()[-1], path, **drawing)

    def __str__(self) -> str:
        return "\n".join(self.lines())

    def __repr__(self) -> str:
        return f"<{type(self).__name__}: {self.lines()[0][:120]}>"

    def svg(self, cloth_ppi: float | None = None) -> str:
        """The picture as SVG text; ``cloth_ppi``: resolution of the embedded swatches (72)."""
        from quiltgeom.render.svg import CLOTH_PPI, svg_text

        return svg_text(self.scenes()[-1], cloth_ppi=cloth_ppi or CLOTH_PPI)

    def png(self, px: int = _NOTEBOOK_PX) -> bytes:
        """The picture as a PNG file's bytes, so many pixels on its longer side."""
        from quiltgeom.render.png import png_bytes

        _check_pixels("png", "px", px)
        return png_bytes(self.scenes()[-1], px=px)

    def _repr_png_(self) -> bytes:
        return self.png()


def _check_pixels(where: str, key: str, value: object) -> None:
    check = Checks(where)
    if value is not None:
        check.that(value, key, number(0, 1e6, " pixels", above=True))
    check.done()


def save_scene(
    scene: Scene,
    path: str | Path,
    *,
    px: int | None = None,
    ppi: float | None = None,
    cloth_ppi: float | None = None,
) -> Path:
    """Write a scene as SVG, PNG or PDF, by the file's ending.

    Args:
        px: PNG: length of the longer side in pixels (default 1500 unless ``ppi`` is given).
        ppi: PNG: pixels per inch.
        cloth_ppi: SVG: resolution of the embedded swatches, pixels per inch (default 72).

    Raises:
        QuiltValueError: another ending.
    """
    path, suffix = Path(path), check_suffix(path)
    if suffix == ".png":
        from quiltgeom.outputs.stamps import stamped
        from quiltgeom.render.png import png_bytes

        data = png_bytes(scene, px=1500 if px is None and ppi is None else px, ppi=ppi)
        return write_whole(path, stamped(data, ".png"))
    if suffix == ".svg":
        from quiltgeom.render.svg import CLOTH_PPI, write_svg

        return write_svg(scene, path, cloth_ppi=cloth_ppi or CLOTH_PPI)
    from quiltgeom.render.pdf import write_pdf

    return write_pdf(scene, path)


def check_suffix(path: str | Path) -> str:
    """The ending of a picture's file, in small letters.

    Raises:
        QuiltValueError: not one of :data:`SUFFIXES`.
    """
    suffix = Path(path).suffix.lower()
    if suffix not in SUFFIXES:
        raise QuiltValueError(
            f"output {path}: file ending: found {suffix or 'none'!r}; "
            f"accepted: {', '.join(SUFFIXES)}"
        )
    return suffix


def save_scenes(scenes: Sequence[Scene], path: str | Path) -> Path:
    """Sheets as one PDF; as SVG or PNG only the last one (the top of a quilt).

    Raises:
        QuiltValueError: another ending.
    """
    path = Path(path)
    if check_suffix(path) == ".pdf":
        from quiltgeom.render.pdf import write_pdf

        return write_pdf(scenes, path)
    return save_scene(scenes[-1], path, ppi=120)
