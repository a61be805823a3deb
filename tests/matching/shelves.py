"""Shelves of made-up readings: any number of swatches, without drawing or reading one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from quiltgeom.colour import from_hex, lab_to_lch, rgb_to_lab, to_hex
from quiltgeom.onhand.features import FEATURES, Shelf, features_of


def made_up(
    *colours: str | tuple[str, float],
    loudness: float = 0.05,
    motif: float | None = None,
    purity: float = 0.5,
    width: float = 12.0,
) -> dict[str, Any]:
    """The JSON of a reading with these colours (shares equal unless given)."""
    pairs = [c if isinstance(c, tuple) else (c, 1 / len(colours)) for c in colours]
    lab = rgb_to_lab(np.stack([from_hex(c) for c, _ in pairs]))
    share = np.array([s for _, s in pairs])
    light = lab[:, 0] / 10
    return {
        "width_in": width,
        "palette": [{"hex": c, "share": s, "name": ""} for c, s in pairs],
        "loudness": loudness,
        "motif_in": {"typical": motif},
        "value": {
            "munsell": float(light @ share),
            "low": float(light.min()),
            "high": float(light.max()),
        },
        "chroma": {"mean": float(lab_to_lch(lab)[:, 1] @ share), "purity": purity},
    }


def shelf_of(readings: dict[str, dict[str, Any]], amounts: dict[str, float] | None = None) -> Shelf:
    """A shelf of named readings; ``amounts``: length on hand of some of them, inches."""
    names = tuple(readings)
    rows = np.zeros(len(names), dtype=FEATURES)
    for i, name in enumerate(names):
        rows[i] = features_of(readings[name])
    given = amounts or {}
    lengths = np.array([given.get(n, np.nan) for n in names])
    return Shelf(
        Path(),
        tuple(range(len(names))),
        names,
        tuple(f"{n}.jpg" for n in names),
        names,
        rows,
        np.full(len(names), np.nan),
        lengths,
    )


def random_shelf(count: int, seed: int = 0) -> Shelf:
    """Many different cloths: plain and printed, light and dark, muted and clear."""
    rng = np.random.default_rng(seed)
    readings = {}
    for k in range(count):
        inks = [to_hex(rng.integers(0, 256, 3)) for _ in range(rng.integers(1, 9))]
        share = rng.dirichlet(np.full(len(inks), 0.6))
        readings[f"cloth-{k:05d}"] = made_up(
            *zip(inks, share.tolist(), strict=True),
            loudness=float(rng.beta(1.2, 3.0)),
            motif=None if rng.random() < 0.3 else float(rng.lognormal(0, 1)),
            purity=float(rng.random()),
        )
    return shelf_of(readings)
