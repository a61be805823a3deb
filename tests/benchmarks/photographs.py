"""How well photographs of cloth on a table are read: path-traced ones, whose truth is exact.

    python -m tests.benchmarks.photographs make DIR --studio photograph.py --python PYTHON \
        --seeds 3001:3057 [--icons ROOT] [--scenes steep,close-up] [--each 1]
    python -m tests.benchmarks.photographs judge DIR

``make`` draws prints and photographs each in ``--each`` of the scenes by turns (about 15 s of
processor time a photograph; what is there is kept). PYTHON has mitsuba. With ``--icons`` the prints
are of pictograms (``icon_prints`` says how ROOT is laid out), else of random figures. The seed
makes print, size and scene: seeds that nobody has used are an unopened set.
"""

import argparse
import json
import subprocess
import sys
from collections import defaultdict
from concurrent.futures import ProcessPoolExecutor
from itertools import combinations, pairwise, product
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from PIL import Image

from quiltgeom.colour import delta_e_2000, from_hex, rgb_to_lab
from quiltgeom.fabric.image import load_image
from quiltgeom.fabric.photo.prepare import prepare_file
from quiltgeom.fabric.reading.read_file import read_swatch
from quiltgeom.fabric.reading.reading import Reading, read_array
from quiltgeom.fabric.reading.repeats.repeat import RepeatReading
from tests.benchmarks.icon_prints import icon_print
from tests.benchmarks.read_bench import same_but_turned
from tests.reading.more_prints import ALL_FAMILIES, make_any
from tests.reading.prints import Print

SCENES = (
    "copy-stand bright-desk cutting-mat kitchen-table unfolded close-up evening-lamp sun-stripes "
    "own-shadow held-down corner-turned on-other-cloth flash-night steep over-the-edge all-at-once"
).split()
EASY = (
    "copy-stand bright-desk cutting-mat kitchen-table unfolded close-up evening-lamp flash-night "
    "steep"
).split()
DIRECTED = ("one-way", "two-way", "stripe", "plaid")
SURE = 0.7
Job = tuple[Path, dict[str, Any]]


def flat_print(seed: int, icons: Path | None) -> tuple[Print, float]:
    """A print of a piece 10 to 18 inches wide, not always square, and that width."""
    rng = np.random.default_rng([seed, 9])
    families = list(ALL_FAMILIES)
    p = (
        icon_print(icons, seed, flat=True)
        if icons
        else make_any(families[seed % len(families)], seed)
    )
    h = round(p.rgb.shape[0] * rng.choice([1.0, 1.0, 0.8, 0.66]))
    p.rgb = p.rgb[:h]
    return p, float(rng.choice([10, 12, 12, 14, 18]))


def make(args: argparse.Namespace) -> None:
    args.folder.mkdir(parents=True, exist_ok=True)
    first, last = map(int, args.seeds.split(":"))
    for n, seed in enumerate(range(first, last)):
        p, width = flat_print(seed, args.icons)
        flat = args.folder / f"{seed}.flat.png"
        Image.fromarray(p.rgb).save(flat)
        k = width / 12.0
        vectors = [(k * x, k * y) for x, y in p.vectors]
        said = {"family": p.family, "direction": p.direction, "vectors": vectors, "width": width}
        (args.folder / f"{seed}.print.json").write_text(json.dumps(said))
        for j in range(args.each):
            scene = args.scenes[(n * args.each + j) % len(args.scenes)]
            out = args.folder / f"{seed}_{scene}.jpg"
            if out.exists():
                continue
            command = [args.python, args.studio, flat, "--width", f"{width}in", "--scene", scene]
            command += ["--seed", str(seed), "-o", out]
            subprocess.run([str(c) for c in command], check=True, stdout=subprocess.DEVNULL)
            print(out.name, file=sys.stderr)


