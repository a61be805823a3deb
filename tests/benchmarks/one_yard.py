"""Does every pattern cut from one yard (36 x 40 in) of each fabric, binding included?

Run: python -m tests.benchmarks.one_yard [LIMIT_SECONDS]; prints a Markdown table.
"""

from __future__ import annotations

import sys

from quiltgeom.cutting.plan import cut_plan
from quiltgeom.cutting.resize import largest_that_fits
from quiltgeom.layout.quilt import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.units import format_inches


def main(seconds: float) -> None:
    print("| pattern | usual size | one yard of each | nearest version that does |")
    print("|---|---|---|---|")
    for pattern in load_patterns():
        quilt = lay_out(pattern)
        have = {r: (36.0, 40.0) for r, n in quilt.count_by_role.items() if n}
        plan = cut_plan(quilt, {}, have=have, seconds=seconds)
        verdict = "; ".join(f"{f.role}: {f.why}" for f in plan.fabrics if f.status != "fits")
        near = plan
        if not plan.fits:
            near = largest_that_fits(pattern, {}, have, seconds=seconds, tries=10)
        size = (
            f"{_size(near.quilt)}, {near.quilt.columns} x {near.quilt.rows} blocks of "
            f"{format_inches(near.quilt.block_size)}" if near else "none found"
        )  # fmt: skip
        print(f"| {pattern.name} | {_size(quilt)} | {verdict or 'yes'} | {size} |", flush=True)


def _size(quilt: object) -> str:
    return f"{round(quilt.width * 8) / 8:g} x {round(quilt.height * 8) / 8:g} in"  # type: ignore[attr-defined]


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 3.0)
