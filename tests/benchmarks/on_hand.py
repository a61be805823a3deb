"""Searching ten thousand swatches, and what a second core brings to indexing.

    python -m tests.benchmarks.on_hand [--rounds N] [--swatches N] [--busy]

The search is timed on made-up readings stored in a real index file: cold (open the file, load
everything, search) and warm (search again). Indexing is timed on swatches drawn for the purpose,
one process and two by turns, so that both meet the same other load; the ratio of each round is
printed, and their median. Each process is kept to one thread of linear algebra, as it is in the
command, so that one process means one core.

On a machine that is busy with other things the system shares processor time out by session, and
two processes get no more than one. ``--busy`` keeps an idle-spinning process beside the single
reader (run it in a session of its own: ``setsid``), so that one reader gets half of the session's
share and two get all of it: the ratio is then what the second half brings.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("OMP_NUM_THREADS", "1")

import statistics
import tempfile
import time
from pathlib import Path

import numpy as np

from quiltgeom.colour import to_hex
from quiltgeom.demo.swatches import SWATCHES, write_swatches
from quiltgeom.matching.alike import something_like
from quiltgeom.matching.companions import companions_for
from quiltgeom.onhand.features import features_of
from quiltgeom.onhand.index import open_index
from quiltgeom.onhand.indexing import index_folder
from tests.matching.shelves import made_up


def fill(path: Path, count: int) -> dict[str, object]:
    """An index of made-up cloths of every kind; the reading of one loud print."""
    rng = np.random.default_rng(20)
    with open_index(path, create=True) as index, index.transaction() as db:
        for k in range(count):
            inks = [to_hex(rng.integers(0, 256, 3)) for _ in range(rng.integers(1, 9))]
            share = rng.dirichlet(np.full(len(inks), 0.6)).tolist()
            data = made_up(
                *zip(inks, share, strict=True),
                loudness=float(rng.beta(1.2, 3.0)),
                motif=None if rng.random() < 0.3 else float(rng.lognormal(0, 1)),
                purity=float(rng.random()),
            )
            db.execute(
                "INSERT INTO swatch (path, present, size, mtime_ns, digest, status, features) "
                "VALUES (?, 1, 0, 0, ?, 'read', ?)",
                (
                    f"drawer-{k % 40:02d}/cloth-{k:05d}.jpg",
                    f"{k:064x}",
                    features_of(data).tobytes(),
                ),
            )
            db.execute("INSERT INTO reading VALUES (last_insert_rowid(), ?)", (json.dumps(data),))
    return made_up(
        ("#cfe3e6", 0.5),
        ("#1d3c56", 0.2),
        ("#c8473a", 0.15),
        ("#fbf8ef", 0.15),
        loudness=0.5,
        motif=4.0,
    )


def search(count: int, rounds: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "cloth.sqlite"
        focus = fill(path, count)
        print(
            f"search over {count:,} swatches, milliseconds: median of {rounds} (worst), and the "
            "processor time of it, which a busy machine does not change"
        )
        for name, work in (("companions", companions_for), ("something like it", something_like)):
            cold, warm = [], []
            for _ in range(rounds):
                start = _now()
                with open_index(path) as index:
                    shelf = index.shelf()
                work(focus, shelf)
                cold.append(_now() - start)
                start = _now()
                work(focus, shelf)
                warm.append(_now() - start)
            for kind, taken in (("warm", np.array(warm)), ("cold", np.array(cold))):
                clock, cpu = np.median(taken, axis=0)
                print(
                    f"  {name:<18} {kind}  {clock:6.1f} ({taken[:, 0].max():.1f})   "
                    f"processor {cpu:6.1f}"
                )


def _now() -> np.ndarray:
    """Milliseconds of the clock and of the processor."""
    return 1000 * np.array([time.perf_counter(), time.process_time()])


def _spin() -> None:
    while True:
        pass


def indexing(count: int, rounds: int, busy: bool) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "cloth"
        write_swatches(folder, [s.name for s in SWATCHES[:count]], ppi=100)
        index_folder(folder, workers=1)
        ratios, works = [], []
        print(f"indexing {count} swatches of 1200 x 1200 pixels, seconds")
        for k in range(rounds):
            took, work = {}, {}
            for workers in ((1, 2), (2, 1))[k % 2]:
                other = multiprocessing.get_context("fork").Process(target=_spin, daemon=True)
                if busy and workers == 1:
                    other.start()
                start, before = time.perf_counter(), _work()
                report = index_folder(folder, workers=workers, again=True)
                took[workers] = time.perf_counter() - start
                work[workers] = _work() - before
                if busy and workers == 1:
                    other.kill()
                    other.join()
                if report.read != count:
                    raise SystemExit(f"read {report.read} of {count}")
            ratios.append(took[1] / took[2])
            works.append(work[2] / work[1])
            print(
                f"  one core {took[1]:6.2f}   two cores {took[2]:6.2f}   "
                f"ratio {ratios[-1]:.2f}   processor {work[1]:.2f} and {work[2]:.2f}",
                flush=True,
            )
        print(
            f"  median ratio {statistics.median(ratios):.2f}; two processes do "
            f"{statistics.median(works):.2f} times the work of one"
        )


def _work() -> float:
    """Processor seconds of this process and of its children that have ended."""
    t = os.times()
    return t.user + t.system + t.children_user + t.children_system


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--swatches", type=int, default=24)
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--busy", action="store_true")
    given = parser.parse_args()
    search(given.count, 20)
    if given.swatches:
        indexing(given.swatches, given.rounds, given.busy)


if __name__ == "__main__":
    main()
