"""An instructor disagrees with a verdict: the words become a case of the corpus."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from platformdirs import user_data_path

from rehearse.bench.corpus import CorpusError
from rehearse.book.faults import nearest
from rehearse.book.model import Procedure, Step
from rehearse.book.relations import plain
from rehearse.errors import RehearseError
from rehearse.events import Event, Heard, Restarted
from rehearse.judge.verdict import StepResult, Verdict

KIND = "disputed"
VERDICTS = tuple(v.value for v in Verdict if v is not Verdict.OUT_OF_ORDER)


class DisputeError(RehearseError):
    """A disagreement that cannot become a case."""


@dataclass(frozen=True)
class Dispute:
    """What an instructor says about one step of one take.

    said: the words that the step is to be judged by, as they stand in the take.
    """

    procedure: Procedure
    step: Step
    said: str
    expect: Verdict
    why: str


def corpus_folder() -> Path:
    """Where an operator's own cases are kept unless another folder is named."""
    return user_data_path("rehearse", appauthor=False) / "corpus"


def dispute(
    procedure: Procedure, events: Sequence[Event], *, step: str, verdict: str, why: str, said: str
) -> Dispute:
    """The disagreement, checked against the take.

    Args:
        procedure: what the take is of.
        events: all that happened in the take.
        step: its id.
        verdict: what an instructor says became of it.
        why: the reason for the label.
        said: the words it rests on; "" when the take holds one utterance only.

    Raises:
        DisputeError: the step or verdict is unknown, there is no reason, or the words were not
            said in the take; the message names the mend.
    """
    steps = {step.id: step for step in procedure.steps}
    if step not in steps:
        close = nearest(step, steps)
        mend = f"did you mean '{close}'?" if close else f"it has {', '.join(steps)}"
        raise DisputeError(f"dispute: {procedure.id} has no step '{step}'; {mend}")
    if verdict == Verdict.OUT_OF_ORDER:
        raise DisputeError(
            "dispute: order cannot be told from one utterance; say whether the words were right, "
            "and put the whole take into recitations/ by hand"
        )
    if verdict not in VERDICTS:
        close = nearest(verdict, VERDICTS)
        mend = f"did you mean '{close}'?" if close else f"write one of {', '.join(VERDICTS)}"
        raise DisputeError(f"dispute: verdict '{verdict}' is not known; {mend}")
    if not why.strip():
        raise DisputeError("dispute: --why is empty; say why an instructor would judge so")
    return Dispute(
        procedure,
        steps[step],
        spoken_words(events, said),
        Verdict(verdict),
        " ".join(why.split()),
    )


def words_judged(result: StepResult, events: Sequence[Event]) -> str:
    """The words that a verdict rests on, as the take has them; "" when it rests on none.

    Where a slip was mended the judged words stand nowhere in a row: then it is all that was said
    at that time.
    """
    if not result.heard or result.start is None or result.end is None:
        return ""
    start, end = result.start, result.end
    around = [e for e in events if isinstance(e, Heard) and e.start < end and start < e.end]
    whole = " ".join(event.text for event in around)
    printed = [plain(word) for word in whole.split()]
    return result.heard if _place(printed, plain(result.heard).split()) else whole


def spoken_words(events: Sequence[Event], said: str) -> str:
    """The words as the take has them, in one utterance or in several in a row.

    Raises:
        DisputeError: the take does not hold them, or holds nothing or too much to choose from.
    """
    heard = [event for event in events if isinstance(event, Heard | Restarted)]
    texts = [event.text for event in heard if isinstance(event, Heard)]
    if not texts:
        raise DisputeError("dispute: nothing was heard in this take; there is nothing to dispute")
    if not plain(said):
        if len(texts) == 1:
            return " ".join(texts[0].split())
        raise DisputeError(
            "dispute: no words of this take were taken for the step; name them with --said, as "
            f"--said '{texts[0]}'"
        )
    for stretch in (*texts, *_joined(heard)):
        words = stretch.split()
        place = _place([plain(word) for word in words], plain(said).split())
        if place is not None:
            return " ".join(words[place[0] : place[1]])
    close = nearest(said, texts)
    mend = f"did you mean '{close}'?" if close else "copy them from the take's report"
    raise DisputeError(f"dispute: '{said}' was not said in this take; {mend}")


def _joined(heard: Sequence[Heard | Restarted]) -> list[str]:
    """Each two utterances in a row as one text; a fresh start lies between none of them."""
    return [
        f"{one.text} {two.text}"
        for one, two in pairwise(heard)
        if isinstance(one, Heard) and isinstance(two, Heard)
    ]


def _place(printed: Sequence[str], wanted: Sequence[str]) -> tuple[int, int] | None:
    """Which printed words [first, last) sound as the wanted ones; None when they do not."""
    for first in range(len(printed)):
        sounds: list[str] = []
        for last in range(first, len(printed)):
            sounds += printed[last].split()
            if sounds == list(wanted):
                return first, last + 1
            if len(sounds) >= len(wanted):
                break
    return None


def record(case: Dispute, folder: Path) -> str:
    """Appends the case to the procedure's file in the corpus folder; where it stands now.

    Raises:
        CorpusError: the same words are a case of this step already, or the file cannot be used.
    """
    path = folder / "steps" / f"{case.procedure.id}.jsonl"
    row = {
        "procedure": case.procedure.id,
        "step": case.step.id,
        "said": case.said,
        "expect": case.expect.value,
        "kind": KIND,
        "why": case.why,
    }
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        lines = path.read_text("utf-8").split("\n") if path.exists() else []
        _no_duplicate(case, lines, path)
        torn = bool(lines) and bool(lines[-1].strip())
        with path.open("a", encoding="utf-8") as file:
            file.write(("\n" if torn else "") + json.dumps(row, ensure_ascii=False) + "\n")
            file.flush()
            os.fsync(file.fileno())
    except UnicodeDecodeError:
        raise CorpusError(f"{path}: not UTF-8 text; save it as UTF-8") from None
    except OSError as error:
        raise CorpusError(
            f"{path}: cannot be written ({error.strerror}); name another folder with --corpus"
        ) from None
    number = len(lines) + 1 if torn or not lines else len(lines)
    return f"{path}:{number}"


def _no_duplicate(case: Dispute, lines: Sequence[str], path: Path) -> None:
    for number, line in enumerate(lines, start=1):
        try:
            row = json.loads(line) if line.strip() else None
        except (ValueError, RecursionError):
            raise CorpusError(f"{path}:{number}: not a JSON object; mend that line first") from None
        if not isinstance(row, dict) or (row.get("procedure"), row.get("step")) != (
            case.procedure.id,
            case.step.id,
        ):
            continue
        if plain(str(row.get("said"))) == plain(case.said):
            verdict = row.get("expect")
            mend = "nothing is added"
            if verdict != case.expect.value:
                mend = "two instructors may differ on it: take that case out, or leave it"
            raise CorpusError(f"{path}:{number}: these words are a case, as '{verdict}'; {mend}")
