"""The worker process: kept alive, restarted once when it hangs or dies, then given up."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import rehearse
from rehearse.errors import VoiceError
from rehearse.speak.process import WorkerProcess

# Answers each line with its process id and the line's number; notes each start in a file.
_PROGRAM = """
import json, os, sys, time
starts = {starts!r}
with open(starts, "a") as file:
    file.write(str(os.getpid()) + "\\n")
with open(starts) as file:
    start = len(file.readlines())
for number, line in enumerate(sys.stdin, 1):
    {trouble}
    print(json.dumps({{"pid": os.getpid(), "number": number}}), flush=True)
"""

Worker = Callable[[str], WorkerProcess]


@pytest.fixture
def worker(tmp_path: Path) -> Iterator[Worker]:
    """Makes a worker whose program runs a given line before each answer."""
    made: list[WorkerProcess] = []

    def make(trouble: str) -> WorkerProcess:
        program = _PROGRAM.format(starts=str(tmp_path / "starts"), trouble=trouble)
        made.append(WorkerProcess((sys.executable, "-c", program), seconds=2.0))
        return made[-1]

    yield make
    for process in made:
        process.close()


def starts(folder: Path) -> list[int]:
    """The process id of each start of the program."""
    return [int(line) for line in (folder / "starts").read_text().split()]


def gone(pid: int) -> bool:
    """Whether no such process is left within five seconds."""
    until = time.monotonic() + 5.0
    while time.monotonic() < until:
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.02)
    return False


def test_one_process_answers_every_question(worker: Worker) -> None:
    """The worker stays alive between questions."""
    process = worker("pass")
    answers = [process.ask({"do": "this"}) for _ in range(3)]
    assert [answer["number"] for answer in answers] == [1, 2, 3]
    assert len({answer["pid"] for answer in answers}) == 1


@pytest.mark.parametrize(
    "trouble",
    [
        "time.sleep(60) if start == 1 else None",
        "sys.exit(1) if start == 1 else None",
        "print('no answer', flush=True) if start == 1 else None",
    ],
    ids=["hangs", "dies", "talks nonsense"],
)
def test_a_worker_that_fails_once_is_started_anew(
    worker: Worker, tmp_path: Path, trouble: str
) -> None:
    """The question is asked again of a fresh process, and the person notices nothing."""
    assert worker(trouble).ask({"do": "this"})["number"] == 1
    assert len(starts(tmp_path)) == 2


@pytest.mark.parametrize(
    ("trouble", "fault"),
    [("time.sleep(60)", "did not answer within 2 s"), ("sys.exit(1)", "stopped unexpectedly")],
    ids=["hangs", "dies"],
)
def test_a_worker_that_fails_twice_is_given_up(
    worker: Worker, tmp_path: Path, trouble: str, fault: str
) -> None:
    """The second failure is one clear line, and later prompts do not wait for it again."""
    process = worker(trouble)
    with pytest.raises(VoiceError, match=f"{fault}, twice: prompts are shown"):
        process.ask({"do": "this"})
    began = time.monotonic()
    with pytest.raises(VoiceError):
        process.ask({"do": "this"})
    assert time.monotonic() - began < 1.0
    assert len(starts(tmp_path)) == 2


def test_a_hung_worker_is_killed(worker: Worker, tmp_path: Path) -> None:
    """Nothing is left running behind a worker that was given up."""
    with pytest.raises(VoiceError):
        worker("time.sleep(60)").ask({"do": "this"})
    assert [gone(pid) for pid in starts(tmp_path)] == [True, True]


def test_a_worker_ends_with_its_parent() -> None:
    """When the tool is killed outright its speech engine does not stay behind."""
    program = (
        "import os\n"
        "from rehearse.speak.process import WorkerProcess\n"
        "process = WorkerProcess()\n"
        "process.ask({'do': 'voices'})\n"
        "print(process._running.pid, flush=True)\n"
        "os.kill(os.getpid(), 9)\n"
    )
    environment = {**os.environ, "PYTHONPATH": str(Path(rehearse.__file__).parents[1])}
    killed = subprocess.run(
        [sys.executable, "-c", program], env=environment, capture_output=True, check=False
    )
    assert killed.returncode == -9
    assert gone(int(killed.stdout))


def test_a_program_that_cannot_be_started() -> None:
    """A missing program is one clear line too."""
    with pytest.raises(VoiceError, match="could not be started"):
        WorkerProcess(("/nowhere/speech",)).ask({"do": "this"})


def test_an_error_of_the_engine_is_told_with_its_mend() -> None:
    """A missing engine names what to install; the process stays for the next question."""
    program = 'import sys\nfor _ in sys.stdin: print(\'{"error": "no eSpeak here"}\', flush=True)'
    process = WorkerProcess((sys.executable, "-c", program))
    try:
        with pytest.raises(VoiceError, match="no voice is installed; install one"):
            process.ask({"do": "voices"})
    finally:
        process.close()
