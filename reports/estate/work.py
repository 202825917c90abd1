"""Many houses examined by any executor: results as they come, a bad survey or a dead worker its own matter."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from concurrent.futures.process import BrokenProcessPool
from typing import TypeVar

Asked = TypeVar("Asked")
Got = TypeVar("Got")
AHEAD = 2
"""Tasks handed over for each worker: one at work, one waiting."""


class Lost(Exception):
    """A task whose worker died twice."""


def worked(
    tasks: Sequence[Asked], work: Callable[[Asked], Got], workers: int, executor: Callable[[int], Executor]
) -> Iterator[tuple[Asked, Got | Exception]]:
    """Each task with what came of it, as they come. ``executor`` makes one of so many workers. Where a worker dies,
    whatever was in hand is run once more, each task by a worker of its own; one that dies again is given as Lost."""
    waiting, again = deque(tasks), list[Asked]()
    while waiting:
        with executor(workers) as pool:
            running: dict[Future[Got], Asked] = {}
            try:
                while waiting or running:
                    while waiting and len(running) < workers * AHEAD:
                        future = pool.submit(work, waiting[0])
                        running[future] = waiting.popleft()
                    for future in wait(running, return_when=FIRST_COMPLETED).done:
                        if isinstance(future.exception(), BrokenProcessPool):
                            raise BrokenProcessPool
                        yield running.pop(future), future.exception() or future.result()  # type: ignore[misc]
            except BrokenProcessPool:
                again += running.values()
            except BaseException:
                pool.shutdown(wait=False, cancel_futures=True)
                raise
    for task in again:
        with executor(1) as pool:
            try:
                yield task, pool.submit(work, task).result()
            except BrokenProcessPool:
                yield task, Lost("its worker died, and died again when it was run alone")
            except Exception as error:
                yield task, error