def judge(args: argparse.Namespace) -> None:
    jobs = [
        (path, json.loads(path.with_name(f"{path.name.split('_')[0]}.print.json").read_text()))
        for path in sorted(args.folder.glob("*_*.jpg"))
        if path.with_suffix(".json").exists() and (not args.only or args.only in path.name)
    ]
    with ProcessPoolExecutor(args.workers) as pool:
        rows = list(pool.map(judged, jobs))
    for row in rows:
        print("  ".join(f"{row[k]}" for k in ("file", "outline", "corners", "repeat", "direction")))
    report(rows)


def judged(job: Job) -> dict[str, Any]:
    """What one photograph's reading is worth."""
    path, p = job
    truth = json.loads(path.with_suffix(".json").read_text())
    flat = np.asarray(load_image(path.with_name(f"{path.name.split('_')[0]}.flat.png")))
    drawn = read_array(flat, p["width"])
    if p["family"].startswith("icons"):  # its tile may be a multiple of what was laid
        known = drawn.repeat if drawn.repeat.kind != "one-axis" else RepeatReading("none")
        p |= {"vectors": known.vectors_in}
    row: dict[str, Any] = {"file": path.stem, "scene": truth["scene"], "family": p["family"]}
    ready = prepare_file(path)
    size = np.array(truth["picture_px"])
    figure = np.array(ready.corners or _frame(size))
    seen_in = _on_cloth(figure, truth)
    reading = read_swatch(path, _width(seen_in, truth), keep=False)
    row["outline"] = round(_overlap(figure, _outline(truth), size), 3)
    row["corners"] = [round(float(v), 4) for v in _corner_errors(figure, truth)]
    row |= _repeat(reading, p, truth, seen_in) | _direction(reading, p)
    row["palette"] = _palette(drawn, reading)
    row["motif"] = _motif(drawn, reading)
    return row


def _frame(size: np.ndarray) -> np.ndarray:
    w, h = size
    return np.array([(0, 0), (w, 0), (w, h), (0, h)], float)


def _outline(truth: dict[str, Any]) -> np.ndarray:
    """The cloth's outline as seen; with a corner turned over, where the cloth would lie."""
    if "corner" not in truth["settings"]["shape"]:
        return np.array(truth["edge_px"])
    w, h = truth["cloth_in"]
    there, at = _grid(truth)
    grid = truth["grid"]
    seen = (np.array(grid["visible"]).astype(bool) & np.array(grid["right_side"])).ravel()
    plane, _ = cv2.findHomography(there[seen], at[seen])
    return cv2.perspectiveTransform(np.array([[(0, 0), (w, 0), (w, h), (0, h)]], float), plane)[0]


def _width(seen_in: np.ndarray, truth: dict[str, Any]) -> float:
    """True width of what was found, to be given to the reader; of the whole cloth, if it was."""
    sides = np.linalg.norm(np.roll(seen_in, -1, axis=0) - seen_in, axis=1)
    width = float(sides[[0, 2]].mean())
    whole = float(truth["cloth_in"][round(truth["up_deg"] / 90) % 2])
    return whole if abs(width / whole - 1) < 0.03 else width


def _grid(truth: dict[str, Any]) -> tuple[np.ndarray, np.ndarray]:
    """Places on the cloth in inches (x right, y down), and where they are in the picture."""
    grid = truth["grid"]
    u, v = np.meshgrid(grid["u_in"], grid["v_in"])
    there = np.column_stack([u.ravel(), truth["cloth_in"][1] - v.ravel()])
    return there, np.array(grid["px"], float).reshape(-1, 2)


def _on_cloth(points: np.ndarray, truth: dict[str, Any]) -> np.ndarray:
    """Places of the picture in inches on the cloth (as if its plane went on)."""
    there, at = _grid(truth)
    plane, _ = cv2.findHomography(at, there, cv2.LMEDS)
    return cv2.perspectiveTransform(points[None].astype(float), plane)[0]


