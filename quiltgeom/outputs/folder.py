"""Output folders: filled aside, put in place as a whole, never over what is not ours."""

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from quiltgeom.errors import QuiltError, QuiltFileError, QuiltValueError
from quiltgeom.files import TEMPORARY, held, sweep
from quiltgeom.outputs.manifest import MANIFEST, Manifest, digest, load_manifest, made_with


@dataclass
class Filling:
    """An output folder while it is being filled.

    Attributes:
        path: where to write: a folder aside, which becomes ``folder`` at the end.
        replaced: files of an earlier run that had to make room (known at the end).
    """

    path: Path
    folder: Path
    replaced: list[str] = field(default_factory=list)

    def final(self, path: Path) -> Path:
        """Where a file that was written will be."""
        return self.folder / path.relative_to(self.path)


@contextmanager
def output_folder(
    folder: str | Path,
    kind: str,
    *,
    inputs: Iterable[Path] = (),
    force: bool = False,
    made_of: Mapping[str, str] | None = None,
    options: Mapping[str, Any] | None = None,
    cloth: str = "",
) -> Iterator[Filling]:
    """Fill a folder as a whole: it is the old one, or the new one, or its manifest says that it is
    not finished.

    Files are written aside; when all is well they are put in place, files of an earlier run that
    are no longer made are removed, and the manifest is written last.

    Args:
        folder: made if need be. Files that are not from an earlier run are left alone.
        kind: what is made; a folder of another kind is not taken over.
        inputs: files that it is made of: no output may take their place, unless it is the same
            byte for byte (a kit made again from its own folder).
        force: replace files that are not ours or were changed.
        made_of: digests for the manifest, by name; None: those of ``inputs``.
        cloth: a folder inside whose files are swatches to be used.

    Raises:
        QuiltFileError: it cannot be written, or something there would be lost.
    """
    target = Path(folder)
    given = [Path(p) for p in inputs]
    if made_of is None:
        made_of = {p.name: digest(p) for p in given}
    new = Manifest(kind, inputs=made_of, options=options or {}, versions=made_with())
    may_begin(target, new, force)
    with _aside(target) as path:
        filling = Filling(path, target)
        yield filling
        listed = _listed(path)
        parts = {p: d for p, d in listed.items() if cloth and p.startswith(f"{cloth}/")}
        files = {p: d for p, d in listed.items() if p not in parts}
        _put(filling, replace(new, files=files, cloth=parts), given, force)


def refuse_inputs(outputs: Iterable[Path], inputs: Iterable[Path]) -> None:
    """No output is one of the inputs, by whatever name or link, not even by force.

    Raises:
        QuiltValueError: one is.
    """
    known = {k: p for p in inputs if (k := _identity(p))}
    for output in outputs:
        if _identity(output) in known:
            raise QuiltValueError(
                f"output {output}: found one of the files that it is made of; "
                "accepted: another name or folder"
            )


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        stat = path.stat()
    except OSError:
        return None
    return stat.st_dev, stat.st_ino


def may_begin(target: Path, new: Manifest, force: bool) -> None:
    """Refuse what can be refused before any work is done.

    Raises:
        QuiltFileError: the folder holds output of another kind, or files that were changed.
    """
    if target.exists() and not target.is_dir():
        raise QuiltFileError(f"output {target}: found a file; accepted: a folder, or a new name")
    old = _old(target, force)
    if old is None or force:
        return
    if old.kind != new.kind:
        raise QuiltFileError(
            f"output {target}: found a folder with {_a(old.kind)}; accepted: one "
            f"of {_a(new.kind)}, another name, or force=True"
        )
    known = old.ours
    changed = [p for p in old.changed(target) if (target / p).exists()]
    _refuse(target, [p for p in changed if digest(target / p) not in known[p]])


def _a(kind: str) -> str:
    return f"an output called {kind!r}"


def _old(target: Path, force: bool) -> Manifest | None:
    try:
        return load_manifest(target)
    except QuiltFileError:
        if force:
            return None
        raise


