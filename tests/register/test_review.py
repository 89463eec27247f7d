"""A position's silent review, and where the habits of one aircraft mislead on another."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from rehearse.book.model import PassRule, Procedure, Revision, Step
from rehearse.cli import main
from rehearse.events import Heard
from rehearse.language.english import English
from rehearse.register.asking import questions
from rehearse.register.differences import Habits, differences, only_on, topics
from rehearse.register.model import Register
from rehearse.register.reader import read_register
from rehearse.register.review import review
from rehearse.register.review_page import differences_page, review_page, spoken_review
from rehearse.register.scoring import Answers
from rehearse.safety import NOTICE, SPOKEN_NOTICE
from tests.register.conftest import SMALL


def procedure(name: str, source: str, *says: str, positions: tuple[str, ...] = ()) -> Procedure:
    """A procedure of the small aircraft with critical steps."""
    return Procedure(
        id=name,
        title=name.replace("-", " ").capitalize(),
        aircraft="reed-10",
        positions=positions,
        language="en",
        revision=Revision(1, date(2026, 10, 1), source),
        order="strict",
        pass_rule=PassRule(),
        steps=tuple(Step(f"s{n}", say, critical=True) for n, say in enumerate(says)),
        topic="arm",
    )


@pytest.fixture
def other(write: Callable[[str], Path], small: Register) -> Register:
    """The small aircraft's sister: other places, another way of arming, an axe."""
    assert small.aircraft == "reed-10"  # read before its file is written over
    changed = (
        SMALL.replace("reed-10", "reed-20")
        .replace("Reed 10", "Reed 20")
        .replace("Lay the bar into the floor brackets", "Turn the knob to the left")
        .replace("items: {megaphone: 1, torch: 2}", "items: {megaphone: 1, torch: 1}")
        .replace("stations:", "  - {id: axe, name: axe, plural: axes}\nstations:")
        .replace("items: {torch: 1}", "items: {torch: 1, axe: 1}")
    )
    return read_register(write(changed))


def test_read_aloud(small: Register) -> None:
    """If this fails, who hears the review alone is not told that it is a training aid."""
    book = [procedure("arm", "CSM 1", "Lay the bar into the floor brackets")]
    sentences = spoken_review(review(small, small.positions[0], book, questions(small)[:1]))
    assert sentences[1] == SPOKEN_NOTICE
    assert any("Arm" in sentence for sentence in sentences)
    assert sentences[-1] == questions(small)[0].ask


def test_review(small: Register) -> None:
    """If this fails, a crew member goes through the wrong duties or procedures."""
    mine = procedure("late", "CSM 10.1", "Say it", positions=("C1",))
    early = procedure("early", "CSM 4.2", "Do it")
    others = procedure("others", "CSM 1.1", "Leave it", positions=("C2",))
    foreign = replace(early, id="foreign", aircraft="tarn-240")
    found = review(small, small.position("C1"), [mine, foreign, others, early], questions(small))
    assert [p.id for p in found.procedures] == ["early", "late"]
    assert found.duties == (
        "Your seat is in the forward cabin.",
        "You open door one left.",
        "Before you leave you check the whole cabin.",
        "You take the megaphone in the locker aft of door one left.",
        "You leave by door one left.",
    )
    assert found.at_hand == ("In the locker aft of door one left: one megaphone and two torches.",)
    text = " ".join("\n".join(review_page(found, answers=True)).split())
    assert "critical: Do it" in text
    assert "Which position takes the megaphone? C1." in text
    assert NOTICE in text


def test_differences(small: Register, other: Register) -> None:
    """If this fails, a habit that misleads is not named, or one that does not is."""
    found = {d.here.id: (d.habit.answer, d.here.answer) for d in differences(small, other)}
    assert found == {
        "contents-locker": ("One megaphone and two torches.", "One megaphone and one torch."),
        "contents-galley": ("One torch.", "One torch and one axe."),
        "number-torch": ("Three.", "Two."),
        "number-torch-forward": ("Two.", "One."),
        "fact-arming": ("Lay the bar into the floor brackets.", "Turn the knob to the left."),
    }
    assert [kind.id for kind in only_on(other, small)] == ["axe"]
    assert not differences(small, small)


