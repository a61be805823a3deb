"""A design: pattern, size and fabrics by role. The only thing that is saved; all else follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from quiltgeom import checks
from quiltgeom.errors import QuiltKeyError, shown
from quiltgeom.geometry.allowance import check_seam
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.units import RULERS, Units


@checks.spelled
@dataclass(frozen=True, repr=False)
class Design:
    """What a person decides about a quilt.

    Attributes:
        pattern: key or name of a pattern, path of a pattern file, or the pattern itself.
        fabrics: by role; a role without one is drawn in a plain colour.
        title: name of the quilt ("" = the pattern's name).
        block_size: finished block size, inches (None = as the pattern usually has it).
        rows, columns: number of blocks (None = usual).
        size: wanted finished width and height, inches, instead of rows, columns and block size:
            with any of these a size is refused.
        borders: widths of the plain borders, inches, from the inside out (None = usual).
        sashing: width of the sashing, inches (None = usual).
        seed: which places of the cloth the patches show.
        fussy: roles whose patches are centred on the fabric's motif.
        seam: seam allowance, inches (None = 1/4 inch, or 7.5 mm).
        units: in which it is cut and written: inches or centimetres.
        block_folders: folders with blocks of the user's own.
        overruled: by the id of a rule, why its verdict does not count: the person's word wins.
        offsets: by the number of a patch, how far its cloth is moved in it, inches right and down,
            while places are provisional.
        locked: roles whose cloth no variant may change.
        variants: the same quilt in other patterns, sizes or cloths, by name.

    >>> Design("harbour-windows", {"focus": Fabric("sky", colour="#88aacc")}).seed
    0
    """

    pattern: str | Path | Pattern
    fabrics: dict[str, Fabric] = field(default_factory=dict)
    title: str = ""
    block_size: float | None = None
    rows: int | None = None
    columns: int | None = None
    size: tuple[float, float] | None = None
    borders: tuple[float, ...] | None = None
    sashing: float | None = None
    seed: int = 0
    fussy: tuple[str, ...] = ()
    seam: float | None = None
    units: Units = "in"
    block_folders: tuple[Path, ...] = ()
    overruled: Mapping[str, str] = field(default_factory=dict)
    offsets: Mapping[int, tuple[float, float]] = field(default_factory=dict)
    locked: tuple[str, ...] = ()
    variants: Mapping[str, Design] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if isinstance(self.block_folders, list | tuple):
            folders = [Path(f) if isinstance(f, str) else f for f in self.block_folders]
            object.__setattr__(self, "block_folders", tuple(folders))
        inches, count = checks.number(0, 200, " in", above=True), checks.whole(1, 1000)
        check = checks.Checks("design")
        rules = {"pattern": checks.TEXT} if isinstance(self.pattern, str) else {}
        rules |= {"block_size": inches, "rows": count, "columns": count, "sashing": inches}
        rules |= {"size": checks.lengths(400, 2), "borders": checks.lengths(200)}
        check.fields(self, **rules, seam=checks.ANY, seed=checks.whole(0, 2**31))
        if self.seam is not None:
            check.passes(check_seam, self.seam)
        counts = {"rows": self.rows, "columns": self.columns, "block_size": self.block_size}
        given = " and ".join(f"{k}={shown(v)}" for k, v in counts.items() if v is not None)
        if self.size is not None and given:
            found = f"both, size={shown(self.size)} and {given}"
            check.add("size, or rows, columns and block", found, "one of the two ways")
        if not check.findings:
            self._check_locked(check)
        check.done()

    def _check_locked(self, check: checks.Checks) -> None:
        for role in self.locked:
            if role not in self.fabrics:
                accepted = ", ".join(self.fabrics) or "none, there are no cloths"
                check.add("locked", f"role {shown(role)}", accepted)
                continue
            for name, other in self.variants.items():
                if other.fabrics.get(role) != self.fabrics[role]:
                    found = f"another cloth for {role}, which is locked"
                    check.add(f"variant {name}", found, "the locked one")

    def __repr__(self) -> str:
        size = f", {self.size[0]:g} x {self.size[1]:g} in" if self.size else ""
        counts = f", {self.columns} x {self.rows} blocks" if self.rows and self.columns else ""
        cloths = ", ".join(f"{role}: {f.name}" for role, f in self.fabrics.items())
        return checks.brief(f"Design {self.pattern}{size}{counts}, {cloths or 'no cloths'}")

    @property
    def allowance(self) -> float:
        """The seam allowance with which it is sewn, inches."""
        return RULERS[self.units].seam if self.seam is None else self.seam

    def in_variant(self, name: str | None) -> Design:
        """The variant of this name; None: the design itself.

        Raises:
            QuiltKeyError: there is none of this name.
        """
        if name is None:
            return self
        if name not in self.variants:
            accepted = ", ".join(self.variants) or "none, the design has no variants"
            raise QuiltKeyError(f"variant: found {shown(name)}; accepted: {accepted}")
        return self.variants[name]
