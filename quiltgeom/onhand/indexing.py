"""Reading a whole folder of swatches into its index, in parallel, safe against interruption."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from concurrent.futures import Executor
from pathlib import Path

from quiltgeom.errors import QuiltFileError, QuiltValueError
from quiltgeom.onhand.content import corrections_of, damaged
from quiltgeom.onhand.index import OnHand, open_index
from quiltgeom.onhand.pool import answers, cores
from quiltgeom.onhand.scan import UNREAD, digest_of, read_bytes, survey
from quiltgeom.onhand.stock import IndexReport, take_stock
from quiltgeom.onhand.swatch_reader import Answer, Task, reader_mark

Progress = Callable[[int, int], None]

QUICK = "-quick"
"""Ends the reader's mark of a quick reading."""


def index_folder(
    folder: str | Path,
    index: OnHand | str | Path | None = None,
    *,
    width: float | None = None,
    executor: Executor | None = None,
    workers: int | None = None,
    again: bool = False,
    quick: bool = False,
    progress: Progress | None = None,
) -> IndexReport:
    """Bring the index of a folder of swatches up to date: only what is new or changed is read.

    Each finished swatch is stored at once; a run that is killed loses at most the swatches that
    were being read, and the next run goes on from there.

    Args:
        folder: pictures in it and in the folders below it.
        index: an open index, or a file; None: ``on-hand.sqlite`` in the folder.
        width: real width, inches, of pictures of which neither a side file nor their owner says
            one. None: the width they were last read with, else the density that the file states.
        executor: anything with the interface of :class:`concurrent.futures.Executor`, for
            instance a cluster's; it is left running. None: a pool of processes.
        workers: processes of that pool; None: one for each core that may be used.
        again: read everything anew.
        quick: read only colours, value, loudness and motif size of what is new (a fifth of the
            time); a later run without it reads the rest.
        progress: called with (done, total).

    Raises:
        QuiltFileError: no such folder, a damaged index or side file.
        ContentError: a side file with faults.
        QuiltValueError: a width or a number of workers that makes no sense.
    """
    if width is not None and not 0 < width <= 1000:
        raise QuiltValueError(f"swatch width: found {width!r}; accepted: inches above 0")
    if workers is not None and workers < 1:
        raise QuiltValueError(f"workers: found {workers}; accepted: 1 or more")
    folder = _resolved(folder)
    look = survey(folder)  # before an index is made: faults here leave nothing behind
    with contextlib.ExitStack() as stack:
        if not isinstance(index, OnHand):
            index = stack.enter_context(open_index(index or folder, create=True))
        report = take_stock(index, folder, look, width)
        work = _Work(index, folder, again, quick)
        report.read = work.run(executor, workers, progress)
        report.unreadable[:0] = work.unreadable()
        report.waiting = work.count("status = 'waiting'")
        report.older = work.count(f"status = 'read' AND reader NOT LIKE '{reader_mark()}%'")
        return report


def _resolved(folder: str | Path) -> Path:
    try:
        return Path(folder).resolve()
    except (OSError, RuntimeError, ValueError) as e:  # links in a circle, a name too long
        raise QuiltFileError(f"swatches {folder}: found no such folder ({e})") from e


_Key = tuple[str, float | None, str]
"""What a reading depends on: the bytes, the picture's width, the user's word."""


