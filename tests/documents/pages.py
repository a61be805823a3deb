"""Pages for the tests: small swatches, a few patterns, all that a page can show."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
from PIL import Image

from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.documents.proof_page import ProofInput, Swatch
from quiltgeom.fabric.reading.reading import read_array
from quiltgeom.library.patterns import load_patterns
from quiltgeom.matching.facts import PrintFacts
from quiltgeom.matching.rank import fit_pattern
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric, Repeat
from quiltgeom.proposal.proposal import propose

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
        "background": Fabric(
            "Sand", image=folder / "quiet.png", width=8, repeat=Repeat(2, 3, "half-drop")
        ),
        "accent": Fabric("Slate", image=folder / "other.jpg", width=6, direction="two-way"),
    }


def proof(
    folder: Path,
    keys: tuple[str, ...] = KEYS,
    *,
    cloth: dict[str, Fabric] | None = None,
    planned: bool = True,
    **changes: object,
) -> ProofInput:
    """A page of some patterns, with other cloths, or with some fields changed."""
    whole = _whole(folder)
    made = [p for p in whole.proposals if p.pattern.key in keys]
    if cloth is not None or not planned:
        worn = cloth or fabrics(folder)
        made = [replace(p, design=replace(p.design, fabrics=worn), plan=None) for p in made]
    return replace(whole, **{"proposals": made, **changes})  # type: ignore[arg-type]


@cache
def _whole(folder: Path) -> ProofInput:
    cloth = fabrics(folder)
    facts = PrintFacts(3.0, "one-way", 0.5)
    reading = read_array(np.asarray(soft_picture()), 12.0)
    made = []
    for key in KEYS:
        fit = fit_pattern(load_patterns().get(key), facts, (28, 36))
        plan = cut_plan(fit.quilt, cloth, effort=1) if key == KEYS[0] else None
        made.append(
            propose(
                Design(key, cloth),
                quilt=fit.quilt,
                plan=plan,
                planned=False,
                readings={"focus": reading},
                given=fit.verdicts,
            )
        )
    swatches = [
        Swatch(
            "Fog",
            Fabric("Fog", image=folder / "quiet.png", width=10),
            0.12,
            (("quiet", "pass", "loudness 0.12 against 0.50 of the print"),),
        ),
        Swatch("Night", Fabric("Night", colour="#1c2733"), 0.0),
        Swatch("Slate", cloth["accent"], 0.3, (("near in value", "caution", "4 apart"),)),
    ]
    return ProofInput(
        "A quilt for gulls",
        made,
        swatches,
        companions={"background": [("quiet", "pass", "loudness 0.12")]},
        pair=[("background against accent", "pass", "31 apart")],
    )