def _overlap(one: np.ndarray, other: np.ndarray, size: np.ndarray) -> float:
    """Intersection over union inside the picture."""
    masks = []
    for points in (one, other):
        mask = np.zeros((size[1], size[0]), np.uint8)
        cv2.fillPoly(mask, [np.round(points * 16).astype(np.int32)], (1,), shift=4)
        masks.append(mask.astype(bool))
    return float((masks[0] & masks[1]).sum() / max(1, (masks[0] | masks[1]).sum()))


def _corner_errors(figure: np.ndarray, truth: dict[str, Any]) -> list[float]:
    """Of each corner that is seen, by the picture's longer side."""
    size = np.array(truth["picture_px"])
    true = np.array(truth["corners_px"])
    seen = np.array(truth["grid"]["visible"])[[-1, -1, 0, 0], [0, -1, -1, 0]].astype(bool)
    inside = ((true > 0) & (true < size)).all(axis=1) & seen
    off = np.linalg.norm(true[:, None] - figure[None], axis=2).min(axis=1) / size.max()
    return [float(v) for v in off[inside]]


def _repeat(
    reading: Reading, p: dict[str, Any], truth: dict[str, Any], seen: np.ndarray
) -> dict[str, Any]:
    found = [] if reading.repeat.kind == "one-axis" else list(reading.repeat.vectors_in)
    across = seen[1] - seen[0] + seen[2] - seen[3]
    turned = np.arctan2(across[1], across[0])
    if reading.corners_px:  # straightened by its outline, and so the print must lie
        turned = round(turned / (np.pi / 2)) * np.pi / 2
    turn = np.array([[np.cos(turned), -np.sin(turned)], [np.sin(turned), np.cos(turned)]])
    vectors = np.array(p["vectors"]).reshape(-1, 2)
    true = [tuple(v) for v in vectors @ turn]
    same = len(found) == len(true) and same_but_turned(found, true, 0.03)
    kind = "right" if same else "wrong" if found else "missed"
    if not (true and _shown(vectors, seen)):  # to find it all the same is no mistake
        kind, true = "none" if same or not found else "false", []
    return {"repeat": kind, "repeat_claim": reading.repeat.confidence, "found": found, "true": true}


def _shown(vectors: np.ndarray, seen: np.ndarray) -> bool:
    """Whether the part of the cloth that is seen shows a whole repeat, and half as much again."""
    box = np.ptp(seen, axis=0) / 1.5
    if len(vectors) < 2:
        return bool(len(vectors) and np.hypot(*vectors[0]) < box.min())
    steps = np.array(list(product(range(-2, 3), repeat=2)))
    inside = [p for p in steps @ vectors if (np.abs(p) <= box).all()]
    cell = abs(np.linalg.det(vectors))
    return any(np.isclose(abs(np.linalg.det([p, q])), cell) for p, q in combinations(inside, 2))


def _direction(reading: Reading, p: dict[str, Any]) -> dict[str, Any]:
    d = reading.direction
    kind = d.figure if d.figure in ("stripe", "plaid") else d.kind
    same = _free(kind) == _free(p["direction"])
    return {"direction": kind, "true_direction": p["direction"], "right_direction": same,
            "direction_claim": d.confidence}  # fmt: skip


def _free(kind: str) -> str:
    return kind if kind in DIRECTED else "free"


def _palette(flat: Reading, reading: Reading) -> float:
    """Mean CIEDE2000 from the flat print's colours to the nearest of the photo's."""
    one, other = (
        rgb_to_lab(np.stack([from_hex(c.hex) for c in r.palette])) for r in (flat, reading)
    )
    share = np.array([c.share for c in flat.palette])
    return float((delta_e_2000(one[:, None], other[None]).min(axis=1) * share).sum() / share.sum())


def _motif(flat: Reading, reading: Reading) -> str:
    true, found = flat.motif.typical, reading.motif.typical
    if true is None:
        return "none" if found is None else "false"
    if found is None:
        return "missed"
    return "right" if 1 / 1.34 < found / true < 1.34 else "wrong"


