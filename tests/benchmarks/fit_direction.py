"""Fits the direction model: clues of known prints -> ``direction_model.json``. Run by hand.

    python -m tests.benchmarks.fit_direction DIR --icons ICONS --clues CLUES.jsonl [--write]

``DIR`` holds the tiles of ``tile_bench``, ``ICONS`` the pictograms of ``icon_prints``. Clues are
kept in the given file, so that a second run only fits (gathering takes about three quarters of an
hour). Prints how honest the chances are on families
that were left out (8-fold cross-validation), and how well prints of the second collection are read
by a model that has seen none of it.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from zlib import crc32

import numpy as np
from scipy.cluster.vq import kmeans2
from scipy.optimize import minimize

from quiltgeom.fabric.reading.directions import direction as module
from quiltgeom.fabric.reading.directions.direction_model import (
    FINENESS,
    MOST,
    DirectionModel,
    gaussian_kernel,
)
from quiltgeom.model.fabric import DIRECTIONS
from tests.benchmarks.group_prints import MAKERS, group_print
from tests.benchmarks.icon_prints import icon_print
from tests.benchmarks.tile_bench import cached, coarse, known_tiles
from tests.reading.more_prints import ALL_FAMILIES, make_any
from tests.reading.prints import photo

BARS = ("stripe", "diagonal", "plaid", "gingham", "solid")  # found by rule, not by clues
CUT = ("one-way", "two-way", "free")
FOLDS, RIDGE = 8, 0.05
LANDMARKS, GAMMA = 200, 0.005
COVERED, SURE = 0.75, 0.7  # so many prints are claimed above so much
HALVES = ("tune", "held", "tune2", "held2", "held3", "held4")  # held ones were opened first
WEIGHT = {"tile": 1.0, "drawn": 1.0, "made": 0.7}
ICONS, NEARLY, GROUPS, OTHERS, SEEDS = 400, 120, 200, 50, range(200, 207)
Known = tuple[str, str, str, str, np.ndarray]


def pictures(root: Path, icons: Path, done: set[str]) -> Iterator[Known]:
    """Name, kind, family, true direction and pixels of every print that is not done yet."""
    for take in (0, 1):
        for t in known_tiles():
            name = f"{t.source}-{t.name}-{take}"
            if t.half in HALVES and t.direction and name not in done:
                rgb = cached(t, root, take, None)[0]
                yield name, "tile", f"{t.half}:{t.name}", t.direction, rgb
    counts = dict.fromkeys(MAKERS, OTHERS) | {"group": GROUPS, "icon": ICONS, "nearly": NEARLY}
    for maker, count in counts.items():
        for seed in (s for s in range(count) if f"{maker}-{s}" not in done):
            p = (
                group_print(maker, seed)
                if maker in MAKERS or maker == "group"
                else icon_print(icons, seed, nearly=maker == "nearly")
            )
            yield f"{maker}-{seed}", "made", p.family, p.direction, p.rgb
    for family in (f for f in ALL_FAMILIES if f not in BARS):
        for seed in (s for s in SEEDS if f"{family}-{s}" not in done):
            p = make_any(family, seed)
            rgb = photo(p.rgb, seed) if seed % 2 else p.rgb
            yield f"{family}-{seed}", "drawn", family, p.direction, rgb


def clues_of(rgb: np.ndarray) -> dict[str, float] | None:
    """The features that reading this picture weighs; None where it decides without."""
    from quiltgeom.fabric.reading.reading import read_array

    seen: list[dict[str, float]] = []
    plain = module._weighed

    def spy(clues: dict[str, float], repeat: object) -> module.DirectionReading:
        seen.append(clues)
        return module.DirectionReading("one-way")

    module._weighed = spy  # type: ignore[assignment]
    try:
        read_array(rgb, 12.0)
    finally:
        module._weighed = plain
    return {k: round(float(v), 5) for k, v in seen[0].items()} if seen else None


def gather(root: Path, icons: Path, path: Path) -> list[dict]:
    rows = [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []
    with path.open("a") as file:
        for name, kind, family, true, rgb in pictures(root, icons, {r["name"] for r in rows}):
            row = {
                "name": name,
                "kind": kind,
                "family": family,
                "true": true,
                "clues": clues_of(rgb),
            }
            rows.append(row)
            file.write(json.dumps(row) + "\n")
            file.flush()
    return sorted((r for r in rows if r["clues"]), key=lambda r: r["name"])


def fitted(
    raw: np.ndarray,
    allowed: np.ndarray,
    weight: np.ndarray,
    names: Sequence[str],
    temperature: float = 1.0,
) -> DirectionModel:
    """A model of features ``(n, features)``; ``allowed`` marks the kinds that count as right."""
    mean, spread = raw.mean(axis=0).round(4), (raw.std(axis=0) + 1e-6).round(4)
    spread = np.maximum(spread, 1e-4)
    x = np.clip((raw - mean) / spread, -MOST, MOST)
    centres = kmeans2(x, LANDMARKS, minit="++", rng=np.random.default_rng(0))[0]
    landmarks = np.rint(centres * FINENESS) / FINENESS
    # principal directions of what the landmarks span, so that the ridge acts evenly
    size, along = np.linalg.eigh(gaussian_kernel(landmarks, landmarks, GAMMA))
    turn = along[:, size > 1e-4] / np.sqrt(size[size > 1e-4])
    w = fit(gaussian_kernel(x, landmarks, GAMMA) @ turn, allowed, weight)
    return DirectionModel(
        tuple(names),
        mean,
        spread,
        landmarks,
        GAMMA,
        w[:, 0].round(3),
        (w[:, 1:] @ turn.T).round(3),
        temperature,
    )


def pooled(scores: np.ndarray, temperature: float) -> np.ndarray:
    """Chances of one-way, two-way and free."""
    p = np.exp((scores - scores.max(axis=1, keepdims=True)) / temperature)
    p /= p.sum(axis=1, keepdims=True)
    return np.column_stack([p[:, 0], p[:, 1], p[:, 2] + p[:, 3]])


def fit(x: np.ndarray, allowed: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Weights ``(4, 1 + features)``; ``allowed`` marks the kinds that count as right."""
    a = np.column_stack([np.ones(len(x)), x])

    def loss(flat: np.ndarray) -> tuple[float, np.ndarray]:
        w = flat.reshape(len(DIRECTIONS), -1)
        p = chances(w, x)
        right = np.maximum((p * allowed).sum(axis=1), 1e-12)
        slope = ((p - p * allowed / right[:, None]) * weight[:, None]).T @ a
        slope[:, 1:] += 2 * RIDGE * w[:, 1:]
        total = float(-(weight * np.log(right)).sum() + RIDGE * (w[:, 1:] ** 2).sum())
        return total, slope.ravel()

    start = np.zeros(len(DIRECTIONS) * a.shape[1])
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 2000})
    return np.asarray(found.x).reshape(len(DIRECTIONS), -1)


