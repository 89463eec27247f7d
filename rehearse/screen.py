"""What a person sees while they wait or practise, on a terminal or in a file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console

from rehearse.events import (
    CueStarted,
    Ended,
    Event,
    Ghost,
    Heard,
    Overflow,
    Partial,
    PromptStarted,
    Requested,
)

SCREEN = Console(highlight=False, soft_wrap=False)
ASIDE = Console(stderr=True, highlight=False)


@contextmanager
def waiting(text: str) -> Iterator[Callable[[str], None]]:
    """Shows that something goes on, on a terminal; the callable changes what is shown."""
    if not ASIDE.is_terminal:
        yield lambda _text: None
        return
    with ASIDE.status(text) as status:
        yield status.update


class PracticeView:
    """Shows a practice as it goes: what is heard, what is asked and what the tool says."""

    def __init__(self) -> None:
        self._open = False

    def __call__(self, event: Event) -> None:
        """Shows what a person wants to see of an event, if anything."""
        match event:
            case Partial(text=text) if SCREEN.is_terminal:
                shown = text if len(text) < SCREEN.width - 4 else "..." + text[7 - SCREEN.width :]
                SCREEN.out(f"\r\x1b[K  … {shown}"[: SCREEN.width + 4], end="")
                self._open = True
            case Heard(text=text) | Requested(text=text):
                self._line("you", text)
            case PromptStarted(text=text):
                self._line("coach", text)
            case CueStarted(told=told):
                self._line("cue", told)
            case Overflow():
                self._line("device", "some sound was lost")
            case Ghost(text=text) if text:
                self._line("noise", "heard no words that the sound bears out")
            case Ended():
                self._line("end", "")

    def _line(self, who: str, text: str) -> None:
        if self._open:
            SCREEN.out("\r\x1b[K", end="")
            self._open = False
        if text:
            SCREEN.print(f"{who:>6}  {text}", markup=False)
