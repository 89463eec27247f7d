"""A drill as it goes, with a clock of its own and no sound."""

from __future__ import annotations

from rehearse.drill.model import Outcome
from rehearse.drill.running.giving import welcome
from rehearse.events import Ended, Requested, StageOver
from tests.drill.sample import ACROSS, BELTS, DEAD, Room, room


def _ended(here: Room) -> str:
    here.wait(60)
    return next(event.why for event in here.events if isinstance(event, Ended))


def _outcomes(here: Room) -> dict[str, str]:
    return {e.stage: e.outcome for e in here.events if isinstance(e, StageOver)}


def test_whole_drill() -> None:
    """If this fails, a trainee who answers everything does not get to the end of the drill."""
    here = room()
    here.until_cue("signal")
    for _ in range(4):
        here.say(BELTS)
    here.until_cue("hanging")
    here.say(f"{DEAD} {ACROSS}")
    assert _ended(here) == "finished"
    assert _outcomes(here) == {"signal": "answered", "hanging": "answered"}


def test_welcome_and_countdown() -> None:
    """If this fails, a drill begins without its safety notice, or without a warning."""
    here = room()
    here.until_cue("signal")
    assert "training aid" in here.said[0]
    assert "end the drill" in here.said[0]
    assert here.said[1] == "Three. Two. One."


def test_who_is_not_heard_while_a_cue_sounds_is_told_to_wait() -> None:
    """If this fails, a trainee without a headset answers into the cue and is not heard."""
    drill = room().runner.drill
    assert "as soon as its sound has ended" in welcome(drill)
    assert "at once" in welcome(drill, headset=True)


def test_same_seed_same_drill() -> None:
    """If this fails, a seed does not give the same drill again, or every seed the same one."""
    first, again, other = room(1), room(1), room(2)
    times = [here.until_cue("signal") for here in (first, again, other)]
    assert times[0] == times[1] != times[2]


def test_an_answer_must_go_on() -> None:
    """If this fails, one shout is enough where six seconds of shouting are asked for."""
    here = room()
    here.until_cue("signal")
    here.say(BELTS)
    assert _ended(here) == "finished"
    assert _outcomes(here) == {"signal": "unanswered"}


def test_silence_ends_a_stage() -> None:
    """If this fails, a drill waits for ever for somebody who says nothing."""
    here = room()
    cue = here.until_cue("signal")
    here.wait(14.8)
    assert not _outcomes(here)
    here.wait(0.4)
    assert _outcomes(here) == {"signal": "unanswered"}
    assert here.now - cue < 15.5


def test_an_answer_in_progress_is_waited_for() -> None:
    """If this fails, somebody who shouts as the time runs out is cut off and not credited."""
    here = room()
    here.until_cue("signal")
    here.wait(12)
    here.say(" ".join([BELTS] * 4), seconds=8.0)
    assert _outcomes(here) == {"signal": "answered"}


def test_forbidden_words_take_the_branch_for_wrong() -> None:
    """If this fails, a dangerous shout is passed over because the right one came as well."""
    here = room()
    here.until_cue("signal")
    here.say("Belts on! Bags down! This way out!")
    for _ in range(4):
        here.say(BELTS)
    assert _outcomes(here) == {"signal": Outcome.WRONG.value}


def test_a_command_across_two_utterances() -> None:
    """If this fails, a breath in the middle of a command makes it two broken ones."""
    here = room()
    here.until_cue("signal")
    for _ in range(3):
        here.say("Belts off! Bags down!", seconds=1.2)
        here.say("This way out!", seconds=0.8)
    assert _outcomes(here) == {"signal": "answered"}


def test_old_shouts_do_not_answer_a_new_cue() -> None:
    """If this fails, what was begun before a cue counts as its answer."""
    here = room(headset=True)
    here.until_cue("signal")
    for _ in range(4):
        here.say(BELTS)
    while "hanging" not in here.cues:
        here.wait(0.1)
    here.now = here.cues["hanging"] - 1.0
    here.say(f"{DEAD} {ACROSS}", seconds=1.5)
    here.wait(3)
    assert _outcomes(here) == {"signal": "answered"}


def test_stopped_by_voice_in_mid_drill() -> None:
    """If this fails, a trainee cannot stop a drill at once."""
    here = room()
    here.until_cue("signal")
    here.say("No, no, end the drill!")
    assert not here.listening
    assert any(isinstance(event, Requested) for event in here.events)
    assert _ended(here) == "stopped"
    assert here.said[-1] == "The drill is stopped."


def test_stopped_by_key_silences_the_cue() -> None:
    """If this fails, a cue goes on sounding after the drill was stopped at the keyboard."""
    here = room()
    while "signal" not in here.cues:
        here.wait(0.1)
    here.due.append((here.now, Ended(here.now, "stopped")))
    here.wait(0.2)
    assert not [event for _, event in here.due if type(event).__name__ == "CueEnded"]
    assert not here.listening


def test_a_lost_cue_does_not_hold_the_drill_up() -> None:
    """If this fails, a cue whose end is never reported stops the drill for ever."""
    here = room()
    while "signal" not in here.cues:
        here.wait(0.1)
    here.due.clear()
    here.wait(70)
    assert _outcomes(here) == {"signal": "unanswered"}
