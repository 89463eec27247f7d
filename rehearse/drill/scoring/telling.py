"""Faults of a drill as sentences of one line, in the drill's language. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from rehearse.drill.model import Answer
from rehearse.drill.running.spoken import phrases
from rehearse.drill.scoring.shouts import Said
from rehearse.judge.verdict import Verdict
from rehearse.measured import Measured

LOST = "the device lost sound meanwhile"  # as the rhythm has it: a fault of no trainee


class Telling:
    """Tells what was wrong, in one language (ISO 639-1). Raises RehearseError: it has no words."""

    def __init__(self, language: str) -> None:
        self._phrases = phrases(language)
        self._rows: dict[str, str] = dict(self._phrases.rows["faults"])

    def verdict(self, say: str, verdict: Verdict, said: Said | None) -> str:
        """Why an answer is not said, by its best saying; "" when it is said."""
        match verdict:
            case Verdict.SAID:
                return ""
            case Verdict.OUT_OF_ORDER:
                return self._text("order", say=say)
        return self._text("not_said", say=say) if said is None else self.saying(say, said)

    def saying(self, say: str, said: Said) -> str:
        """Why one saying of a command is not right; "" when it is."""
        match said.verdict:
            case Verdict.SAID:
                return ""
            case Verdict.UNCLEAR if said.doubtful:
                return self._text("unclear_word", say=say, doubtful=" ".join(said.doubtful))
            case Verdict.UNCLEAR:
                return self._text("unclear", say=say)
            case Verdict.INCOMPLETE if said.missing:
                return self._text("incomplete", say=say, missing=" ".join(said.missing))
            case Verdict.INCOMPLETE:
                return self._text("broken", say=say)
        return self._wrong(say, said)

    def _wrong(self, say: str, said: Said) -> str:
        if said.swapped:
            expected, heard = said.swapped[0]
            return self._text("wrong", say=say, expected=expected, heard=heard)
        if said.added:
            return self._text("added", say=say, added=" ".join(said.added))
        return self._text("false", say=say)

    def limits(
        self, answer: Answer, reaction: Measured, went_on: Measured, gap: Measured, level: Measured
    ) -> Iterator[str]:
        """The demands on an answer that were certainly not met, each in a line.

        gap: the longest time from one saying to the next while it had to go on. level: over the
        calm voice.
        """
        seconds, decibels = "seconds", "decibels"
        yield from self._most("late", answer, reaction, answer.within, seconds)
        yield from self._least("short", answer, went_on, answer.lasts or None, seconds)
        yield from self._most("gap", answer, gap, answer.every, seconds)
        yield from self._least("quiet", answer, level, answer.louder, decibels)
        yield from self._most("loud", answer, level, answer.calmer, decibels)
        timed = [(reaction, answer.within), (went_on, answer.lasts or None), (gap, answer.every)]
        if any(one.void == LOST and limit is not None for one, limit in timed):
            yield self._text("untimed", say=answer.say, void=LOST)

    def forbidden(self, said: Said) -> str:
        """That something was said which must not be."""
        return self._text("forbidden", heard=said.text)

    def stale(self, say: str, late: float, within: float) -> str:
        """That an answer was begun again so many seconds after the cue that silenced it."""
        return self._text(
            "stale", say=say, value=self._of(late, "seconds"), limit=self._of(within, "seconds")
        )

    def silenced(self, say: str) -> str:
        """Why a saying of an answer that the cue silenced is not right."""
        return self._text("silenced", say=say)

    def earlier(self) -> str:
        """That an answer came out of its stage."""
        return self._text("earlier")

    def _most(
        self, name: str, answer: Answer, measured: Measured, limit: float | None, unit: str
    ) -> Iterator[str]:
        if measured.value is None or limit is None or measured.value - measured.error <= limit:
            return
        yield self._limit(name, answer, measured.value, limit, unit)

    def _least(
        self, name: str, answer: Answer, measured: Measured, limit: float | None, unit: str
    ) -> Iterator[str]:
        if measured.value is None or limit is None or measured.value + measured.error >= limit:
            return
        yield self._limit(name, answer, measured.value, limit, unit)

    def _limit(self, name: str, answer: Answer, value: float, limit: float, unit: str) -> str:
        return self._text(
            name, say=answer.say, value=self._of(value, unit), limit=self._of(limit, unit)
        )

    def _of(self, value: float, unit: str) -> str:
        shown = f"{value:.1f}".removesuffix(".0")
        forms: dict[str, str] = self._phrases.rows[unit]
        return forms["one" if shown in {"1", "-1"} else "other"].format(value=shown)

    def _text(self, name: str, /, **words: str) -> str:
        return " ".join(self._rows[name].format(**words).split())
