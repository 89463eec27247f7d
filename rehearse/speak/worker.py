"""The process that turns text into sound files, so that a speech engine that hangs hurts nobody.

Run as `python -m rehearse.speak.worker`. One JSON object a line on standard input, one answer a
line on standard output:

    {"do": "voices"}                                  -> {"voices": [{"id", "name", "languages"}]}
    {"do": "speak", "text", "voice", "rate", "file"}  -> {"file"}
    anything that goes wrong                          -> {"error": "one line"}

pyttsx3 has traps. Its `runAndWait` returns while the engine still speaks into its buffer, and the
next call cuts that off; it takes settings in late; its loop can run for ever; it prints to
standard output. So the worker waits until the engine reports the end, reads every setting back,
and keeps standard output for its own answers; its parent gives each text a file name of its own
and kills a worker that does not answer.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TextIO

_FINISH_SECONDS = 6.0  # a long sentence renders in a tenth of a second
_SETTING_SECONDS = 0.2  # until a setting that was not taken in is handed over again
_SETTLE_SECONDS = 0.5  # for a file that another process of the system still writes


class _Engine:
    """pyttsx3's engine, made to finish what it was asked for."""

    def __init__(self) -> None:
        import pyttsx3

        self._engine = pyttsx3.init()
        self._finished = threading.Event()
        self._engine.connect("finished-utterance", lambda **_: self._finished.set())

    def voices(self) -> list[dict[str, object]]:
        return [
            {
                "id": str(voice.id),
                "name": str(voice.name),
                "languages": [_tag(language) for language in voice.languages or ()],
            }
            for voice in self._engine.getProperty("voices")
        ]

    def speak(self, text: str, voice: str, rate: int, file: Path) -> None:
        """Render into `file`. Raises RuntimeError when a setting is refused or nothing comes."""
        self._set("voice", voice)
        self._set("rate", rate)
        self._finished.clear()
        self._engine.save_to_file(text, str(file))
        self._engine.runAndWait()
        if not self._finished.wait(_FINISH_SECONDS):
            raise RuntimeError("the speech engine did not finish")
        _wait_until_written(file)

    def _set(self, name: str, value: str | int) -> None:
        """Set a property and see that it holds. Raises RuntimeError when it does not.

        The engine takes a setting in some time after it was handed over, and may lose it. Its
        loop may run only while it calls itself busy, as it does at first: run when idle and
        without a text, the loop never ends.
        """
        until = time.monotonic() + _FINISH_SECONDS
        while self._engine.getProperty(name) != value:
            if time.monotonic() > until:
                raise RuntimeError(f"the speech engine does not take {name} {value!r}")
            self._engine.setProperty(name, value)
            if self._engine.isBusy():
                self._engine.runAndWait()
            self._await_setting(name, value)

    def _await_setting(self, name: str, value: str | int) -> None:
        until = time.monotonic() + _SETTING_SECONDS
        while self._engine.getProperty(name) != value and time.monotonic() < until:
            time.sleep(0.005)


def _tag(language: str | bytes) -> str:
    text = language.decode("utf-8", "ignore") if isinstance(language, bytes) else language
    return "".join(mark for mark in text if mark.isprintable())


def _wait_until_written(file: Path) -> None:
    """Return once the file has content that no longer grows. Raises RuntimeError."""
    until = time.monotonic() + _FINISH_SECONDS
    size, since = -1, time.monotonic()
    while time.monotonic() < until:
        now = file.stat().st_size if file.exists() else 0
        if now != size:
            size, since = now, time.monotonic()
        elif size > 0 and (sys.platform == "linux" or time.monotonic() - since > _SETTLE_SECONDS):
            return
        time.sleep(0.005)
    raise RuntimeError("the speech engine wrote no file")


def _answer(request: Mapping[str, Any], engine: _Engine) -> dict[str, object]:
    if request["do"] == "voices":
        return {"voices": engine.voices()}
    file = Path(request["file"])
    engine.speak(str(request["text"]), str(request["voice"]), int(request["rate"]), file)
    return {"file": str(file)}


def serve(requests: TextIO, answers: TextIO) -> None:
    """Answer requests until the input ends. Trouble is an answer, never the end of the worker."""
    engine: _Engine | None = None
    for line in requests:
        try:
            engine = engine or _Engine()
            answer = _answer(json.loads(line), engine)
        except Exception as error:  # noqa: BLE001  (speech engines raise anything)
            words = " ".join(str(error).split()) or type(error).__name__
            answer = {"error": words}
        answers.write(json.dumps(answer) + "\n")
        answers.flush()


def main() -> None:
    """Serve on the standard streams; whatever a library prints goes to standard error."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the person's Ctrl-C is for the parent
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "w", encoding="utf-8")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    serve(sys.stdin, answers)


if __name__ == "__main__":
    main()