def report(rows: list[dict[str, Any]]) -> None:
    by_scene: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for row in rows:
        by_scene[row["scene"]].append(row)
    print(f"\n{'scene':<16}{'n':>4}{'IoU>=.97':>9}{'corners':>9}{'repeat':>9}{'sure+wrong':>11}"
          f"{'direction':>10}{'palette':>8}{'motif':>8}")  # fmt: skip
    easy = [r for r in rows if r["scene"] in EASY]
    groups = [(s, by_scene[s]) for s in SCENES if s in by_scene]
    groups += [
        ("easy", easy),
        ("others", [r for r in rows if r["scene"] not in EASY]),
        ("all", rows),
    ]
    for name, some in groups:
        if some:
            print(f"{name:<16}{len(some):>4}{_line(some)}")
    claims = [(r["repeat_claim"], r["repeat"] in ("right", "none")) for r in rows if r["found"]]
    print(f"repeat: {calibration(claims)}")
    claims = [(r["direction_claim"], r["right_direction"]) for r in rows]
    print(f"direction: {calibration(claims)}")
    unsafe = [
        r["file"]
        for r in rows
        if r.get("true_direction") in DIRECTED and _free(r["direction"]) == "free"
    ]
    sure = [r["file"] for r in rows if r["file"] in unsafe and r["direction_claim"] > SURE]
    print(f"directed read as free: {len(unsafe)}, sure {len(sure)}: {' '.join(sure)}")


def _line(rows: list[dict[str, Any]]) -> str:
    corners = [c for r in rows for c in r["corners"]]
    has = [r for r in rows if r["true"]]
    wrong = [r for r in rows if r["repeat"] in ("wrong", "false")]
    motif = [r for r in rows if r["motif"] in ("right", "wrong", "missed")]
    cells = [
        f"{sum(r['outline'] >= 0.97 for r in rows)}/{len(rows)}",
        f"{sum(c <= 0.01 for c in corners)}/{len(corners)}",
        f"{sum(r['repeat'] == 'right' for r in has)}/{len(has)}",
        f"{sum(r['repeat_claim'] > SURE for r in wrong)}+{len(wrong)}",
        f"{sum(r['right_direction'] for r in rows)}/{len(rows)}",
        f"{np.mean([r['palette'] for r in rows]):.1f}",
        f"{sum(r['motif'] == 'right' for r in motif)}/{len(motif)}",
    ]
    return "".join(f"{c:>{w}}" for c, w in zip(cells, (9, 9, 9, 11, 10, 8, 8), strict=True))


def calibration(claims: list[tuple[float, bool]]) -> str:
    """Expected calibration error and what each bin of claims was worth."""
    edges, parts, error = (0.0, 0.5, 0.7, 0.8, 0.9, 1.001), [], 0.0
    for low, high in pairwise(edges):
        some = [(c, r) for c, r in claims if low <= c < high]
        if some:
            claim, right = np.mean([c for c, _ in some]), np.mean([r for _, r in some])
            error += len(some) / len(claims) * abs(claim - right)
            parts.append(f"{claim:.2f}: {sum(r for _, r in some)}/{len(some)}")
    return f"calibration error {error:.3f}; " + ", ".join(parts)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    commands = parser.add_subparsers(required=True)
    making = commands.add_parser("make")
    making.add_argument("folder", type=Path)
    making.add_argument("--studio", type=Path, required=True)
    making.add_argument("--python", type=Path, default=Path(sys.executable))
    making.add_argument("--seeds", required=True, metavar="A:B")
    making.add_argument("--icons", type=Path)
    making.add_argument("--scenes", type=lambda s: s.split(","), default=SCENES)
    making.add_argument("--each", type=int, default=1)
    making.set_defaults(run=make)
    judging = commands.add_parser("judge")
    judging.add_argument("folder", type=Path)
    judging.add_argument("--only", default="")
    judging.add_argument("--workers", type=int, default=2)
    judging.set_defaults(run=judge)
    args = parser.parse_args()
    args.run(args)


if __name__ == "__main__":
    main()
