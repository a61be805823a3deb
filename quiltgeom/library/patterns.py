"""The pattern library: every pattern file, found by key or name."""

import difflib
from collections.abc import Iterable, Iterator, Mapping
from functools import cache, cached_property
from pathlib import Path

from quiltgeom.checks import brief
from quiltgeom.errors import (
    ContentError,
    Finding,
    QuiltFileError,
    QuiltKeyError,
    QuiltValueError,
    shown,
)
from quiltgeom.library.blocks import BlockLibrary, load_blocks, name_key, pattern_folder
from quiltgeom.library.pattern_file import check_pattern_file, pattern_paths
from quiltgeom.model.pattern import Pattern


class PatternLibrary:
    """The patterns that come with the package, and those of folders of one's own, which win where
    keys are equal.

    Raises:
        ContentError: some files have faults; all findings together.
        QuiltFileError: a folder is missing, or has no pattern.
        QuiltValueError: two patterns of one's own have the same key.

    >>> [p.key for p in load_patterns()][:1]
    ['barn-lantern']
    """

    def __init__(self, folders: tuple[Path, ...], blocks: BlockLibrary) -> None:
        self.folders, self.blocks = folders, blocks

    @cached_property
    def _by_key(self) -> dict[str, Pattern]:
        findings: list[Finding] = []

        def read(*folders: Path) -> dict[str, Pattern]:
            paths = [p for folder in folders for p in pattern_paths(folder)]
            made = [check_pattern_file(p, self.blocks) for p in paths]
            findings.extend(f for _, found in made for f in found)
            return keyed(pattern for pattern, _ in made if pattern)

        known = read(pattern_folder()) | read(*self.folders)
        if findings:
            raise ContentError(findings)
        return dict(sorted(known.items()))

    def __iter__(self) -> Iterator[Pattern]:
        return iter(self._by_key.values())

    def __len__(self) -> int:
        return len(self._by_key)

    def __contains__(self, wanted: object) -> bool:
        """Whether it has a pattern, or one of this key or name."""
        if isinstance(wanted, str):
            key = name_key(wanted)
            return any(key in (name_key(p.key), name_key(p.name)) for p in self)
        return any(wanted == p for p in self)

    def __repr__(self) -> str:
        return brief(f"PatternLibrary {len(self)} patterns: {', '.join(self._by_key)}")

    def get(self, wanted: str | Path | Pattern) -> Pattern:
        """The pattern of this key or name, or of the file of this path; a pattern is itself.

        Raises:
            QuiltKeyError: unknown; the message names the nearest.
            ContentError: the file has faults.
        """
        if isinstance(wanted, Pattern):
            return wanted
        path = pattern_path(wanted)
        if path is None:
            return named(str(wanted), self._by_key)
        pattern, findings = check_pattern_file(path, self.blocks)
        if pattern is None:
            raise ContentError(findings)
        return pattern


def pattern_path(wanted: str | Path | Pattern | None) -> Path | None:
    """The path, where a pattern is named by its file and not by its key.

    >>> pattern_path("gull-cove"), pattern_path("my quilts/slip.toml").name
    (None, 'slip.toml')
    """
    if isinstance(wanted, str) and wanted.lower().endswith(".toml"):
        return Path(wanted)
    return wanted if isinstance(wanted, Path) else None


def named(name: str, patterns: Mapping[str, Pattern]) -> Pattern:
    """The pattern of this key, else of this name, among ``patterns`` by key.

    Raises:
        QuiltKeyError: unknown; the message names the nearest.
    """
    wanted = name_key(name)
    known = {name_key(p.name): p for p in patterns.values()}
    known |= {name_key(k): p for k, p in patterns.items()}
    if wanted in known:
        return known[wanted]
    near = difflib.get_close_matches(wanted, patterns, n=3, cutoff=0.5)
    hint = f"did you mean {' or '.join(near)}?" if near else f"known: {', '.join(patterns)}"
    raise QuiltKeyError(f"pattern: found no pattern called {name!r}; {hint}")


def keyed(patterns: Iterable[Pattern]) -> dict[str, Pattern]:
    """Patterns by key.

    Raises:
        QuiltValueError: two have the same.
    """
    found: dict[str, Pattern] = {}
    for pattern in patterns:
        if found.setdefault(pattern.key, pattern) is not pattern:
            raise QuiltValueError(
                f"patterns: found two with the key {shown(pattern.key)}; "
                "accepted: a key (file name) of its own for each"
            )
    return found


def is_own(pattern: Pattern) -> bool:
    """Whether a pattern is not one that comes with the package."""
    return load_patterns()._by_key.get(pattern.key) != pattern


def load_patterns(*folders: str | Path, blocks: Iterable[str | Path] = ()) -> PatternLibrary:
    """The patterns that come with the package, and those of folders of one's own.

    Args:
        folders: with pattern files; blocks that they use, and designs, may lie beside them.
        blocks: folders with blocks of one's own, known to all patterns.

    Raises:
        QuiltFileError: there is no such folder.
    """
    for folder in map(Path, folders):
        if not folder.exists():
            raise QuiltFileError(
                f"patterns {folder}: found no pattern file, there is no such folder; accepted: a "
                ".toml file or folder"
            )
    library = _with_blocks(*blocks)
    return PatternLibrary(tuple(map(Path, folders)), library.blocks) if folders else library


@cache
def _with_blocks(*folders: str | Path) -> PatternLibrary:
    return PatternLibrary((), load_blocks(*folders))
