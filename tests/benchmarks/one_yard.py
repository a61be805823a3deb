"""Does every fabric of every pattern cut from one yard (36 x 40 in), in one-way prints?

Run: python -m tests.benchmarks.one_yard [EFFORT]; prints a Markdown table, the same on every
machine. Every fabric is asked for by itself, the binding with the accent; every answer is a plan,
or a proof that there is none in any of the accepted ways.
"""

from __future__ import annotations

import sys
from collections import Counter

from quiltgeom.cutting.cutting_plan import cut_plan
from quiltgeom.cutting.fabric_plan import FabricPlan
from quiltgeom.cutting.solver.solve import EFFORT
from quiltgeom.layout.quilt_layout import lay_out
from quiltgeom.library.patterns import load_patterns
from quiltgeom.model.fabric import Fabric

YARD = (36.0, 40.0)


def main(effort: int) -> None:
    """Print the table and how many answers there are of each kind."""
    roles = ("focus", "background", "accent")
    print(f"| pattern | {' | '.join(roles)} |\n|---|---|---|---|")
    count: Counter[str] = Counter()
    for pattern in load_patterns():
        quilt = lay_out(pattern)
        worn = {r: Fabric(r, colour="#88aacc", direction="one-way") for r in quilt.roles}
        row = [pattern.name]
        for role in roles:
            plan = cut_plan(quilt, worn, have={role: YARD}, effort=effort)
            found = next(f for f in plan.fabrics if f.role == role)
            count[found.status] += 1
            row.append(_said(found))
        print(f"| {' | '.join(row)} |", flush=True)
    print(f"\n{', '.join(f'{n} {status}' for status, n in sorted(count.items()))}.")


def _said(found: FabricPlan) -> str:
    if found.status == "impossible":
        return found.why.partition("because ")[2]
    return found.why


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else EFFORT)
