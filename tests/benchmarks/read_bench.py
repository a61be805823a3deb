"""How well swatches are read: matrices over synthetic prints. Run by hand, prints only.

    python -m tests.benchmarks.read_bench --seeds 101:106 [--hard] [--only FAMILY]
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Sequence

import numpy as np

from tests.reading.prints import FAMILIES, SIDE, Print, make, photo

Vectors = Sequence[tuple[float, float]]


def same_lattice(found: Vectors, true: Vectors, tol: float) -> bool:
    """Whether two sets of vectors span the same lattice, to ``tol`` of each vector's length."""
    if len(found) != len(true):
        return False
    if not true:
        return True
    f, t = np.array(found), np.array(true)
    if len(t) == 1:
        off = min(np.linalg.norm(f[0] - t[0]), np.linalg.norm(f[0] + t[0]))
        return bool(off <= tol * np.linalg.norm(t[0]))
    coords = f @ np.linalg.inv(t)
    whole = np.rint(coords)
    if abs(round(float(np.linalg.det(whole)))) != 1:
        return False
    off = np.linalg.norm((coords - whole) @ t, axis=1)
    return bool((off <= tol * np.linalg.norm(f, axis=1)).all())


def same_but_turned(found: Vectors, true: Vectors, tol: float) -> bool:
    """The same after the best small turn: a photo may lie a little askew."""
    for degrees in np.arange(-3.0, 3.01, 0.1):
        a = np.radians(degrees)
        turn = np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])
        turned = [(float(x), float(y)) for x, y in np.array(found).reshape(-1, 2) @ turn]
        if same_lattice(turned, true, tol):
            return True
    return False


def picture(p: Print, seed: int, hard: bool) -> np.ndarray:
    return photo(p.rgb, seed) if hard else p.rgb


def main() -> None:
    from quiltgeom.fabric.reading.repeat import read_repeat

    ap = argparse.ArgumentParser()
    ap.add_argument("--seeds", default="1:4")
    ap.add_argument("--hard", action="store_true")
    ap.add_argument("--only", default="")
    args = ap.parse_args()
    lo, hi = map(int, args.seeds.split(":"))
    tally: Counter[str] = Counter()
    spent = 0.0
    for family in FAMILIES:
        if args.only and args.only not in family:
            continue
        for seed in range(lo, hi):
            p = make(family, seed)
            rgb = picture(p, seed, args.hard)
            start = time.process_time()
            got = read_repeat(rgb, SIDE)
            spent += time.process_time() - start
            vectors = [] if got.kind == "one-axis" else list(got.vectors_in)
            # a photo in perspective has no single scale: 1 % there is what the warp leaves
            ok = same_but_turned(vectors, p.vectors, 0.015 if args.hard else 0.01)
            tally["right" if ok else ("false" if vectors else "missed")] += 1
            if not ok:
                found = np.round(got.vectors_in, 3).tolist()
                true = np.round(p.vectors, 3).tolist()
                print(family, seed, got.kind, found, f"{got.confidence:.2f}", "true", true)
    print(dict(tally), f"{spent / max(1, sum(tally.values())):.2f} s each")


if __name__ == "__main__":
    main()
