"""Hostile inputs, made from valid ones: each must give an answer, or one clear error.

    python -m tests.fuzz 60                          a minute of texts and pictures
    python -m tests.fuzz --texts 50000 --pictures 5000
    python -m tests.fuzz --again texts-17 --seed 1   one case, with its traceback

Equal seeds make equal cases. Anything else than an answer or an error of this library's own is a
crash, and so are more than 10 seconds or 2 GB; the exit code is then 1. ``--keep`` writes them
down, shortened where that was easy.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.fuzz.cases import judge
from tests.fuzz.run import Plan, Tally, _kinds, make_case, run_all


def main() -> int:
    """Run what was asked for; 1 if anything crashed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("seconds", type=float, nargs="?", default=0.0)
    parser.add_argument("--texts", type=int, default=0, help="exact number of texts")
    parser.add_argument("--pictures", type=int, default=0, help="exact number of pictures")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--keep", type=Path, metavar="DIR", help="write crashes here")
    parser.add_argument("--again", metavar="GROUP-NUMBER", help="run one case in this process")
    args = parser.parse_args()
    if args.again:
        return _again(args.again, args.seed)
    if bool(args.seconds) == bool(args.texts or args.pictures):
        parser.error("either SECONDS, or --texts and --pictures")
    plan = Plan(args.seed, args.texts, args.pictures, args.seconds, args.workers)
    tally = run_all(plan, args.keep, lambda line: print(line, flush=True))
    _report(tally)
    return 1 if tally.counts["crash"] else 0


def _report(tally: Tally) -> None:
    n = tally.counts
    print(
        f"texts {n['texts']}, pictures {n['pictures']}: answers {n['answer']}, "
        f"errors {n['error']}, crashes {n['crash']}"
    )
    print(
        f"slowest {tally.slowest[0]:.2f} s ({tally.slowest[1]}), "
        f"largest memory {tally.largest[0] / 1e6:.0f} MB ({tally.largest[1]})"
    )
    for kind in sorted({k for k, _ in tally.kinds}):
        row = [f"{what} {tally.kinds[kind, what]}" for what in ("answer", "error", "crash")]
        print(f"  {kind:11} {', '.join(row)}")
    for place, count in tally.places.most_common():
        case, trace = tally.examples[place]
        print(f"\n{count} x {place}\n  e.g. {case}\n{trace}")


def _again(name: str, seed: int) -> int:
    group, number = name.split("-")[:2]
    case = make_case(seed, group, int(number))
    with TemporaryDirectory() as folder:
        outcome = judge(_kinds(group)[case.kind].run, case.data, Path(folder))
    print(f"{case.name}: {len(case.data)} bytes: {case.data[:2000]!r}")
    print(f"{outcome.kind} {outcome.place}\n{outcome.trace}")
    return 1 if outcome.kind == "crash" else 0


if __name__ == "__main__":
    sys.exit(main())
