"""The block library: every block file, found by key, name or alias."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Iterator
from functools import cache, cached_property, lru_cache
from pathlib import Path

from quiltgeom.checks import brief
from quiltgeom.errors import ContentError, Finding, QuiltFileError, QuiltKeyError
from quiltgeom.library.block_file import check_block_file, read_block_file
from quiltgeom.model.block import Block

_PACKAGE = Path(__file__).resolve().parent.parent


def block_folder() -> Path:
    """Folder with the block files: ``quiltgeom/blocks`` in a wheel, ``blocks`` in a checkout."""
    for folder in (_PACKAGE / "blocks", _PACKAGE.parent / "blocks"):
        if folder.is_dir():
            return folder
    raise QuiltFileError(
        f"block files: found no 'blocks' folder in {_PACKAGE} or beside it; "
        "accepted: a complete install or checkout"
    )


def pattern_folder() -> Path:
    """Folder with the pattern files."""
    return _PACKAGE / "patterns"


def name_key(name: str) -> str:
    """How names are compared: small letters and digits, words joined by hyphens.

    >>> name_key("Bear's Paw")
    'bears-paw'
    """
    return re.sub(r"[^a-z0-9]+", "-", name.lower().replace("'", "").replace("’", "")).strip("-")


class BlockLibrary:
    """Blocks from one or more folders; later folders win where keys are equal.

    Raises:
        ContentError: some files have faults; all findings of all files together.

    >>> load_blocks().find("Nine Patch")[0].name
    'Nine Patch'
    """

    def __init__(self, folders: Iterable[str | Path], made: Iterable[Block] = ()) -> None:
        self.folders = tuple(Path(f) for f in folders)
        self.made = {b.key: b for b in made}

    def also(self, made: Iterable[Block]) -> BlockLibrary:
        """The same, and blocks made in Python; these win."""
        return BlockLibrary(self.folders, made)

    @cached_property
    def _by_key(self) -> dict[str, Block]:
        blocks: dict[str, Block] = {}
        findings: list[Finding] = []
        for path in self._files():
            block, found = _remembered(path, _stamp(path))
            findings += found
            if block is not None:
                blocks[block.key] = block
        if any(f.level == "error" for f in findings):
            raise ContentError(findings)
        return dict(sorted((blocks | self.made).items()))

    def _files(self) -> list[Path]:
        for folder in self.folders:
            if not folder.is_dir():
                raise QuiltFileError(f"block folder: found no folder at {folder}")
        return [p for folder in self.folders for p in sorted(folder.glob("*.toml"))]

    @cached_property
    def _paths(self) -> dict[str, Path]:
        return {p.stem: p for p in self._files()}

    @cached_property
    def _single(self) -> dict[str, Block]:
        return {}

    def _by_file_name(self, key: str) -> Block | None:
        """The block of the file of this name, without reading the others."""
        if key not in self._paths:
            return None
        if key not in self._single:
            whole: dict[str, Block] = self.__dict__.get("_by_key", {})
            self._single[key] = whole.get(key) or read_block_file(self._paths[key])
        return self._single[key]

    def __iter__(self) -> Iterator[Block]:
        return iter(self._by_key.values())

    def __len__(self) -> int:
        return len(self._by_key)

    def __contains__(self, asked: object) -> bool:
        """Whether it has a block, or one of this key, name or alias."""
        return bool(self.find(asked)) if isinstance(asked, str) else any(asked == b for b in self)

    def __repr__(self) -> str:
        return brief(f"BlockLibrary {len({*self._paths, *self.made})} blocks")

    def find(self, name: str) -> tuple[Block, ...]:
        """All blocks with this key, name or alias (one name may mean several drawings)."""
        wanted = name_key(name)
        return tuple(
            b for b in self if wanted in (b.key, name_key(b.name), *map(name_key, b.aliases))
        )

    def get(self, name: str) -> Block:
        """The one block of this key, name or alias; the key wins, then the name.

        Raises:
            QuiltKeyError: unknown, or the name means several drawings.
        """
        wanted = name_key(name)
        direct = self.made.get(wanted) or self._by_file_name(wanted)
        if direct:
            return direct
        found = self.find(name)
        for test in (lambda b: b.key == wanted, lambda b: name_key(b.name) == wanted):
            exact = [b for b in found if test(b)]
            if len(exact) == 1:
                return exact[0]
        if len(found) == 1:
            return found[0]
        if found:
            keys = ", ".join(b.key for b in found)
            raise QuiltKeyError(f"block: {name!r} means several drawings; accepted: one of {keys}")
        near = difflib.get_close_matches(wanted, self._by_key, n=3, cutoff=0.5)
        hint = f"; did you mean {' or '.join(near)}?" if near else ""
        raise QuiltKeyError(f"block: found no block called {name!r}{hint}")


def _stamp(path: Path) -> tuple[int, ...]:
    """What changes whenever a file does."""
    stat = path.stat()
    return stat.st_mtime_ns, stat.st_ctime_ns, stat.st_size, stat.st_ino


@lru_cache(maxsize=4096)
def _remembered(path: Path, stamp: tuple[int, ...]) -> tuple[Block | None, tuple[Finding, ...]]:
    """A block file as read and audited; a file that has not changed is not read again."""
    block, findings, _ = check_block_file(path)
    return block, tuple(findings)


@cache
def load_blocks(*extra: str | Path) -> BlockLibrary:
    """The library that comes with the package, and the user's own folders after it."""
    return BlockLibrary((block_folder(), *extra))
