"""Cases in worker processes, each watched: a case that takes too long or too much is a crash."""

from __future__ import annotations

import multiprocessing
import os
import resource
import signal
import time
import warnings
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.connection import wait as wait_for
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any

from tests.fuzz.cases import Case, Outcome, judge

__all__ = ["Plan", "Tally", "make_case", "run_all"]

SLOWEST = 10.0
"""Seconds that one case may take."""

LARGEST = 2_000_000_000
"""Bytes of memory that a process may take."""


@dataclass(frozen=True)
class Plan:
    """Which cases: exact counts of both groups, or a time in seconds."""

    seed: int
    texts: int = 0
    pictures: int = 0
    seconds: float = 0.0
    workers: int = 2

    def case_at(self, i: int) -> tuple[str, int] | None:
        """Group and number of the i-th case; None: there are no more."""
        if self.seconds:  # one in eight is a picture
            return ("pictures", i // 8) if i % 8 == 7 else ("texts", i - i // 8)
        if i < self.texts:
            return "texts", i
        return ("pictures", i - self.texts) if i < self.texts + self.pictures else None


@dataclass
class Tally:
    """What came of all cases."""

    counts: Counter[str] = field(default_factory=Counter)
    kinds: Counter[tuple[str, str]] = field(default_factory=Counter)
    places: Counter[str] = field(default_factory=Counter)
    examples: dict[str, tuple[str, str]] = field(default_factory=dict)
    slowest: tuple[float, str] = (0.0, "")
    largest: tuple[int, str] = (0, "")

    def add(
        self, case: str, group: str, kind: str, outcome: Outcome, took: float, peak: int
    ) -> None:
        """Count one case."""
        self.counts[group] += 1
        self.counts[outcome.kind] += 1
        self.kinds[kind, outcome.kind] += 1
        self.slowest = max(self.slowest, (took, case))
        self.largest = max(self.largest, (peak, case))
        if outcome.kind == "crash":
            self.places[outcome.place] += 1
            self.examples.setdefault(outcome.place, (case, outcome.trace))


def make_case(seed: int, group: str, number: int) -> Case:
    """The case of that name."""
    r = Random(f"{seed} {group} {number}")
    kinds = _kinds(group)
    kind = r.choices(list(kinds), [k.weight for k in kinds.values()])[0]
    return Case(group, number, kind, kinds[kind].make(r))


def _kinds(group: str) -> dict[str, Any]:
    if group == "pictures":
        from tests.fuzz.pictures import KINDS
    else:
        from tests.fuzz.texts import KINDS
    return KINDS


def run_all(plan: Plan, keep: Path | None, say: Callable[[str], None]) -> Tally:
    """Run a plan; crashes are written to ``keep``."""
    tally, end = Tally(), time.monotonic() + plan.seconds if plan.seconds else None
    crew = [_Worker(plan, k, end) for k in range(plan.workers)]
    while any(w.busy for w in crew):
        for ready in wait_for([w.pipe for w in crew if w.busy], timeout=0.5):
            worker = next(w for w in crew if w.pipe is ready)
            for message in worker.messages():
                _note(tally, message, plan, keep, say)
        for worker in crew:
            if worker.busy and worker.overdue():
                _note(tally, worker.stopped(), plan, keep, say)
    return tally


Message = tuple[str, int, str, Outcome, float, int, bytes | None]


def _note(
    tally: Tally, message: Message, plan: Plan, keep: Path | None, say: Callable[[str], None]
) -> None:
    group, number, kind, outcome, took, peak, small = message
    name = f"{group}-{number}-{kind}"
    tally.add(name, group, kind, outcome, took, peak)
    if outcome.kind != "crash":
        return
    if tally.places[outcome.place] == 1:
        say(f"{name}: {outcome.place}")
    if keep and tally.places[outcome.place] <= 3:
        keep.mkdir(parents=True, exist_ok=True)
        data = make_case(plan.seed, group, number).data
        (keep / f"{plan.seed}-{name}").write_bytes(data)
        (keep / f"{plan.seed}-{name}.txt").write_text(
            f"{outcome.place}\n{outcome.trace}\n", "utf-8", "backslashreplace"
        )
        if small is not None and len(small) < len(data):
            (keep / f"{plan.seed}-{name}.small").write_bytes(small)


class _Worker:
    """One process that takes every n-th case, and is started anew after the one that it died of."""

    def __init__(self, plan: Plan, number: int, end: float | None) -> None:
        self.plan, self.end = plan, end
        self.context = multiprocessing.get_context("spawn")
        self._start(number)

    def _start(self, first: int) -> None:
        self.pipe, theirs = self.context.Pipe(duplex=False)
        self.now = self.context.Array("d", [first, 0.0], lock=False)  # case, when it began
        self.process = self.context.Process(
            target=_work, args=(self.plan, first, self.end, theirs, self.now), daemon=True
        )
        self.process.start()
        theirs.close()
        self.busy = True

    def messages(self) -> list[Message]:
        """What it has to say; when it is gone, what it died of."""
        found: list[Message] = []
        try:
            while self.pipe.poll():
                message = self.pipe.recv()
                if isinstance(message, int):  # it ends here
                    self.process.join()
                    self.pipe.close()
                    self._go_on(message)
                    return found
                found.append(message)
        except EOFError:
            self.process.join()
            found.append(self._died(f"process ended with {self.process.exitcode}"))
        return found

    def overdue(self) -> bool:
        began = self.now[1]
        return bool(began) and time.monotonic() - began > SLOWEST + 1

    def stopped(self) -> Message:
        self.process.kill()
        self.process.join()
        return self._died(f"more than {SLOWEST:g} s")

    def _go_on(self, i: int) -> None:
        late = self.end is not None and time.monotonic() > self.end
        self.busy = False
        if not late and self.plan.case_at(i) is not None:
            self._start(i)

    def _died(self, place: str) -> Message:
        i, began = int(self.now[0]), self.now[1]
        name = self.plan.case_at(i)
        self.pipe.close()
        self._go_on(i + self.plan.workers)
        if name is None:  # it had begun nothing
            return ("texts", -1, "none", Outcome("crash", place), 0.0, 0, None)
        case = make_case(self.plan.seed, *name)
        took = time.monotonic() - began
        full = f"{case.kind}: {place}"
        return (case.group, case.number, case.kind, Outcome("crash", full), took, 0, None)


def _work(plan: Plan, first: int, end: float | None, pipe: Connection, now: Any) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (3 * LARGEST, 3 * LARGEST))
    warnings.simplefilter("ignore")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # what decoders in C have to say
    i = first
    with TemporaryDirectory() as place:
        folder = Path(place)
        make_case(plan.seed, "texts", 0)  # imports and examples count for no case
        while (name := plan.case_at(i)) and not (end and time.monotonic() > end):
            now[0] = i
            case = make_case(plan.seed, *name)
            run = _kinds(case.group)[case.kind].run
            began = time.monotonic()
            now[1] = began
            outcome = judge(run, case.data, folder)
            took = time.monotonic() - began
            now[1] = 0.0
            peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
            if took > SLOWEST:
                outcome = Outcome("crash", f"{case.kind}: more than {SLOWEST:g} s")
            if peak > LARGEST:
                outcome = Outcome("crash", f"{case.kind}: more than {LARGEST:,} bytes of memory")
            small = None
            if outcome.kind == "crash" and case.group == "texts" and peak <= LARGEST:
                small = _shortened(run, case.data, outcome.place, folder)
            pipe.send((case.group, case.number, case.kind, outcome, took, peak, small))
            i += plan.workers
            if peak > LARGEST:  # what is left is for a fresh process
                break
    pipe.send(i)


def _shortened(
    run: Callable[[bytes, Path], bool], data: bytes, place: str, folder: Path
) -> bytes | None:
    """As :func:`_smaller`, in a child that may hang, die, or fill the memory."""
    found = folder / "shortened"
    found.unlink(missing_ok=True)
    child = os.fork()
    if child == 0:
        signal.alarm(5)
        found.write_bytes(_smaller(run, data, place, folder))
        os._exit(0)
    os.waitpid(child, 0)
    return found.read_bytes() if found.exists() else None


def _smaller(run: Callable[[bytes, Path], bool], data: bytes, place: str, folder: Path) -> bytes:
    """A shorter input that fails at the same place: slices are left out, for two seconds."""
    end, size = time.monotonic() + 2.0, max(1, len(data) // 2)
    while size >= 1:
        at = 0
        while at < len(data):
            if time.monotonic() > end:
                return data
            less = data[:at] + data[at + size :]
            if judge(run, less, folder).place == place:
                data = less
            else:
                at += size
        size //= 2
    return data
