"""An oral check at the microphone: the instructor types, the candidate speaks, nobody helps."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from rehearse.book.model import Procedure
from rehearse.check.flow import HELP_OFF, Act, OralCheck
from rehearse.check.values import CheckedTake, Statement
from rehearse.events import Instructed
from rehearse.session.engine import Engine
from rehearse.session.practise import Happenings, Show, Tell
from rehearse.session.studio import Choices, Leading, conduct

KEYS = {
    "p": Act.PAUSE,
    "g": Act.GO_ON,
    "q": Act.QUESTION,
    "r": Act.REMARK,
    "e": Act.END,
}
HOW = (
    "Type a letter and Enter: p pause, g go on, q question, r remark, e end. "
    "Words after q or r are kept; without words, what is said next is the question or remark."
)


def check_live(
    procedure: Procedure,
    statement: Statement,
    engine: Engine,
    choices: Choices,
    typed: Typed,
    *,
    show: Show,
    tell: Tell,
) -> CheckedTake:
    """One take at the microphone, until the candidate or the instructor ends it.

    choices: devices and folder; without consent no sound is kept, whatever they say.
    typed: what the instructor types; what is not taken in the take is left.

    Raises:
        RehearseError: as `rehearse.session.studio.practise`.
    """
    over = threading.Event()
    keyboard = Keyboard(typed, tell, over)
    leading = Leading(
        procedure, OralCheck(procedure), HELP_OFF, statement.events(), keyboard.attend
    )
    chosen = replace(choices, keep_sound=choices.keep_sound and statement.consent)
    try:
        take, result, check = conduct(leading, engine, chosen, show, tell)
    finally:
        over.set()
    return CheckedTake(take, result, check.remarks)


class Typed:
    """Lines as they are typed, read by one thread and taken by whoever needs the next.

    lines: where they come from, such as standard input.
    """

    def __init__(self, lines: Iterable[str]) -> None:
        self._source = lines
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._reader: threading.Thread | None = None
        self._ended = False

    def _read(self) -> None:
        for line in self._source:
            self._lines.put(line.rstrip("\n"))
        self._lines.put(None)

    def next(self, patience: float | None = None) -> str | None:
        """The next line; None when none came within `patience` seconds, or none will."""
        if self._ended:
            return None
        if self._reader is None:
            self._reader = threading.Thread(target=self._read, daemon=True, name="typed")
            self._reader.start()
        try:
            line = self._lines.get(timeout=patience)
        except queue.Empty:
            return None
        self._ended = line is None
        return line

    @property
    def ended(self) -> bool:
        """No line will come any more."""
        return self._ended


def act_of(line: str, now: float) -> Instructed | None:
    """What a typed line does; None when it does nothing."""
    letter, _, words = line.strip().partition(" ")
    act = KEYS.get(letter.lower())
    if act is None:
        return None
    text = words.strip() if act in {Act.QUESTION, Act.REMARK} else ""
    return Instructed(now, act.value, text)


@dataclass(frozen=True)
class Keyboard:
    """Turns the instructor's lines into events, in a thread of its own, until `over` is set."""

    typed: Typed
    tell: Tell
    over: threading.Event

    def attend(
        self, happenings: Happenings, clock: Callable[[], float], interrupt: Callable[[], None]
    ) -> None:
        """Begin to read; it ends with the end that the instructor asks for, or with the take."""

        def read() -> None:
            while not self.over.is_set() and not self.typed.ended:
                line = self.typed.next(_PATIENCE)
                act = act_of(line or "", clock())
                if act is None:
                    if line:
                        self.tell(HOW)
                    continue
                happenings.put(act)
                if act.act == Act.END:
                    interrupt()
                    return

        threading.Thread(target=read, daemon=True, name="instructor").start()


_PATIENCE = 0.2  # seconds between two looks whether the take is over
