"""Loudness against what an eye said of forty swatches."""

from __future__ import annotations

import tomllib
from itertools import combinations, pairwise
from pathlib import Path
from statistics import median

import numpy as np

from quiltgeom.demo.swatches import SWATCHES, draw_swatch
from quiltgeom.fabric.reading.value import read_loudness

JUDGED = tomllib.loads(Path(__file__).with_name("judged_loudness.toml").read_text("utf-8"))
ORDER = ("solid", "texture", "blender", "small", "loud")


def test_classes_rise_as_the_eye_put_them() -> None:
    names = [n for kind in ORDER for n in JUDGED[kind]]
    assert sorted(names) == sorted(s.name for s in SWATCHES)
    loud = {n: read_loudness(np.asarray(draw_swatch(n, 40)), 12.0) for n in names}
    middle = [median(loud[n] for n in JUDGED[kind]) for kind in ORDER]
    assert middle == sorted(middle)
    assert all(b > 1.3 * a for a, b in pairwise(middle))
    pairs = [
        (loud[a], loud[b])
        for i, j in combinations(range(5), 2)
        for a in JUDGED[ORDER[i]]
        for b in JUDGED[ORDER[j]]
    ]
    right = sum(a < b for a, b in pairs) / len(pairs)
    assert right >= 0.95, f"{right:.3f} of {len(pairs)} pairs in the order of the eye"
    assert max(loud[n] for n in JUDGED["solid"]) < min(loud[n] for n in JUDGED["texture"])
    assert max(loud[n] for n in JUDGED["texture"]) < min(loud[n] for n in JUDGED["blender"])
