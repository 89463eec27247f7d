from __future__ import annotations

import json

import numpy as np

from rehearse.events import Event, Heard, Overflow
from rehearse.judge.verdict import Result, StepResult, Verdict
from rehearse.record.summary import summary
from rehearse.safety import NOTICE

CONTRACT = ["file", "procedure", "revision", "passed", "steps", "extras", "heard", "timing"]


def test_keys_of_the_contract(result: Result, events: tuple[Event, ...]) -> None:
    """Every key that others script against is there, first and in its order."""
    found = summary("take-1", result, events)
    assert list(found)[: len(CONTRACT)] == CONTRACT
    assert list(found["steps"][0])[:7] == [
        "id",
        "verdict",
        "probability",
        "heard",
        "start",
        "end",
        "why",
    ]
    assert list(found["extras"][0])[:3] == ["heard", "dangerous", "why"]
    assert found["notice"] == NOTICE


def test_values(result: Result, events: tuple[Event, ...]) -> None:
    """The values are the result's own, numbers rounded, what was not said without times."""
    found = json.loads(json.dumps(summary("a.wav", result, events), allow_nan=False))
    assert (found["file"], found["procedure"], found["revision"], found["passed"]) == (
        "a.wav",
        "arm-door-2l",
        3,
        False,
    )
    assert [step["verdict"] for step in found["steps"]] == [
        "said",
        "wrong",
        "incomplete",
        "not_said",
        "unclear",
    ]
    assert found["steps"][0]["probability"] == 0.971
    assert found["steps"][2]["missing"] == "close the flap"
    assert (found["steps"][3]["start"], found["steps"][3]["end"]) == (None, None)
    assert [extra["dangerous"] for extra in found["extras"]] == [False, True]
    assert found["heard"][0] == {
        "text": "I open the flap and pull the pin",
        "start": 2.4,
        "end": 5.0,
    }
    assert len(found["heard"]) == 3
    assert found["timing"] == {
        "first_word": 2.4,
        "last_word": 22.0,
        "duration": 19.6,
        "words": 21,
        "words_per_minute": 166,
        "longest_silence": 6.0,
        "gaps": [
            {"start": 5.0, "end": 6.0, "silence": 1.0},
            {"start": 9.0, "end": 20.0, "silence": 6.0},
        ],
        "void": False,
        "lost": [],
    }


def test_every_verdict_is_spelled_as_promised() -> None:
    """Out of order and not said are one word each, for programs."""
    steps = tuple(StepResult(v.name, v, 0.5, "", None, None, "") for v in Verdict)
    found = summary("x", Result("p", 1, passed=True, steps=steps, extras=()), ())
    assert [step["verdict"] for step in found["steps"]] == [
        "said",
        "incomplete",
        "wrong",
        "out_of_order",
        "not_said",
        "unclear",
    ]


def test_numpy_numbers_and_nothing_heard() -> None:
    """Numbers that numpy computed are plain in the object; a take without words is no error."""
    step = StepResult("a", Verdict.SAID, np.float32(0.51234), "a", np.float64(1.005), None, "")  # type: ignore[arg-type]
    found = summary("x", Result("p", 1, passed=True, steps=(step,), extras=()), ())
    assert json.loads(json.dumps(found))["steps"][0]["probability"] == 0.512
    assert found["heard"] == []
    assert found["timing"]["first_word"] is None


def test_lost_samples() -> None:
    """Lost samples are told with their place, and the times they void are null."""
    result = Result("p", 1, passed=False, steps=(), extras=())
    events = (Heard(0.0, 1.0, "a"), Overflow(1.5, 0.12345), Heard(2.0, 3.0, "b"))
    timing = summary("x", result, events)["timing"]
    assert timing["void"] is True
    assert timing["lost"] == [{"time": 1.5, "seconds": 0.12}]
    assert (timing["duration"], timing["gaps"][0]["silence"]) == (None, None)
