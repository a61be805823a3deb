"""Pages for the tests: small swatches, a few patterns, all that a page can show."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image

from quiltgeom.cutting.plan import cut_plan
from quiltgeom.documents.proof_page import ProofInput, Swatch
from quiltgeom.fabric.reading.reading import read_array
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching.facts import PrintFacts
from quiltgeom.matching.rank import fit_pattern
from quiltgeom.model.fabric import Fabric, Repeat

KEYS = ("slipway", "gull-cove", "harbour-windows")


def soft_picture(side: int = 480) -> Image.Image:
    """A picture of soft colours that is different at every place and has an up."""
    y, x = np.mgrid[:side, :side] / side
    red = 0.5 + 0.4 * np.sin(9 * x + 4 * y)
    soft = np.stack([red, 0.4 + 0.3 * np.cos(7 * y), 0.2 + x * 0.6], axis=2)
    return Image.fromarray((soft * 255).astype(np.uint8))


def write_pictures(folder: Path) -> None:
    """``print``, ``quiet``, ``other`` (.jpg or .png) into a folder."""
    soft = soft_picture()
    soft.save(folder / "print.jpg", quality=92, subsampling=0)
    soft.transpose(Image.Transpose.ROTATE_90).save(folder / "quiet.png")
    pixels = np.asarray(soft)[::-1, :, ::-1] // 2
    Image.fromarray(np.ascontiguousarray(pixels)).save(folder / "other.jpg", quality=92)


def fabrics(folder: Path) -> dict[str, Fabric]:
    """One of every kind of continuation: sideways mirror, repeat, mirror."""
    return {
        "focus": Fabric("Gulls", image=folder / "print.jpg", width=12, direction="one-way"),
        "background": Fabric("Sand", image=folder / "quiet.png", width=8,
                             repeat=Repeat(2, 3, "half-drop")),
        "accent": Fabric("Slate", image=folder / "other.jpg", width=6, direction="two-way"),
    }  # fmt: skip


def proof(folder: Path, keys: tuple[str, ...] = KEYS, **changes: object) -> ProofInput:
    """A page of some patterns, with some fields changed."""
    whole = _whole(folder)
    fits = [f for f in whole.fits if f.pattern.key in keys]
    return replace(whole, **{"fits": fits, **changes})  # type: ignore[arg-type]


@cache
def _whole(folder: Path) -> ProofInput:
    cloth = fabrics(folder)
    facts = PrintFacts(3.0, "one-way", 0.5)
    fits = [fit_pattern(load_patterns().get(k), facts, (28, 36)) for k in KEYS]
    first = fits[0]
    swatches = [
        Swatch("Fog", Fabric("Fog", image=folder / "quiet.png", width=10), 0.12,
               (("quiet", "pass", "loudness 0.12 against 0.50 of the print"),)),
        Swatch("Night", Fabric("Night", colour="#1c2733"), 0.0),
        Swatch("Slate", cloth["accent"], 0.3, (("near in value", "caution", "4 apart"),)),
    ]  # fmt: skip
    return ProofInput(
        "A quilt for gulls", cloth["focus"], fits, cloth,
        reading=read_array(np.asarray(soft_picture()), 12.0),
        swatches=swatches,
        companions={"background": [("quiet", "pass", "loudness 0.12")]},
        separation=[("background against accent", "pass", "31 apart")],
        plans={first.pattern.key: cut_plan(first.quilt, cloth, seconds=0.2)},
        difficulty={first.pattern.key: ("comfortable", ["9 points to match"])},
    )  # fmt: skip
