"""What an import did and what it leaves to decide, as lines of text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from rehearse.authoring.doubts import KINDS, Doubt
from rehearse.authoring.taken import Taken
from rehearse.safety import NOTICE


def report(taken: Taken, source: Path, written: Sequence[Path]) -> Iterator[str]:
    """Each file written, then everything to be decided, by kind and place, then what comes next."""
    steps = sum(len(procedure.steps) for procedure in taken.procedures)
    yield (
        f"{source}: {taken.items} entries read; {steps} steps written in "
        f"{len(written)} procedure{'s' if len(written) != 1 else ''}"
    )
    for procedure, path in zip(taken.procedures, written, strict=True):
        yield f"  {path}: {len(procedure.steps)} steps, {procedure.title}"
    yield from _decisions(taken.doubts, source)
    yield ""
    yield "No step was marked critical by the import. Next: rehearse book lint, then say it."
    yield NOTICE


def _decisions(found: Sequence[Doubt], source: Path) -> Iterator[str]:
    if not found:
        yield "Nothing was found that needs a decision."
        return
    yield f"{len(found)} places need a person's decision:"
    for kind, heading in KINDS.items():
        here = sorted(
            (doubt for doubt in found if doubt.kind == kind), key=lambda doubt: doubt.line
        )
        if here:
            yield ""
            yield f"{heading} ({len(here)})"
            yield from _places(here, source)


def _places(found: Iterable[Doubt], source: Path) -> Iterator[str]:
    for doubt in found:
        about = ".".join(filter(None, (doubt.procedure, doubt.step)))
        where = f"{source.name}:{doubt.line}: " + (f"{about}: " if about else "")
        yield f"  {where}{doubt.fault}; {doubt.mend}"
