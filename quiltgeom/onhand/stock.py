"""Bringing the index in line with what a folder holds now: new, changed, moved, gone, come back."""

import os
import sqlite3
from dataclasses import dataclass, field
from pathlib import Path

from quiltgeom.errors import QuiltFileError, QuiltValueError
from quiltgeom.fabric.image import NO_WIDTH
from quiltgeom.onhand.index import OnHand
from quiltgeom.onhand.scan import UNREAD, Look, Seen, digests, printable, survey


@dataclass
class IndexReport:
    """What an indexing run did.

    Attributes:
        read: pictures read now (copies of one file count once).
        new, changed, missing: files that came, got other bytes, went.
        moved: (from, to): the same bytes under another path.
        unreadable: (path, reason), all there are in the folder; also what was skipped: odd names
            (here in a form that can be printed), folders that cannot be read.
        waiting: files left for the next run (they changed while being read, a worker was lost).
        older: readings made by an earlier version of the reading code; ``again`` renews them.
    """

    index: Path
    found: int = 0
    read: int = 0
    new: int = 0
    changed: int = 0
    missing: int = 0
    moved: list[tuple[str, str]] = field(default_factory=list)
    unreadable: list[tuple[Path, str]] = field(default_factory=list)
    waiting: int = 0
    older: int = 0

    @property
    def without_width(self) -> int:
        """How many pictures cannot be used since nothing says how wide they really are."""
        return sum(NO_WIDTH in reason for _, reason in self.unreadable)

    def check_widths(self) -> None:
        """Refuse a folder in which no picture can be used for want of a width."""
        count = self.without_width
        if count and len(self.unreadable) >= self.found:
            have = "1 picture has" if count == 1 else f"{count} pictures have"
            raise QuiltValueError(
                f"swatches {self.index.parent.name}: {have} no width; accepted: their real width "
                "(swatch_width), inches, or that of each in on-hand.toml"
            )


@dataclass(slots=True)
class _Row:
    id: int
    path: str
    present: bool
    size: int
    mtime_ns: int
    digest: str


def take_stock(index: OnHand, folder: Path, look: Look, width: float | None) -> IndexReport:
    """Write down the files of a folder; readings come later. One transaction: all or nothing.

    The report says what came, changed, went, and what was skipped.

    A swatch is recognised by its bytes first, so that what its owner said of it goes along when
    its file is moved or renamed; by its path next, so that a new photo of it takes its place.
    Rows are read, judged and written in that one transaction, so that any number of runs may do
    this at once; files are read before it, so that they do not wait for each other long.

    Args:
        folder: the folder that was looked through (absolute).
        width: real width of pictures of which nothing else is said.

    Raises:
        QuiltFileError: the index cannot be used, or the folder's own path cannot be kept in it.
    """
    known: _Known = {}
    _learn(known, _Matching(index, folder, look, _rows(index)).rest)
    with index.transaction() as db:
        rows = _rows(index)
        work = _Matching(index, folder, look, rows)
        if work.outdated():
            work = _Matching(index, folder, survey(folder), rows)
        _learn(known, work.rest)
        gone = {
            f.path
            for f in work.rest
            if known[_as_seen(f)][0].startswith(UNREAD) and not os.path.lexists(f.path)
        }
        if gone:  # renamed at this very moment: the next run finds them
            here = [f for f in work.look.files if f.path not in gone]
            work = _Matching(index, folder, Look(here, work.look.skipped), rows)
        _write(db, work.place(known), work.stored, known)
        for f in work.look.files:
            _write_said(db, f, work.stored[f.path], width)
        work.done.missing = _mark_missing(db, work)
        _write_skipped(db, work)
    skipped = [(Path(printable(str(s.path))), s.reason) for s in work.look.skipped]
    work.done.unreadable += skipped
    return work.done


_Known = dict[tuple[Path, int, int, str], tuple[str, int]]
"""Digests and trusted time stamps of files as they were seen."""


def _as_seen(f: Seen) -> tuple[Path, int, int, str]:
    return f.path, f.size, f.mtime_ns, f.fault


