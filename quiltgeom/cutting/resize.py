"""The largest version of a pattern that the given cloth makes."""

from __future__ import annotations

import itertools
from collections.abc import Mapping

from quiltgeom.cutting.pieces import cut_units
from quiltgeom.cutting.plan import CutPlan, cut_plan
from quiltgeom.cutting.solve import EFFORT
from quiltgeom.errors import QuiltError
from quiltgeom.layout.quilt import BLOCK_STEP, lay_out
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt

__all__ = ["largest_that_fits"]


def largest_that_fits(
    pattern: Pattern,
    fabrics: Mapping[str, Fabric],
    have: Mapping[str, tuple[float, float]],
    *,
    least: float = 0.5,
    tries: int = 24,
    seconds: float | None = None,
    effort: int = EFFORT,
) -> CutPlan | None:
    """The version with the largest top, up to the usual size, that cuts from the cloth at hand.

    Makes the blocks smaller in quarter inches and leaves out up to two rows and columns. Versions
    whose cut rectangles have more area than the cloth are passed over; the rest is searched by
    halving, as smaller tops take less cloth (a rule with rare exceptions, so a slightly larger
    version may exist; what is returned always fits).

    Args:
        pattern: the pattern.
        fabrics: by role (for the direction of the print).
        have: by role, ``(length along the selvage, width across)`` in inches.
        least: smallest block as a share of the usual one.
        tries: number of versions that are planned at most.
        seconds, effort: as of :func:`~quiltgeom.cutting.plan.cut_plan`.

    Returns:
        The plan that fits, or None if none was found.

    >>> from quiltgeom.library.patterns import load_patterns
    >>> pattern = load_patterns().get("sail-loft")
    >>> cloth = {role: (5.0, 10.0) for role in pattern.roles}
    >>> largest_that_fits(pattern, {}, cloth, tries=2) is None
    True
    """
    versions = []
    for quilt in _versions(pattern, least):
        given = {r: have[r] for r, n in quilt.count_by_role.items() if n and r in have}
        if _area_fits(quilt, fabrics, given):
            versions.append((quilt, given))
    best: CutPlan | None = None
    low, high = 0, len(versions)  # smaller tops fit more easily: halve, then look just above
    while low < high and tries > 0:
        tries -= 1
        middle = (low + high) // 2
        quilt, given = versions[middle]
        plan = cut_plan(quilt, fabrics, have=given, seconds=seconds, effort=effort)
        if plan.fits:
            best, high = plan, middle
        else:
            low = middle + 1
    return best


def _versions(pattern: Pattern, least: float) -> list[Quilt]:
    """Layouts from the usual one downwards, largest top first."""
    found: dict[tuple[int, int, float], Quilt] = {}
    steps = int(pattern.block_size * (1 - least) / BLOCK_STEP)
    for fewer_rows, fewer_columns in itertools.product(range(3), range(3)):
        rows, columns = pattern.rows - fewer_rows, pattern.columns - fewer_columns
        for k in range(steps + 1):
            size = pattern.block_size - k * BLOCK_STEP
            if min(rows, columns) < 1:
                continue
            try:
                found[rows, columns, size] = lay_out(
                    pattern, rows=rows, columns=columns, block_size=size
                )
            except QuiltError:  # the pattern has no such version
                continue
    return sorted(found.values(), key=lambda q: (-q.width * q.height, -q.block_size, -q.rows))


def _area_fits(
    quilt: Quilt, fabrics: Mapping[str, Fabric], have: Mapping[str, tuple[float, float]]
) -> bool:
    for role, (length, width) in have.items():
        direction = fabrics[role].direction if role in fabrics else "non-directional"
        units = cut_units([p for p in quilt if p.role == role], direction, width)
        if sum(u.width * u.height for u in units) > 64 * length * width:
            return False
    return True
