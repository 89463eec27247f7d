"""The worker process kept alive: asked line by line, killed and started anew when it hangs."""

from __future__ import annotations

import contextlib
import json
import os
import queue
import subprocess
import sys
import threading
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import rehearse
from rehearse.errors import VoiceError

WORKER = (sys.executable, "-m", "rehearse.speak.worker")
ANSWER_SECONDS = 6.0  # a sentence renders in a tenth of a second; the first one needs a start


class _NoAnswerError(Exception):
    """The worker hung or died; the message says which."""


class WorkerProcess:
    """One worker, started at the first question. Safe to use from several threads.

    command: the program and its arguments.
    seconds: how long an answer may take before the worker counts as hung.
    """

    def __init__(self, command: Sequence[str] = WORKER, seconds: float = ANSWER_SECONDS) -> None:
        self._command = tuple(command)
        self._seconds = seconds
        self._lock = threading.Lock()
        self._running: subprocess.Popen[str] | None = None
        self._lines: queue.Queue[str] = queue.Queue()
        self._given_up = ""

    def ask(self, question: Mapping[str, object]) -> dict[str, Any]:
        """The worker's answer. A worker that hangs or dies is started anew once.

        Raises:
            VoiceError: it failed twice in a row, or answered with an error. After the first
                kind it is not tried again: every prompt would wait for nothing.
        """
        with self._lock:
            if self._given_up:
                raise VoiceError(self._given_up)
            try:
                answer = self._answer(question)
            except _NoAnswerError:
                try:
                    answer = self._answer(question)
                except _NoAnswerError as error:
                    self._given_up = (
                        f"the speech engine {error}, twice: prompts are shown, not spoken; "
                        "run 'rehearse doctor'"
                    )
                    raise VoiceError(self._given_up) from error
        if "error" in answer:
            raise VoiceError(_mendable(str(answer["error"])))
        return answer

    def close(self) -> None:
        """End the worker. A later question would start a new one."""
        with self._lock:
            self._kill()

    def _answer(self, question: Mapping[str, object]) -> dict[str, Any]:
        running = self._started()
        try:
            assert running.stdin is not None  # noqa: S101  (a pipe, by how it was started)
            running.stdin.write(json.dumps(question) + "\n")
            running.stdin.flush()
            line = self._lines.get(timeout=self._seconds)
            answer = json.loads(line) if line else None
        except queue.Empty:
            self._kill()
            raise _NoAnswerError(f"did not answer within {self._seconds:g} s") from None
        except (OSError, ValueError):
            answer = None
        if not isinstance(answer, dict):
            self._kill()
            raise _NoAnswerError("stopped unexpectedly")
        return answer

    def _started(self) -> subprocess.Popen[str]:
        if self._running is not None and self._running.poll() is None:
            return self._running
        self._kill()
        try:
            running = subprocess.Popen(
                self._command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
                encoding="utf-8",
                env=_with_our_modules(),
            )
        except OSError as error:
            raise _NoAnswerError("could not be started") from error
        self._running, self._lines = running, queue.Queue()
        reader = threading.Thread(
            target=_read, args=(running, self._lines), daemon=True, name="speech worker"
        )
        reader.start()
        return running

    def _kill(self) -> None:
        running, self._running = self._running, None
        if running is None:
            return
        running.kill()
        running.wait()
        if running.stdin is not None:
            with contextlib.suppress(OSError):  # a question that nobody reads any more
                running.stdin.close()


def _read(running: subprocess.Popen[str], lines: queue.Queue[str]) -> None:
    """Pass answers on until the worker ends; then an empty line says so."""
    assert running.stdout is not None  # noqa: S101  (a pipe, by how it was started)
    with running.stdout:
        for line in running.stdout:
            lines.put(line)
    lines.put("")


def _with_our_modules() -> dict[str, str]:
    """The environment, in which this very package is found first."""
    ours = str(Path(rehearse.__file__).parents[1])
    others = os.environ.get("PYTHONPATH")
    return {**os.environ, "PYTHONPATH": os.pathsep.join([ours, others] if others else [ours])}


def _mendable(fault: str) -> str:
    """The worker's complaint with what to do about it."""
    if "espeak" in fault.lower():
        return "no voice is installed; install one ('apt-get install espeak-ng')"
    return f"the speech engine failed ({fault}); run 'rehearse doctor'"
