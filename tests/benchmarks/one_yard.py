"""Does every pattern cut from one yard (36 x 40 in) of each fabric, binding included?

Run: python -m tests.benchmarks.one_yard [EFFORT]; prints a Markdown table, the same on every
machine. Every answer is a plan, or a proof that there is none; "nearest" is the version with the
largest top (blocks of the usual size or smaller in steps of 1/4", up to two rows and columns more
or fewer) for which a plan was found, with how many larger ones are proved not to fit.
"""

from __future__ import annotations

import sys

from quiltgeom.cutting.plan import CutPlan, cut_plan
from quiltgeom.cutting.resize import largest_version
from quiltgeom.cutting.solve import EFFORT
from quiltgeom.layout.quilt import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.units import format_inches

YARD = (36.0, 40.0)


def main(effort: int) -> None:
    """Print the table and what is left without an answer."""
    print("| pattern | usual size | one yard of each | nearest version that does |")
    print("|---|---|---|---|")
    count = {"yes": 0, "no": 0, "open": 0}
    for pattern in load_patterns():
        quilt = lay_out(pattern)
        have = {r: YARD for r, n in quilt.count_by_role.items() if n}
        plan = cut_plan(quilt, {}, have=have, effort=effort)
        near = "the usual size"
        if not plan.fits:
            found = largest_version(pattern, {}, have, most=1.0, effort=1, tries=40)
            near = "none found" if found is None else (
                f"{_version(found.plan)}; {found.proved} of {found.larger} larger ones proved not "
                "to fit")  # fmt: skip
        proven = any(f.status == "impossible" for f in plan.fabrics)
        count["yes" if plan.fits else "no" if proven else "open"] += 1
        row = pattern.name, _size(plan), _verdict(plan), near
        print(f"| {' | '.join(row)} |", flush=True)
    print(f"\n{count['yes']} do, {count['no']} provably do not, {count['open']} are open.")


def _verdict(plan: CutPlan) -> str:
    if plan.fits:
        return "yes"
    return "; ".join(f"{f.role}: {f.why}" for f in plan.fabrics if f.status != "fits")


def _version(plan: CutPlan) -> str:
    quilt = plan.quilt
    blocks = f"{quilt.columns} x {quilt.rows} blocks of {format_inches(quilt.block_size)}"
    return f"{_size(plan)}, {blocks}"


def _size(plan: CutPlan) -> str:
    width, height = (round(v * 8) / 8 for v in (plan.quilt.width, plan.quilt.height))
    return f"{width:g} x {height:g} in"


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else EFFORT)
