"""The pattern library: every pattern file, found by key or name."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from functools import cache, cached_property
from pathlib import Path

from quiltgeom.errors import ContentError, Finding, QuiltKeyError
from quiltgeom.library.blocks import BlockLibrary, load_blocks, name_key
from quiltgeom.library.folders import pattern_folder
from quiltgeom.library.pattern_file import check_pattern_file
from quiltgeom.model.pattern import Pattern

__all__ = ["PatternLibrary", "load_patterns"]


class PatternLibrary:
    """Patterns from one or more folders; later folders win where keys are equal.

    Raises:
        ContentError: some files have faults; all findings together.

    >>> [p.key for p in load_patterns()][:1]
    ['barn-lantern']
    """

    def __init__(self, folders: tuple[Path, ...], blocks: BlockLibrary) -> None:
        self.folders, self.blocks = folders, blocks

    @cached_property
    def _by_key(self) -> dict[str, Pattern]:
        patterns: dict[str, Pattern] = {}
        findings: list[Finding] = []
        for path in (p for folder in self.folders for p in sorted(folder.glob("*.toml"))):
            pattern, found = check_pattern_file(path, self.blocks)
            findings += found
            if pattern is not None:
                patterns[pattern.key] = pattern
        if findings:
            raise ContentError(findings)
        return dict(sorted(patterns.items()))

    def __iter__(self) -> Iterator[Pattern]:
        return iter(self._by_key.values())

    def __len__(self) -> int:
        return len(self._by_key)

    def get(self, name: str) -> Pattern:
        """The pattern of this key or name.

        Raises:
            QuiltKeyError: unknown; the message names the nearest.
        """
        wanted = name_key(name)
        for pattern in self:
            if wanted in (pattern.key, name_key(pattern.name)):
                return pattern
        near = difflib.get_close_matches(wanted, self._by_key, n=3, cutoff=0.5)
        hint = f"did you mean {' or '.join(near)}?" if near else f"known: {', '.join(self._by_key)}"
        raise QuiltKeyError(f"pattern: found no pattern called {name!r}; {hint}")


@cache
def load_patterns(*extra_blocks: str | Path) -> PatternLibrary:
    """The patterns that come with the package, with the user's block folders known to them."""
    return PatternLibrary((pattern_folder(),), load_blocks(*extra_blocks))
