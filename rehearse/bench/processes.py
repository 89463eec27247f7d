"""Work of a benchmark spread over processes of one thread each."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import get_context
from typing import TypeVar

from rehearse.errors import RehearseError

_LIMITS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")

Item = TypeVar("Item")
Found = TypeVar("Found")


class WorkersError(RehearseError):
    """A process of a benchmark that ended too early."""


def spread(work: Callable[[Item], Found], items: Sequence[Item], workers: int) -> Iterator[Found]:
    """What `work` makes of each item, as soon as it is known; both must be picklable.

    Raises:
        WorkersError: a process ended too early; whatever `work` raises is raised here too.
    """
    with _one_thread(), ProcessPoolExecutor(workers, get_context("spawn")) as pool:
        waiting = [pool.submit(work, item) for item in items]
        try:
            for finished in as_completed(waiting):
                yield finished.result()
        except BrokenProcessPool:
            raise WorkersError(
                "a process of the benchmark ended too early, perhaps for want of memory; give "
                "fewer --workers, and run it again with the same --keep to go on"
            ) from None
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


@contextmanager
def _one_thread() -> Iterator[None]:
    """New processes compute with one thread each: they read this before anything is loaded."""
    before = {name: os.environ.get(name) for name in _LIMITS}
    os.environ.update(dict.fromkeys(_LIMITS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value