def _learn(known: _Known, files: list[Seen]) -> None:
    new = [f for f in files if _as_seen(f) not in known]
    known.update(zip(map(_as_seen, new), digests(new), strict=True))


def _rows(index: OnHand) -> list[_Row]:
    return [
        _Row(*r)
        for r in index.rows(
            "SELECT id, path, present, size, mtime_ns, digest FROM swatch ORDER BY id"
        )
    ]


class _Matching:
    """Which row of the index each file of a folder belongs to."""

    def __init__(self, index: OnHand, folder: Path, look: Look, rows: list[_Row]) -> None:
        self.index = index
        self.folder = folder
        self.look = look
        self.rows = rows
        self.stored = {f.path: _stored(index, f.path) for f in look.files}
        self.closed = [s.path for s in look.skipped if s.closed]
        self.at = {r.path: r for r in rows if r.present}
        same = [f for f in look.files if _untouched(f, self.at.get(self.stored[f.path]))]
        self.taken = {self.at[self.stored[f.path]].id for f in same}
        untouched = {f.path for f in same}
        self.rest = [f for f in look.files if f.path not in untouched]
        self.placed: dict[Path, _Row | None] = {}
        self.done = IndexReport(index.path, found=len(look.files))

    def unseen(self) -> list[tuple[_Row, Path]]:
        """Rows of this folder whose file was not seen, with the file. Of closed folders nothing
        is known."""
        here = set(self.stored.values())
        found = [
            (r, self.index.absolute(r.path)) for r in self.rows if r.present and r.path not in here
        ]
        return [
            (r, p)
            for r, p in found
            if p.is_relative_to(self.folder) and not any(p.is_relative_to(c) for c in self.closed)
        ]

    def outdated(self) -> bool:
        """Whether the folder is no longer as it was when it was looked through.

        Another run may have written down a newer look meanwhile: what has come would be taken for
        gone, and what has gone would be written down again.
        """
        come = (p for _, p in self.unseen() if os.path.lexists(p))
        gone = (f for f in self.rest if not os.path.lexists(f.path))
        return next(come, None) is not None or next(gone, None) is not None

    def place(self, known: _Known) -> list[tuple[Seen, _Row | None]]:
        """The row of each new or touched file; None makes a new one."""
        digest = {f.path: known[_as_seen(f)][0] for f in self.rest}
        as_they_were = {(r.path, r.digest): r for r in self.rows}
        for f in self.rest:  # touched, or come back, but the same bytes at the same path
            row = as_they_were.get((self.stored[f.path], digest[f.path]))
            if row is not None:
                self._claim(f, row)
        self._follow_bytes(digest)
        by_path = {r.path: r for r in self.rows if not r.present} | self.at
        for f in self.rest:
            if f.path in self.placed:
                continue
            row = by_path.get(self.stored[f.path])
            row = None if row is None or row.id in self.taken else row
            self.done.changed += row is not None
            self.done.new += row is None
            self._claim(f, row)
        return [(f, self.placed[f.path]) for f in self.rest]

    def _claim(self, f: Seen, row: _Row | None) -> None:
        if row is not None:
            self.taken.add(row.id)
        self.placed[f.path] = row

    def _follow_bytes(self, digest: dict[Path, str]) -> None:
        free: dict[str, list[_Row]] = {}
        for r in self.rows:
            if r.id not in self.taken and not self._elsewhere(r):
                free.setdefault(r.digest, []).append(r)
        for f in self.rest:
            here = free.get(digest[f.path], [])
            if f.path not in self.placed and here:
                row = here.pop(0)
                self.done.moved.append((row.path, self.stored[f.path]))
                self._claim(f, row)

    def _elsewhere(self, row: _Row) -> bool:
        """Whether a row's file still stands, or may stand, where this look did not reach: a row
        follows its bytes only when they are no longer where it says."""
        path = self.index.absolute(row.path)
        if not row.present:
            return False
        if path.is_relative_to(self.folder):
            return any(path.is_relative_to(c) for c in self.closed)
        return path.is_file()


