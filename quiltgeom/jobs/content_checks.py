"""Block and pattern files checked, and every fault drawn."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from quiltgeom.documents.block_gallery.block_pages import fault_scene
from quiltgeom.errors import Finding, QuiltFileError
from quiltgeom.geometry.cover import CoverFault
from quiltgeom.jobs.arguments import checks_arguments
from quiltgeom.library.block_file import check_block_file
from quiltgeom.model.block import Block
from quiltgeom.piecing.pattern_check import check_patterns as faults_of_patterns
from quiltgeom.render.answer import Answer
from quiltgeom.render.scene import Scene


@dataclass(frozen=True, repr=False)
class Checked(Answer):
    """What a check of files found.

    Attributes:
        kind: ``"block"`` or ``"pattern"``.
        files: how many.
        findings: all faults of all of them.
        blocks: those that could be drawn, with what does not cover them exactly.
    """

    kind: str
    files: int
    findings: tuple[Finding, ...]
    blocks: tuple[tuple[Block, Sequence[CoverFault]], ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Number of files and all findings."""
        return {"files": self.files, "findings": [asdict(f) for f in self.findings]}

    def lines(self) -> list[str]:
        """The findings; or that there are none."""
        many = f"{self.files} {self.kind} file{'s' if self.files != 1 else ''}"
        return [*map(str, self.findings)] or [f"{many} checked: no faults"]

    def scenes(self) -> list[Scene]:
        """Every block that could be drawn, with every gap and overlap."""
        return [fault_scene(*drawn) for drawn in self.blocks]


@checks_arguments()
def check_blocks(path: str | Path) -> Checked:
    """Check a block file, or all of a folder.

    Raises:
        QuiltFileError: there is none.
    """
    path = Path(path)
    files = sorted(path.glob("*.toml")) if path.is_dir() else [path]
    if not files or not path.exists():
        raise QuiltFileError(f"check {path}: found no block file; accepted: a .toml file or folder")
    made = [check_block_file(file) for file in files]
    drawn = tuple((block, faults) for block, _, faults in made if block)
    return Checked("block", len(files), tuple(f for _, found, _ in made for f in found), drawn)


@checks_arguments()
def check_patterns(places: Iterable[str | Path]) -> Checked:
    """Check pattern files, and all of folders: what they say, and the quilts that they make.

    Raises:
        QuiltFileError: a place without a pattern file.
    """
    files, findings = faults_of_patterns(places)
    return Checked("pattern", files, tuple(findings))