def chances(w: np.ndarray, x: np.ndarray) -> np.ndarray:
    score = np.column_stack([np.ones(len(x)), x]) @ w.T
    p = np.exp(score - score.max(axis=1, keepdims=True))
    return np.asarray(p / p.sum(axis=1, keepdims=True))


def left_out(
    rows: list[dict], raw: np.ndarray, allowed: np.ndarray, weight: np.ndarray
) -> np.ndarray:
    """Scores of every print by a model that has not seen its family."""
    fold = np.array(
        [
            int(r["family"].split("-")[1])
            if r["kind"] == "made"
            else crc32(r["family"].encode()) % FOLDS
            for r in rows
        ]
    )
    out = np.zeros((len(rows), len(DIRECTIONS)))
    for k in range(FOLDS):
        seen = fold != k
        model = fitted(raw[seen], allowed[seen], weight[seen], sorted(rows[0]["clues"]))
        out[~seen] = model.scores(raw[~seen])
    return out


def report(rows: list[dict], p: np.ndarray, title: str) -> None:
    true = np.array([CUT.index(coarse(r["true"])) for r in rows])
    right, claim = p.argmax(axis=1) == true, p.max(axis=1)
    sure = claim > SURE
    print(
        f"{title}: {right.sum()} of {len(rows)} right ({right.mean():.3f}); where above {SURE}:"
        f" {right[sure].sum()} of {sure.sum()} ({right[sure].mean():.3f}), {sure.mean():.2f} of"
        " all"
    )
    for k, name in enumerate(CUT):
        found = np.bincount(p.argmax(axis=1)[true == k], minlength=len(CUT))
        print(f"  true {name}: " + ", ".join(f"{c} {n}" for c, n in zip(CUT, found, strict=True)))
    for low, high in ((0.3, 0.5), (0.5, 0.7), (0.7, 0.8), (0.8, 0.9), (0.9, 0.95), (0.95, 1.01)):
        here = (claim >= low) & (claim < high)
        if here.any():
            print(f"  claimed {claim[here].mean():.2f}: {right[here].sum()} of {here.sum()} right")
    for r, ok, q in zip(rows, right, p, strict=True):
        if not ok and r["kind"] == "tile":
            print("    ", r["name"], r["true"], q.round(2))