def _stored(index: OnHand, path: Path) -> str:
    """A path as the index keeps it.

    Raises:
        QuiltFileError: the way from the index to the folder cannot be written down.
    """
    stored = Path(os.path.relpath(path, index.folder)).as_posix()
    try:
        stored.encode()
    except UnicodeEncodeError as e:
        raise QuiltFileError(
            f"swatches {printable(stored)}: found bytes that are not UTF-8 in a folder's name; "
            "accepted: the index inside that folder, or another name"
        ) from e
    return stored


def _untouched(f: Seen, row: _Row | None) -> bool:
    return (
        row is not None
        and not f.fault
        and f.mtime_ns >= 0
        and (row.size, row.mtime_ns) == (f.size, f.mtime_ns)
    )


def _write(
    db: sqlite3.Connection,
    placed: list[tuple[Seen, _Row | None]],
    stored: dict[Path, str],
    known: _Known,
) -> None:
    # two files may have changed names: no path is in anyone's way while they do
    for _, row in placed:
        if row is not None:
            db.execute("UPDATE swatch SET present = 0 WHERE id = ?", (row.id,))
    for f, _ in placed:
        db.execute("UPDATE swatch SET present = 0 WHERE path = ? AND present", (stored[f.path],))
    for f, row in placed:
        digest, stamp = known[_as_seen(f)]
        if row is None:
            db.execute(
                "INSERT INTO swatch (path, present, size, mtime_ns, digest, status) "
                "VALUES (?, 1, ?, ?, ?, 'waiting')",
                (stored[f.path], f.size, stamp, digest),
            )
            continue
        db.execute(
            "UPDATE swatch SET path = ?, present = 1, size = ?, mtime_ns = ?, digest = ?, "
            "status = CASE WHEN digest = ? THEN status ELSE 'waiting' END WHERE id = ?",
            (stored[f.path], f.size, stamp, digest, digest, row.id),
        )


_SAID = ("name", "width_on_hand", "length_on_hand", "notes")


def _write_said(db: sqlite3.Connection, f: Seen, path: str, width: float | None) -> None:
    db.execute(
        "UPDATE swatch SET stated = ? WHERE path = ? AND present", (",".join(sorted(f.said)), path)
    )
    for column in _SAID:
        if column in f.said:
            db.execute(
                f"UPDATE swatch SET {column} = ? WHERE path = ? AND present", (f.said[column], path)
            )
    if f.fault:
        db.execute(
            "UPDATE swatch SET status = 'unreadable', reason = ? WHERE path = ? AND present",
            (f.fault, path),
        )
        return
    # by the side file, by the owner's word, by the option, as last time; else by the density
    given: dict[str, object] = {"side": f.said.get("picture_width"), "given": width}
    db.execute(
        "UPDATE swatch SET picture_width = coalesce(:side, said_width, :given, picture_width), "
        "corrections = :corrections, status = CASE WHEN corrections IS :corrections AND "
        "picture_width IS coalesce(:side, said_width, :given, picture_width) THEN status "
        "ELSE 'waiting' END WHERE path = :path AND present",
        given | {"corrections": f.corrections, "path": path},
    )


def _mark_missing(db: sqlite3.Connection, work: _Matching) -> int:
    unplaced = [r for r, _ in work.unseen() if r.id not in work.taken]
    for row in unplaced:
        db.execute("UPDATE swatch SET present = 0 WHERE id = ?", (row.id,))
    return len(unplaced)


def _write_skipped(db: sqlite3.Connection, work: _Matching) -> None:
    for (path,) in work.index.rows("SELECT path FROM skipped"):
        if work.index.absolute(path).is_relative_to(work.folder):
            db.execute("DELETE FROM skipped WHERE path = ?", (path,))
    for s in work.look.skipped:
        path = printable(Path(os.path.relpath(s.path, work.index.folder)).as_posix())
        db.execute("INSERT OR REPLACE INTO skipped VALUES (?, ?)", (path, s.reason))