def test_shipped_differences(tarn_240: Register, tarn_120: Register) -> None:
    """If this fails, crew of both Tarns are not warned about the beacon and the girt bar."""
    found = {d.here.id: d for d in differences(tarn_240, tarn_120)}
    assert found["takers-beacon"].habit.answer == "C6."
    assert found["takers-beacon"].here.answer == "C1."
    assert "girt bar" in found["fact-arming"].here.answer
    assert "sound-normal-call" not in found  # it is the same
    ids = {d.here.id for d in differences(tarn_240, tarn_120, "C1")}
    assert "takes-C1" in ids
    assert "takes-C2" not in ids


def test_topics(small: Register, other: Register) -> None:
    """If this fails, two ways of doing the same are not shown beside each other."""
    one = procedure("arm", "CSM 4", "Open the flap", "Turn the drum")
    two = replace(procedure("arm-20", "CSM 4", "Open the flap", "Lay the bar"), aircraft="reed-20")
    (topic,) = topics(small, other, [one, two])
    assert [step.say for step in topic.gone] == ["Turn the drum"]
    assert [step.say for step in topic.new] == ["Lay the bar"]
    assert not topics(small, other, [one, replace(two, topic="")])
    page = "\n".join(differences_page(small, other, differences(small, other), [topic]))
    assert "only on the Reed 20: axe in the aft galley" in page
    assert "Reed 20  Lay the bar" in page


def test_answer_out_of_habit(small: Register, other: Register) -> None:
    """If this fails, nobody learns that the answer belonged to the other aircraft."""
    language = English()
    score = Habits(
        differences(small, other),
        small,
        other,
        Answers(small, language).result,
        Answers(other, language).result,
    )
    question = next(q for q in questions(other) if q.id == "contents-locker")
    result = score(question, [Heard(0, 3, "a megaphone and two torches")])
    assert not result.passed
    assert result.extras[0].why == "That is right on the Reed 10, not on the Reed 20."
    right = score(question, [Heard(0, 3, "a megaphone and a torch")])
    assert right.passed
    wrong = score(question, [Heard(0, 3, "a megaphone and four torches")])
    assert not wrong.extras


def test_review_command(capsys: pytest.CaptureFixture[str]) -> None:
    """If this fails, `rehearse review` does not give a position its own page."""
    typed = ["review", "--aircraft", "tarn-240", "--position", "c6", "--seed", "1", "--json"]
    assert main([*typed, "--questions", "4"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["position"] == "C6"
    assert "ditching-door-3r" in told["procedures"]
    assert "arm-door-2l" not in told["procedures"]
    assert len(told["questions"]) == 4
    assert told["notice"] == NOTICE


def test_differences_command(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """If this fails, `review --differences` cannot be answered from files."""
    typed = ["review", "--differences", "tarn-240", "tarn-120", "--position", "C1"]
    assert main([*typed, "--seed", "5"]) == 0
    assert "Where the Tarn 240 and the Tarn 120 differ for C1" in capsys.readouterr().out
    words = tmp_path / "answer.jsonl"
    words.write_text('{"text": "no idea"}\n', "utf-8")
    assert main([*typed, "--seed", "5", "--json", "--words", str(words)]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["right"] is False


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["review"], "give --aircraft and --position"),
        (["review", "--aircraft", "tarn-120", "--position", "C4"], "write one of C1, C2"),
        (["review", "--differences", "tarn-240", "tarn-12"], "did you mean 'tarn-120'?"),
        (["recall", "--aircraft", "tarn-240", "--words", "x"], "give its seed"),
        (["recall", "--aircraft", "tarn-240", "--questions", "0"], "ask at least one"),
    ],
)
def test_bad_input(typed: list[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """If this fails, a slip at the keyboard ends in a traceback or without a mend."""
    assert main(typed) == 2
    assert told in capsys.readouterr().err


def test_recall_command(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """If this fails, `rehearse recall` scores files wrongly, or one bad file stops the rest."""
    register = ["recall", "--aircraft", "tarn-240", "--position", "C4", "--seed", "3"]
    assert main([*register, "--questions", "4", "--list"]) == 0
    assert "C4 opens door two left." in capsys.readouterr().out
    good = tmp_path / "good.jsonl"
    good.write_text('{"text": "two left"}\n{"text": "behind the captain and behind the first '
                    'officer\'s seat"}\n', "utf-8")  # fmt: skip
    missing = tmp_path / "missing.jsonl"
    files = [str(missing), str(missing), str(good), str(good)]
    assert main([*register, "--json", "--words", *files]) == 2
    told = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert ["error" in row for row in told] == [True, True, False, False]
    assert told[2]["question"] == "places-escape-rope"
    assert told[2]["right"]
    assert told[3]["question"] == "opens-C4"
    assert told[3]["right"]
