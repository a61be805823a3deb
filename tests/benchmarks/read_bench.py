"""How well swatches are read: matrices over synthetic prints. Run by hand, prints only.

python -m tests.benchmarks.read_bench --seeds 101:106 [--hard] [--only FAMILY]
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Sequence

import numpy as np

from quiltgeom.colour import delta_e_2000, from_hex, rgb_to_lab
from quiltgeom.fabric.reading.motif import print_scale
from quiltgeom.fabric.reading.reading import Reading, read_array
from tests.reading.more_prints import ALL_FAMILIES, make_any
from tests.reading.prints import SIDE, Print, photo

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


def palette_error(p: Print, reading: Reading) -> float | None:
    """Mean CIEDE2000 from the inks of a print to the nearest colours found."""
    if not p.palette:
        return None
    inks = rgb_to_lab(np.array(p.palette, dtype=np.uint8))
    found = rgb_to_lab(np.stack([from_hex(c.hex) for c in reading.palette]))
    return float(delta_e_2000(inks[:, None], found[None]).min(axis=1).mean())


def score(
    p: Print, reading: Reading, hard: bool, tally: Counter[object], sizes: list[float]
) -> bool:
    d = reading.direction
    kind = d.figure if d.figure in ("stripe", "plaid") else d.kind
    tally["direction", p.direction, kind] += 1
    tally["sure" if d.confidence > 0.7 else "unsure", kind == p.direction] += 1
    vectors = [] if reading.repeat.kind == "one-axis" else list(reading.repeat.vectors_in)
    # a photo in perspective has no single scale: 1 % there is what the warp leaves
    ok = same_but_turned(vectors, p.vectors, 0.015 if hard else 0.01)
    if vectors and not p.vectors:
        tally["repeat", "false"] += 1
    tally["repeat", "right" if ok else ("wrong" if vectors else "missed")] += 1
    if ok and len(vectors) == 2:
        area = [abs(float(np.linalg.det(np.array(v)))) for v in (vectors, p.vectors)]
        sizes.append(abs(area[0] / area[1] - 1) / 2)
    if p.motif:
        tally["motif class", reading.scale == print_scale(p.motif)] += 1
    return ok and kind == p.direction


def main() -> None:
    ap = argparse.ArgumentParser()
    ap.add_argument("--seeds", default="1:4")
    ap.add_argument("--hard", action="store_true")
    ap.add_argument("--only", default="")
    args = ap.parse_args()
    lo, hi = map(int, args.seeds.split(":"))
    tally: Counter[object] = Counter()
    spent, errors, sizes = 0.0, [], []
    for family in (f for f in ALL_FAMILIES if args.only in f):
        for seed in range(lo, hi):
            p = make_any(family, seed)
            rgb = picture(p, seed, args.hard)
            start = time.process_time()
            reading = read_array(rgb, SIDE)
            spent += time.process_time() - start
            errors.append(palette_error(p, reading))
            if not score(p, reading, args.hard, tally, sizes):
                found = np.round(reading.repeat.vectors_in, 3).tolist()
                print(
                    family,
                    seed,
                    reading.repeat.kind,
                    found,
                    "true",
                    p.vectors,
                    "|",
                    reading.direction,
                    "true",
                    p.direction,
                    flush=True,
                )
    for key, n in sorted(tally.items(), key=str):
        print(*key if isinstance(key, tuple) else (key,), n)
    if sizes:
        print(f"size of the repeat: median error {100 * np.median(sizes):.3f} %")
    known = [e for e in errors if e is not None]
    print(f"palette error {np.mean(known):.2f}; {spent / len(errors):.2f} s of processor time each")


if __name__ == "__main__":
    main()
