"""How long the block library takes to load. Run by hand:

    python -m tests.benchmarks.bench_library [--runs 9]

Every run is a process of its own; the medians and the best are printed, as wall time and as time
of the processor. "cold": every block file read, drawn and audited, nothing remembered; "warm": all
of it asked for again, the folders looked through for changes; "one": one block, alone, in a fresh
process; "imports": what Python spends before that.
"""

from __future__ import annotations

import argparse
import itertools
import json
import statistics
import subprocess
import sys
import time

CLOCKS = {"wall": time.perf_counter, "processor": time.process_time}


def measure() -> None:
    """Time one process from the inside and print the milliseconds as JSON."""
    marks = [{k: clock() for k, clock in CLOCKS.items()}]

    def mark() -> None:
        marks.append({k: clock() for k, clock in CLOCKS.items()})

    from quiltgeom.library.blocks import BlockLibrary, block_folder

    mark()
    BlockLibrary([block_folder()]).get("star-of-bethlehem")
    mark()
    count = len(BlockLibrary([block_folder()]))
    mark()
    len(BlockLibrary([block_folder()]))
    mark()
    names = ("imports", "one", "cold", "warm")
    steps = dict(zip(names, itertools.pairwise(marks), strict=True))
    print(
        json.dumps(
            {"blocks": count}
            | {
                f"{name} {k}": 1000 * (b[k] - a[k])
                for name, (a, b) in steps.items()
                for k in CLOCKS
            }
        )
    )


def main() -> None:
    """Start the runs and print what they measured."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=9)
    parser.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    args = parser.parse_args()
    if args.inside:
        measure()
        return
    command = [sys.executable, "-m", "tests.benchmarks.bench_library", "--inside"]
    rows = [
        json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
        for _ in range(args.runs)
    ]
    print(f"{rows[0]['blocks']} blocks, {len(rows)} processes; milliseconds")
    for key in rows[0]:
        if key != "blocks":
            values = [row[key] for row in rows]
            print(f"  {key:18}  median {statistics.median(values):7.1f}   best {min(values):7.1f}")


if __name__ == "__main__":
    main()