def _refuse(target: Path, names: list[str]) -> None:
    if names:
        more = f" and {len(names) - 5} more" if len(names) > 5 else ""
        raise QuiltFileError(
            f"output {target}: would replace {', '.join(sorted(names)[:5])}{more}, which "
            f"{'is' if len(names) == 1 else 'are'} not as quiltgeom wrote it; accepted: another "
            "folder, or force=True"
        )


@contextmanager
def _aside(target: Path) -> Iterator[Path]:
    """A hidden folder inside the target, or beside it while there is none; gone at the end. Those
    that a killed run left are removed: nobody holds them."""
    place = target if target.is_dir() else target.absolute().parent
    made = [p for p in (place, *place.parents) if not p.exists()]
    try:
        place.mkdir(parents=True, exist_ok=True)
        sweep(place)
        path = Path(tempfile.mkdtemp(prefix=TEMPORARY, dir=place))
    except OSError as e:
        raise QuiltFileError(f"output {target}: cannot be written ({e.strerror or e})") from e
    try:
        with held(path):
            yield path
    finally:
        shutil.rmtree(path, ignore_errors=True)
        for empty in made:  # what was made on the way, unless something came into it
            with contextlib.suppress(OSError):
                empty.rmdir()


def _listed(path: Path) -> dict[str, str]:
    files = (p for p in path.rglob("*") if p.is_file())
    return {p.relative_to(path).as_posix(): digest(p) for p in sorted(files)}


def _put(filling: Filling, new: Manifest, inputs: list[Path], force: bool) -> None:
    target, path = filling.folder, filling.path
    try:
        umask = os.umask(0)
        os.umask(umask)
        if not target.exists():
            new.write(path)
            path.chmod(0o777 & ~umask)
            with contextlib.suppress(OSError):  # somebody made it meanwhile
                path.rename(target)
                return
            (path / MANIFEST).unlink()
        with held(target, wait=True):
            _into(filling, new, inputs, force)
    except OSError as e:
        if isinstance(e, QuiltError):
            raise
        raise QuiltFileError(f"output {target}: cannot be written ({e.strerror or e})") from e


def _into(filling: Filling, new: Manifest, inputs: list[Path], force: bool) -> None:
    """Put the files into a folder that is there."""
    target, path = filling.folder, filling.path
    may_begin(target, new, force)
    old = _old(target, force)
    written = {**new.files, **new.cloth}
    there = {p: digest(target / p) for p in written if os.path.lexists(target / p)}
    refuse_inputs([target / p for p, d in there.items() if d != written[p]], inputs)
    known = old.ours if old else {}
    if not force:
        _refuse(
            target,
            [p for p, d in there.items() if d != written[p] and d not in known.get(p, set())],
        )
    for name in written:
        _refuse_shape(target, name)
    filling.replaced = sorted(p for p, d in there.items() if d != written[p])
    before = {**old.files, **old.cloth, **old.before} if old else {}
    replace(new, finished=False, before=before).write(target)
    for name in written:
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        os.replace(path / name, target / name)
    used = {_identity(p) for p in inputs}
    for name, values in known.items():  # swatches of an earlier run may be in use
        kept = name in written or (old is not None and name in old.cloth)
        kept = kept or _identity(target / name) in used
        if not kept and digest(target / name) in values:
            (target / name).unlink()
            _prune(target, (target / name).parent)
    new.write(target)


def _refuse_shape(target: Path, name: str) -> None:
    """A folder stands where a file is to be, or a file where a folder is."""
    parents = [target / p for p in Path(name).parents if p.parts]
    wrong = [target / name] if (target / name).is_dir() else []
    wrong += [p for p in parents if p.exists() and not p.is_dir()]
    if wrong:
        what = "a folder" if wrong[0].is_dir() else "a file"
        raise QuiltFileError(f"output {wrong[0]}: found {what} there; accepted: another folder")


def _prune(target: Path, folder: Path) -> None:
    while folder != target:
        try:
            folder.rmdir()
        except OSError:
            return
        folder = folder.parent
