"""How the record store grows: writing, verifying and the due list over numbers of results."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from tempfile import mkdtemp

from rehearse.bench.filling import ELEMENTS, filled

SIZES = (10_000, 100_000, 1_000_000)
_ON = date(2026, 10, 1)


@dataclass(frozen=True)
class Growth:
    """What was measured at one number of results.

    rows: chained rows in all. megabytes: of the database. write, verify, due: seconds by the
        clock; verify_cpu: seconds of the processor, which a busy machine does not lengthen.
    memory: MB of this process that verifying added at its peak.
    """

    results: int
    rows: int
    megabytes: float
    write: float
    verify: float
    verify_cpu: float
    due: float
    standings: int
    memory: float


def lines(sizes: Sequence[int] = SIZES, folder: Path | None = None) -> Iterator[str]:
    """Measure at each size and tell it as lines of plain text, each as soon as it is known.

    folder: where the databases lie for the time being; the system's temporary folder when None.
    """
    yield (
        "  results       rows     MB  rows written/s  verify s ( CPU )  rows verified/s  "
        "due s  memory MB"
    )
    last: Growth | None = None
    for size in sizes:
        now = measure(size, folder)
        yield (
            f"{now.results:9,} {now.rows:10,} {now.megabytes:6.0f} {now.rows / now.write:15,.0f} "
            f"{now.verify:9.2f} ({now.verify_cpu:5.2f}) {now.rows / now.verify:16,.0f} "
            f"{now.due:6.2f} {now.memory:+10.1f}"
        )
        if last is not None:
            yield (
                f"   {now.results / last.results:.0f} times the results: verifying took "
                f"{now.verify / last.verify:.1f} times as long, the due list "
                f"{now.due / last.due:.1f} times"
            )
        last = now


def measure(size: int, folder: Path | None = None) -> Growth:
    """Fill a new SQLite store with signed checks, verify it, and work out what is due.

    The due list holds everyone and every element; that of persons and dates is made anew.
    """
    place = Path(mkdtemp(prefix="rehearse-bench-", dir=folder))
    try:
        begun = time.perf_counter()
        store, actor = filled(f"sqlite:///{place}/records.db", size)
        written = time.perf_counter()
        before = _memory("VmRSS")
        cpu = time.process_time()
        found = store.verify([store.head()])
        verified = time.perf_counter()
        cpu = time.process_time() - cpu
        after = _memory("VmHWM")
        if found.fault is not None:
            raise AssertionError(str(found.fault))
        due = store.currency.due(actor, ELEMENTS, _ON)
        listed = time.perf_counter()
        store.close()
        return Growth(
            results=size,
            rows=found.rows,
            megabytes=sum(file.stat().st_size for file in place.iterdir()) / 1e6,
            write=written - begun,
            verify=verified - written,
            verify_cpu=cpu,
            due=listed - verified,
            standings=len(due),
            memory=after - before,
        )
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _memory(what: str) -> float:
    """MB this process holds now (VmRSS), or held at most since this was last asked (VmHWM).

    Linux only; 0 elsewhere.
    """
    status, reset = Path("/proc/self/status"), Path("/proc/self/clear_refs")
    try:
        told = status.read_text(encoding="ascii").splitlines()
        reset.write_text("5", encoding="ascii")  # forget the most so far
    except OSError:
        return 0.0
    return next(float(line.split()[1]) / 1024 for line in told if line.startswith(what))
