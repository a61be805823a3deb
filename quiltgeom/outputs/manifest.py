"""The manifest of an output folder: what is in it, made of what, by which version."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path, PurePosixPath
from typing import Any

from quiltgeom.errors import QuiltFileError
from quiltgeom.files import write_whole
from quiltgeom.texts import read_json

MANIFEST = "quiltgeom-manifest.json"
"""Name of the manifest in every output folder."""

_FORMAT, _MOST = 1, 20_000_000
_LIBRARIES = ("numpy", "scipy", "shapely", "pillow", "cairocffi", "fonttools")
_SOURCES = frozenset([".py", ".toml", ".js", ".css", ".html", ".json"])


@dataclass(frozen=True)
class Manifest:
    """What an output folder says of itself.

    Attributes:
        kind: what was made, e.g. ``"kit"``.
        finished: False while files are being put in place.
        files: SHA-256 of each file that was written, by its path below the folder.
        cloth: the same for files that are swatches to be used (of the demo), not output.
        before: of the run that is being replaced, while this one is not finished.
        inputs: SHA-256 of what it was made of, by a name without folders.
        versions: of this library and of those that make its numbers and pixels.
    """

    kind: str
    finished: bool = True
    files: Mapping[str, str] = field(default_factory=dict)
    cloth: Mapping[str, str] = field(default_factory=dict)
    before: Mapping[str, str] = field(default_factory=dict)
    inputs: Mapping[str, str] = field(default_factory=dict)
    options: Mapping[str, Any] = field(default_factory=dict)
    versions: Mapping[str, str] = field(default_factory=dict)

    @property
    def ours(self) -> dict[str, set[str]]:
        """Digests that a file may have and still be ours, by path."""
        known: dict[str, set[str]] = {}
        for part in (self.files, self.cloth, self.before):
            for path, value in part.items():
                known.setdefault(path, set()).add(value)
        return known

    def changed(self, folder: Path) -> list[str]:
        """Files that are not there or not as written."""
        written = {**self.files, **self.cloth}
        return [p for p, value in sorted(written.items()) if digest(folder / p) != value]

    def proves(self, folder: Path, other: Manifest) -> bool:
        """Whether the folder is finished, whole, and just what ``other`` would make."""
        compared = ("kind", "inputs", "options", "versions")
        same = all(_plain(getattr(self, k)) == _plain(getattr(other, k)) for k in compared)
        return self.finished and same and not self.changed(folder)

    def write(self, folder: Path) -> Path:
        """Put it in its folder, whole or not at all."""
        data = {"format": _FORMAT, **{k: v for k, v in asdict(self).items() if v or k != "before"}}
        text = json.dumps(data, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
        return write_whole(folder / MANIFEST, text.encode("utf-8"))


def _plain(value: object) -> object:
    """As it comes back from a file."""
    return json.loads(json.dumps(value, sort_keys=True))


def digest(path: Path) -> str:
    """SHA-256 of a file (FIPS 180-4) in hexadecimal; "" if it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def load_manifest(folder: Path) -> Manifest | None:
    """The manifest of a folder, None if it has none.

    Raises:
        QuiltFileError: it is damaged, or of a later version.
    """
    path = folder / MANIFEST
    if not path.is_file():
        return None
    try:
        data = read_json(path, most=_MOST)
        if data.pop("format") != _FORMAT:
            raise QuiltFileError(
                f"manifest {path}: found one of another version of quiltgeom; "
                "accepted: another folder"
            )
        made = Manifest(**data)
        texts = (made.files, made.cloth, made.before, made.inputs, made.versions)
        if not all(isinstance(v, str) for part in texts for v in part.values()):
            raise TypeError
        if not all(_inside(p) for p in made.ours):
            raise ValueError
    except (ValueError, TypeError, KeyError, AttributeError) as e:
        raise QuiltFileError(
            f"manifest {path}: found a damaged file; accepted: one as written, or "
            "a folder without it"
        ) from e
    return made


def _inside(path: str) -> bool:
    pure = PurePosixPath(path)
    return bool(pure.parts) and not pure.is_absolute() and ".." not in pure.parts


def outputs_in(folder: Path) -> set[Path]:
    """The files that a folder's manifest lists as output; with a damaged one, all there are."""
    try:
        made = load_manifest(folder)
    except QuiltFileError:
        return {p for p in folder.rglob("*") if p.is_file()}
    return {folder / p for part in (made.files, made.before) for p in part} if made else set()


@cache
def made_with() -> Mapping[str, str]:
    """Versions that output depends on, and a digest of this library's own code and data.

    >>> sorted(made_with())[:3]
    ['cairocffi', 'code', 'fonttools']
    """
    total = hashlib.sha256()
    for name, path in _sources():
        total.update(name.encode() + b"\0" + path.read_bytes())
    return {"code": total.hexdigest()[:16], **{k: _version(k) for k in ("quiltgeom", *_LIBRARIES)}}


def _sources() -> Iterator[tuple[str, Path]]:
    """By paths that are the same in a checkout and in an installed package."""
    package = Path(__file__).resolve().parents[1]
    blocks = package.parent / "blocks"
    found = {f"quiltgeom/{p.relative_to(package).as_posix()}": p for p in package.rglob("*")}
    if not (package / "blocks").is_dir() and blocks.is_dir():
        found |= {
            f"quiltgeom/blocks/{p.relative_to(blocks).as_posix()}": p for p in blocks.rglob("*")
        }
    return ((k, p) for k, p in sorted(found.items()) if p.suffix in _SOURCES and p.is_file())


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return ""