class _Work:
    """The readings that an index still wants of a folder."""

    def __init__(self, index: OnHand, folder: Path, again: bool, quick: bool) -> None:
        self.index = index
        self.folder = folder
        self.quick = quick
        self.mark = reader_mark() + (QUICK if quick else "")
        stale = "FALSE" if quick else f"status = 'read' AND reader LIKE '%{QUICK}'"
        with index.transaction() as db:
            for key in self._inside("status IN ('read', 'unreadable')" if again else stale):
                db.execute("UPDATE swatch SET status = 'waiting' WHERE id = ?", (key,))

    def _inside(self, condition: str) -> dict[int, str]:
        """Present rows of the folder, by number, with their stored paths."""
        found = self.index.rows(
            f"SELECT id, path FROM swatch WHERE present AND {condition} ORDER BY path"
        )
        return {k: p for k, p in found if self.index.absolute(p).is_relative_to(self.folder)}

    def count(self, condition: str) -> int:
        return len(self._inside(condition))

    def unreadable(self) -> list[tuple[Path, str]]:
        found = self._inside("status = 'unreadable'")
        reasons = dict(self.index.rows("SELECT id, reason FROM swatch"))
        return [(self.index.absolute(p), reasons[k]) for k, p in found.items()]

    def run(self, executor: Executor | None, workers: int | None, progress: Progress | None) -> int:
        """Read what waits; the number of pictures read."""
        groups: dict[_Key, list[int]] = {}
        for key in self._inside("status = 'waiting'"):
            sql = "SELECT digest, picture_width, corrections FROM swatch WHERE id = ?"
            groups.setdefault(tuple(self.index.rows(sql, key)[0]), []).append(key)
        wanted = {k: ids for k, ids in groups.items() if not self._copied(k, ids)}
        heads = {ids[0]: (k, ids) for k, ids in wanted.items()}
        if progress:
            progress(0, len(heads))
        most = min(workers or cores(), max(1, len(heads)))
        read = 0
        for done, answer in enumerate(answers(self._tasks(heads), executor, most), start=1):
            self._store(answer, *heads[answer.id])
            read += not answer.reason
            if progress:
                progress(done, len(heads))
        return read

    def _copied(self, key: _Key, ids: list[int]) -> bool:
        """Whether another file with these bytes has been read by the present reading code."""
        found = self.index.rows(
            "SELECT r.json, s.features FROM swatch s JOIN reading r ON r.swatch = s.id WHERE "
            "s.digest = ? AND s.picture_width IS ? AND s.corrections = ? AND s.status = 'read' "
            "AND s.reader IN (?, ?) LIMIT 1",
            *key,
            reader_mark(),
            self.mark,
        )
        if found:
            self._store(Answer(ids[0], *found[0]), key, ids)
        return bool(found)

    def _tasks(self, heads: dict[int, tuple[_Key, list[int]]]) -> Iterator[Task]:
        for head, (key, ids) in heads.items():
            path = self.index.absolute(
                self.index.rows("SELECT path FROM swatch WHERE id = ?", head)[0][0]
            )
            try:
                data = read_bytes(path)
            except OSError as e:
                if not key[0].startswith(UNREAD):  # it could be read just now: next time
                    self._look_again(head)
                    continue
                reason = f"picture {path.name}: cannot be read ({e.strerror})"
                self._store(Answer(head, reason=reason), key, ids)
                continue
            if digest_of(data) != key[0]:  # it changes under our hands: next time
                self._look_again(head)
                continue
            try:
                corrections = corrections_of(key[2])
            except ValueError as e:
                raise damaged(self.index.path, f"corrections of swatch {head}: {e}") from e
            yield Task(head, path.name, data, key[1], corrections, self.quick)

    def _look_again(self, key: int) -> None:
        with self.index.transaction() as db:
            db.execute("UPDATE swatch SET mtime_ns = -1 WHERE id = ?", (key,))

    def _store(self, answer: Answer, key: _Key, ids: list[int]) -> None:
        """One transaction per finished picture; rows that have changed meanwhile stay waiting."""
        status = "waiting" if answer.lost else "unreadable" if answer.reason else "read"
        with self.index.transaction() as db:
            for swatch in ids:
                done = db.execute(
                    "UPDATE swatch SET status = ?, reason = ?, features = ?, reader = ? WHERE "
                    "id = ? AND digest = ? AND picture_width IS ? AND corrections = ?",
                    (status, answer.reason, answer.features or None, self.mark, swatch, *key),
                )
                if done.rowcount and status == "read":
                    db.execute(
                        "INSERT OR REPLACE INTO reading (swatch, json) VALUES (?, ?)",
                        (swatch, answer.json),
                    )
