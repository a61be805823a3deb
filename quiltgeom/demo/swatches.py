"""The demo's swatches: what they are, drawing them, writing them as picture files."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from quiltgeom.demo.print_spec import SWATCH_INCHES, SwatchInfo
from quiltgeom.errors import QuiltKeyError, QuiltValueError
from quiltgeom.model.fabric import Repeat
from quiltgeom.texts import read_toml

if TYPE_CHECKING:
    from PIL import Image

_DATA = Path(__file__).with_name("swatches.toml")


def _info(t: dict[str, Any]) -> SwatchInfo:
    size = t.get("repeat")
    return SwatchInfo(
        name=t["name"],
        title=t["title"],
        design=t["design"],
        direction=t["direction"],
        up_deg=t.get("up", 0),
        repeat=Repeat(size[0], size[1], t.get("repeat_kind", "straight")) if size else None,
        motif_in=t["motif"],
        character=t["character"],
        ground=t.get("ground", t["inks"][0]),
        inks=tuple(t["inks"]),
        seed=t.get("seed", 0),
        slub=t.get("slub", 0.0),
        motif_at=(t["motif_at"][0], t["motif_at"][1]) if "motif_at" in t else None,
    )


SWATCHES: tuple[SwatchInfo, ...] = tuple(map(_info, read_toml(_DATA)["swatch"]))
"""Every swatch, in the order of the data file."""


def design_folder() -> Path:
    """Folder with the example designs that come with the package."""
    return _DATA.with_name("designs")


def swatch_info(name: str) -> SwatchInfo:
    """The swatch of that name.

    Raises:
        QuiltKeyError: there is none.

    >>> swatch_info("market-lemons").direction
    'non-directional'
    """
    for info in SWATCHES:
        if info.name == name:
            return info
    known = ", ".join(s.name for s in SWATCHES)
    raise QuiltKeyError(f"demo swatch: found {name!r}; accepted: {known}")


def draw_swatch(name: str, ppi: int = 150) -> Image.Image:
    """Draw one swatch: 12 x 12 inches of printed cotton, RGB.

    Args:
        ppi: pixels per inch, 20 to 600.

    Raises:
        QuiltKeyError: no swatch of that name.
        QuiltValueError: ``ppi`` out of range.
    """
    import numpy as np
    from PIL import Image

    from quiltgeom.demo import cloth_weave
    from quiltgeom.demo.printing import print_tile

    info = swatch_info(name)
    if not 20 <= ppi <= 600:
        raise QuiltValueError(f"ppi: found {ppi}; accepted: 20 to 600 pixels per inch")
    px = round(SWATCH_INCHES * ppi)
    if info.design == "crossweave":
        pixels = cloth_weave.dye(info.inks[0], info.inks[1], px, ppi, info.slub)
    elif info.design == "mottle":
        pixels = cloth_weave.mottle(info.inks[0], info.inks[1], px, ppi, info.seed)
    else:
        pixels = cloth_weave.print_on(print_tile(info, ppi), px, ppi)
    return Image.fromarray(np.ascontiguousarray(pixels))


def write_swatches(
    folder: str | Path,
    names: Iterable[str] | None = None,
    ppi: int = 150,
    format: Literal["jpg", "png"] = "jpg",
    progress: Callable[[SwatchInfo], None] | None = None,
) -> list[Path]:
    """Write swatches as ``NAME.jpg`` or ``NAME.png``; the files say their density.

    Args:
        folder: made if missing; files of the same name are replaced.
        ppi: pixels per inch.
        format: ``jpg`` (quality 92, full colour resolution) or ``png``.
        progress: called with each swatch after it is written.

    Raises:
        QuiltKeyError: an unknown name (before anything is written).
        QuiltValueError: an unknown format.
        QuiltFileError: the folder cannot be written to.
    """
    from quiltgeom.files import write_whole

    infos = SWATCHES if names is None else tuple(swatch_info(n) for n in names)
    if format not in ("jpg", "png"):
        raise QuiltValueError(f"picture format: found {format!r}; accepted: jpg, png")
    paths = []
    for info in infos:
        data = _encode(draw_swatch(info.name, ppi), ppi, format)
        paths.append(write_whole(Path(folder) / f"{info.name}.{format}", data))
        if progress:
            progress(info)
    return paths


def _encode(image: Image.Image, ppi: int, format: str) -> bytes:
    out = io.BytesIO()
    if format == "jpg":
        image.save(out, "JPEG", quality=92, subsampling=0, dpi=(ppi, ppi))
    else:
        image.save(out, "PNG", dpi=(ppi, ppi), compress_level=4)
    return out.getvalue()
