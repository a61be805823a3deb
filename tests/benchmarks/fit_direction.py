"""Fits the direction model: clues of known prints -> ``direction_model.toml``. Run by hand.

    python -m tests.benchmarks.fit_direction DIR --seeds 200:203 --clues CLUES.jsonl [--write]

``DIR`` holds the tiles of ``tile_bench``; only the half for tuning is used. Clues are kept in the
given file, so that a second run only fits. Prints how honest the probabilities are on families
that were left out (8-fold cross-validation).
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path
from zlib import crc32

import numpy as np
from scipy.optimize import minimize

from quiltgeom.fabric.reading import direction as module
from quiltgeom.model.fabric import DIRECTIONS
from tests.benchmarks.tile_bench import cached, coarse, known_tiles
from tests.reading.more_prints import ALL_FAMILIES, make_any
from tests.reading.prints import photo

BARS = ("stripe", "diagonal", "plaid", "gingham", "solid")  # found by rule, not by clues
CUT = ("one-way", "two-way", "free")
FOLDS, RIDGE = 8, 3.0


def pictures(root: Path, seeds: tuple[int, int], done: set[str]) -> Iterator[tuple[str, str, str,
                                                                         np.ndarray]]:  # fmt: skip
    for tile in known_tiles():
        if tile.half == "tune" and tile.direction and tile.name not in done:
            yield tile.name, tile.name, tile.direction, cached(tile, root, 0, None)[0]
    for family in (f for f in ALL_FAMILIES if f not in BARS):
        for seed in range(*seeds):
            if f"{family}-{seed}" not in done:
                p = make_any(family, seed)
                rgb = photo(p.rgb, seed) if seed % 2 else p.rgb
                yield f"{family}-{seed}", family, p.direction, rgb


def clues_of(rgb: np.ndarray) -> dict[str, float] | None:
    """The clues that reading this picture weighs; None where it decides without."""
    from quiltgeom.fabric.reading.reading import read_array

    seen: list[dict[str, float]] = []
    plain = module._weighed

    def spy(clues: dict[str, float], repeat: object) -> module.DirectionReading:
        seen.append(clues)
        return plain(clues, repeat)  # type: ignore[arg-type]

    module._weighed = spy
    try:
        read_array(rgb, 12.0)
    finally:
        module._weighed = plain
    return seen[0] if seen else None


def gather(root: Path, seeds: tuple[int, int], path: Path) -> list[dict]:
    rows = [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []
    with path.open("a") as file:
        for name, family, true, rgb in pictures(root, seeds, {r["name"] for r in rows}):
            row = {"name": name, "family": family, "true": true, "clues": clues_of(rgb)}
            rows.append(row)
            file.write(json.dumps(row) + "\n")
            file.flush()
    return [r for r in rows if r["clues"]]


def fit(x: np.ndarray, allowed: np.ndarray) -> np.ndarray:
    """Weights ``(4, 1 + clues)``; ``allowed`` marks the kinds that count as right."""
    a = np.column_stack([np.ones(len(x)), x])

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        w = flat.reshape(len(DIRECTIONS), -1)
        p = chances(w, x)
        right = np.maximum((p * allowed).sum(axis=1), 1e-12)
        slope = (p - p * allowed / right[:, None]).T @ a
        slope[:, 1:] += 2 * RIDGE * w[:, 1:]
        return float(-np.log(right).sum() + RIDGE * (w[:, 1:] ** 2).sum()), slope.ravel()

    start = np.zeros(len(DIRECTIONS) * a.shape[1])
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 400})
    return np.asarray(found.x).reshape(len(DIRECTIONS), -1)


def chances(w: np.ndarray, x: np.ndarray) -> np.ndarray:
    score = np.column_stack([np.ones(len(x)), x]) @ w.T
    p = np.exp(score - score.max(axis=1, keepdims=True))
    return np.asarray(p / p.sum(axis=1, keepdims=True))


def report(rows: list[dict], x: np.ndarray, allowed: np.ndarray) -> None:
    fold = np.array([crc32(r["family"].encode()) % FOLDS for r in rows])
    p = np.zeros((len(rows), len(DIRECTIONS)))
    for k in range(FOLDS):
        p[fold == k] = chances(fit(x[fold != k], allowed[fold != k]), x[fold == k])
    pooled = np.column_stack([p[:, 0], p[:, 1], p[:, 2] + p[:, 3]])
    right = pooled.argmax(axis=1) == np.array([CUT.index(coarse(r["true"])) for r in rows])
    claim = pooled.max(axis=1)
    print(f"left-out families: {right.sum()} of {len(rows)} right")
    for low, high in ((0.3, 0.5), (0.5, 0.7), (0.7, 0.8), (0.8, 0.9), (0.9, 0.95), (0.95, 1.01)):
        here = (claim >= low) & (claim < high)
        if here.any():
            print(f"  claimed {claim[here].mean():.2f}: {right[here].mean():.2f} right"
                  f" ({here.sum()})")  # fmt: skip
    for r, ok, q in zip(rows, right, p, strict=True):
        if not ok:
            print("  ", r["name"], r["true"], q.round(2))


def main() -> None:
    ap = argparse.ArgumentParser()
    ap.add_argument("root", type=Path)
    ap.add_argument("--seeds", default="200:203")
    ap.add_argument("--clues", type=Path, default=Path("clues.jsonl"))
    ap.add_argument("--write", action="store_true")
    args = ap.parse_args()
    lo, hi = map(int, args.seeds.split(":"))
    rows = gather(args.root, (lo, hi), args.clues)
    names = sorted(rows[0]["clues"])
    raw = np.clip([[r["clues"][n] for n in names] for r in rows], -1.5, 1.5)
    mean, spread = raw.mean(axis=0), raw.std(axis=0) + 1e-6
    x = (raw - mean) / spread
    allowed = np.array([[coarse(k) == "free" if r["true"] == "free" else k == r["true"]
                         for k in DIRECTIONS] for r in rows], dtype=float)  # fmt: skip
    report(rows, x, allowed)
    w = fit(x, allowed)
    table = [*MODEL_HEAD.format(n=len(rows), ridge=RIDGE).splitlines()]
    table += ["constant = [" + ", ".join(f"{v:.4f}" for v in w[:, 0]) + "]", "", "[clue]"]
    for j, name in enumerate(names):
        row = (mean[j], spread[j], *w[:, 1 + j])
        table.append(f'"{name}" = [' + ", ".join(f"{v:.4f}" for v in row) + "]")
    if args.write:
        out = Path(module.__file__).with_name("direction_model.toml")
        out.write_text("\n".join(table) + "\n", encoding="utf-8")


MODEL_HEAD = """\
# How clues weigh in a print's direction: multinomial logistic regression with a ridge of {ridge:g},
# fitted to {n} known prints (photographed tiles of the half for tuning, synthetic prints) by
# tests/benchmarks/fit_direction.py. Fitted, not chosen. Each clue: mean, spread, then its weight
# for one-way, two-way, four-way, non-directional."""


if __name__ == "__main__":
    main()