def honest(rows: list[dict], scores: np.ndarray) -> float:
    """The temperature by which ``COVERED`` of the left-out tiles are claimed above ``SURE``."""
    tile = np.array([r["kind"] == "tile" for r in rows])
    for temperature in np.arange(1.0, 3.01, 0.05):
        if (pooled(scores[tile], float(temperature)).max(axis=1) > SURE).mean() <= COVERED:
            break
    return round(float(temperature), 2)


def main() -> None:
    ap = argparse.ArgumentParser()
    ap.add_argument("root", type=Path)
    ap.add_argument("--icons", type=Path, required=True)
    ap.add_argument("--clues", type=Path, default=Path("clues.jsonl"))
    ap.add_argument("--write", action="store_true")
    args = ap.parse_args()
    rows = gather(args.root, args.icons, args.clues)
    names = sorted(rows[0]["clues"])
    raw = np.clip([[r["clues"][n] for n in names] for r in rows], -1.5, 1.5)
    allowed = np.array(
        [
            [coarse(k) == "free" if r["true"] == "free" else k == r["true"] for k in DIRECTIONS]
            for r in rows
        ],
        dtype=float,
    )
    weight = np.array([WEIGHT[r["kind"]] for r in rows])
    scores = left_out(rows, raw, allowed, weight)
    temperature = honest(rows, scores)
    p = pooled(scores, temperature)
    second = np.array([r["family"].startswith("tune2:") for r in rows])
    for title, here in (
        ("left-out tiles", np.array([r["kind"] == "tile" for r in rows])),
        ("left-out sets of pictograms", np.array([r["family"].startswith("icons") for r in rows])),
        ("everything left out", np.ones(len(rows), dtype=bool)),
    ):
        report([r for r, h in zip(rows, here, strict=True) if h], p[here], title)
    first = fitted(raw[~second], allowed[~second], weight[~second], names)
    unseen = pooled(first.scores(raw[second]), temperature)
    report([r for r, h in zip(rows, second, strict=True) if h], unseen, "second collection, unseen")
    if args.write:
        write(fitted(raw, allowed, weight, names, temperature), len(rows))


def write(model: DirectionModel, count: int) -> None:
    data = {
        "about": ABOUT.format(n=count, ridge=RIDGE, part=COVERED, above=SURE),
        "temper": model.temperature,
        "reach": model.gamma,
        "clues": list(model.features),
        "mean": model.mean.tolist(),
        "spread": model.spread.tolist(),
        "constant": model.constant.tolist(),
        "weights": model.weights.tolist(),
        "landmarks": (model.landmarks * FINENESS).astype(int).tolist(),
    }
    lines = [f"{json.dumps(k)}: {_table(v)}" for k, v in data.items()]
    out = Path(module.__file__).with_name("direction_model.json")
    out.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")


def _table(value: object) -> str:
    """JSON, a row of a table on a line of its own."""
    if isinstance(value, list) and isinstance(value[0], list):
        return "[\n" + ",\n".join(json.dumps(row, separators=(",", ":")) for row in value) + "]"
    return json.dumps(value)


ABOUT = (
    "How clues weigh in a print's direction: multinomial kernel logistic regression over landmarks "
    "(k-means), ridge {ridge:g}, fitted to {n} known prints (photographed tiles, prints of "
    "pictograms, synthetic prints) by tests/benchmarks/fit_direction.py. Fitted, not chosen. "
    "Scores are divided by the temper, so that more than {above:g} is claimed for {part:.0%} of "
    "the tiles left out of the fit. Rows of weights: one-way, two-way, four-way, non-directional. "
    "Landmarks: sixteenths of a clue's spread from its mean."
)


if __name__ == "__main__":
    main()
