"""Tasks to workers and answers back, a few at a time, whatever kind of executor it is."""

import multiprocessing
import os
import sys
import threading
from collections.abc import Iterable, Iterator
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from contextlib import contextmanager

from quiltgeom.onhand.swatch_reader import Answer, Task, load_reader, read_task, start_worker

_AHEAD = 32
"""Tasks given to somebody else's executor before the first has come back."""


def cores() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def answers(
    tasks: Iterable[Task], executor: Executor | None = None, workers: int | None = None
) -> Iterator[Answer]:
    """The answers to tasks, in the order in which they are finished.

    Args:
        tasks: taken as there is room, so that few pictures are in memory at once.
        executor: whose ``submit`` is used; it is not shut down. None: a pool of our own.
        workers: processes of that pool; 1 reads in this very process.
    """
    if executor is not None:
        yield from _through(executor, iter(tasks), _AHEAD, [])
        return
    count = workers or cores()
    if count == 1:
        for task in tasks:
            yield read_task(task)
        return
    yield from _through_own_pool(iter(tasks), count)


def _through_own_pool(tasks: Iterator[Task], count: int) -> Iterator[Answer]:
    """As many pools as it takes: one whose worker died is thrown away."""
    while True:
        lost: list[Task] = []
        pool = new_pool(count)
        try:
            yield from _through(pool, tasks, 2 * count, lost)
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
        if not lost:
            return
        for task in lost:  # which of them was it? one at a time tells
            yield _alone(task)


def _through(
    executor: Executor, tasks: Iterator[Task], ahead: int, lost: list[Task]
) -> Iterator[Answer]:
    running: dict[Future[Answer], Task] = {}
    try:
        while True:
            while len(running) < ahead and (task := next(tasks, None)) is not None:
                try:
                    running[executor.submit(read_task, task)] = task
                except BrokenExecutor:
                    lost += [task, *running.values()]
                    running.clear()
                    return
            if not running:
                return
            for future in wait(running, return_when=FIRST_COMPLETED).done:
                task = running.pop(future)
                error = future.exception()
                if isinstance(error, BrokenExecutor):
                    lost += [task, *running.values()]
                    running.clear()
                    return
                yield future.result() if error is None else _lost(task, error)
    finally:
        for future in running:
            future.cancel()


def _lost(task: Task, error: BaseException) -> Answer:
    return Answer(task.id, reason=f"picture {task.name}: its worker failed ({error!r})", lost=True)


def _alone(task: Task) -> Answer:
    pool = new_pool(1)
    try:
        return pool.submit(read_task, task).result()
    except BrokenExecutor:
        return Answer(
            task.id,
            reason=f"picture {task.name}: the process that read it came to a sudden end (memory?)",
        )
    finally:
        pool.shutdown(wait=True)


def new_pool(count: int) -> ProcessPoolExecutor:
    """A pool of processes that end with this one.

    Forking starts at once and asks nothing of the caller's script, but is safe only where no other
    thread runs.
    """
    fork = sys.platform == "linux" and threading.active_count() == 1
    method = "fork" if fork else None
    if fork:
        load_reader()
    return ProcessPoolExecutor(
        count, mp_context=multiprocessing.get_context(method), initializer=start_worker
    )


@contextmanager
def worker_pool(count: int) -> Iterator[ProcessPoolExecutor]:
    """A pool of processes for a ``with`` statement; if that is left by an error or Ctrl-C, what is
    running is ended, too (and cleans up behind itself) instead of being waited for."""
    pool = new_pool(count)
    try:
        yield pool
    except BaseException:
        for process in list((pool._processes or {}).values()):
            process.terminate()
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
