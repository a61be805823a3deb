"""Pattern files checked for all that a quilt of them has to do: cover, and sew together."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from quiltgeom.cutting.wanted import wanted_units
from quiltgeom.errors import Finding, QuiltError
from quiltgeom.geometry.cover import cover_faults
from quiltgeom.geometry.outline import rectangle
from quiltgeom.layout.quilt_layout import fit_size, lay_out
from quiltgeom.library.blocks import load_blocks
from quiltgeom.library.pattern_file import check_pattern_file, pattern_paths
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt
from quiltgeom.piecing.seam_check.sews_together import sewn_quilt
from quiltgeom.units import INCHES


def check_patterns(places: Iterable[str | Path]) -> tuple[int, list[Finding]]:
    """How many pattern files there are in files and folders, and all their faults: in what they
    say, and in the quilt at its usual size, in smaller blocks, and as large as a bed.

    Raises:
        QuiltFileError: a place without a pattern file.
    """
    paths = [path for place in places for path in pattern_paths(Path(place))]
    found: list[Finding] = []
    for path in paths:
        pattern, findings = check_pattern_file(path, load_blocks())
        found += findings
        if pattern:
            found += _laid_out(pattern)
    return len(paths), found


def _laid_out(pattern: Pattern) -> Iterator[Finding]:
    where = pattern.origin
    try:
        usual = lay_out(pattern)
        yield from _cover(usual, where)
        letters = wanted_units(usual, {}).letters
        for seam in sewn_quilt(usual, letters, seam=INCHES.seam).faults:
            place, rule, _ = str(seam).split(": ", 2)
            sides = f"{seam.one:.3f} in and {seam.other:.3f} in"
            yield Finding(f"{where}: {place}", rule, sides, "sides that differ by up to 1/32 in")
        yield from _cover(lay_out(pattern, block_size=pattern.block_size * 0.7), where)
        yield from _cover(lay_out(pattern, **fit_size(pattern, 66, 84)), where)
    except QuiltError as e:
        yield Finding(where, "a quilt that can be laid out", str(e))


def _cover(quilt: Quilt, where: str) -> Iterator[Finding]:
    size = f"{quilt.width:.4g} x {quilt.height:.4g} in"
    edge = rectangle(0, 0, quilt.width, quilt.height)
    for fault in cover_faults([p.outline for p in quilt], edge):
        found = f"{fault.kind} of {fault.area:.4g} sq in at ({fault.at[0]:.4g}, {fault.at[1]:.4g})"
        yield Finding(f"{where}: {size}", "no gap, no overlap", found, "patches that cover it")
