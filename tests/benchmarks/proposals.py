"""``python -m tests.benchmarks.proposals [ROUNDS]``: what a swapped cloth, a turned cloth and
another pattern cost, in processor time, warm: the picture's scene, the verdicts, the amounts.

Each line is the median over rounds that are interleaved, on the demo's herons in their own quilt.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from quiltgeom.demo.swatches import write_swatches
from quiltgeom.fabric.reading.as_fabric import fabric_from_reading
from quiltgeom.fabric.reading.read_file import read_swatch
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.proposal.proposal import Proposal, propose
from quiltgeom.render.png import draw_pixels

NAMES = {"focus": "reed-herons", "background": "sailcloth", "accent": "kelp", "other": "deep-water"}
PX = 1000


def clocked(times: dict[str, list[float]], what: str, work: Callable[[], object]) -> None:
    begun = time.process_time()
    work()
    times.setdefault(what, []).append(1000 * (time.process_time() - begun))


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_swatches(folder, NAMES.values())
        readings: dict[str, Reading] = {}
        fabrics: dict[str, Fabric] = {}
        for role, swatch in NAMES.items():
            path = folder / f"{swatch}.jpg"
            readings[role] = read_swatch(path)
            fabrics[role] = fabric_from_reading(swatch, path, readings[role])
        show(folder, readings, fabrics, rounds)


def show(
    folder: Path, readings: dict[str, Reading], fabrics: dict[str, Fabric], rounds: int
) -> None:
    worn = {r: fabrics[r] for r in ("focus", "background", "accent")}
    read = {r: readings[r] for r in worn}
    first = propose(Design("tide-tables", worn), readings=read)
    draw_pixels(first.picture.scene, PX / first.quilt.height)
    _ = first.verdicts, first.difficulty
    swapped = {**worn, "accent": fabrics["other"]}
    known = {**read, "accent": readings["other"]}
    times: dict[str, list[float]] = {}
    for k in range(rounds):
        turned = {**swapped, "accent": replace(fabrics["other"], up_deg=90.0)}
        cases = {
            "swap a cloth": (swapped, "tide-tables"),
            "turn a cloth": (turned, "tide-tables"),
            "another pattern": (worn, "gull-cove" if k % 2 else "sail-loft"),
        }
        for what, (cloths, key) in cases.items():
            one(times, what, Design(key, cloths), known, first)
    limits = {"picture": 50, "pixels": 50, "verdicts": 150, "amounts": 300}
    for what in sorted(times):
        limit = next(v for k, v in limits.items() if what.endswith(k))
        limit *= 2 if "pattern" in what and limit == 50 else 1
        print(f"{what:<28}{statistics.median(times[what]):7.0f} ms   limit {limit} ms")


def one(
    times: dict[str, list[float]],
    what: str,
    design: Design,
    known: dict[str, Reading],
    first: Proposal,
) -> None:
    """One change: its provisional picture at once, the verdicts on it, then amounts."""
    quilt = first.quilt if design.pattern == first.pattern.key else None
    made: list[Proposal] = []

    def picture() -> None:
        made.append(propose(design, quilt=quilt, planned=False, readings=known, before=first))
        _ = made[0].picture

    clocked(times, f"{what}: picture", picture)
    scene = made[0].picture.scene
    clocked(times, f"{what}: pixels", lambda: draw_pixels(scene, PX / made[0].quilt.height))
    clocked(times, f"{what}: verdicts", lambda: made[0].verdicts)
    clocked(
        times, f"{what}: amounts", lambda: propose(design, quilt=quilt, readings=known, effort=1)
    )


if __name__ == "__main__":
    main()
