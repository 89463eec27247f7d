from __future__ import annotations

import pytest

from rehearse.judge.prepared import Wording
from rehearse.judge.sequence import turned_round
from rehearse.judge.slots import slots
from rehearse.judge.terms import terms_of
from rehearse.language.english import English

ENGLISH = English()
OWN = "Finish your own door two left before you cross over"
TELL = "If the two doors differ, tell C1 before anyone turns a drum"
LINE = "Cut the mooring line after the last person is aboard"


def turned(step: str, said: str) -> bool:
    """Whether the saying turns round the order that the step asks for."""
    tokens = ENGLISH.tokens(step.split())
    wording = Wording(step, tokens, slots(tokens, ENGLISH.lexicon), terms_of(step, {}, ENGLISH))
    return turned_round(wording, ENGLISH.tokens(said.split()), ENGLISH)


@pytest.mark.parametrize(
    ("step", "said"),
    [
        (OWN, OWN),
        (OWN, "i finish my own door then i cross over"),
        (OWN, "cross over after finishing your own door"),
        (OWN, "before i cross over i finish my own door"),
        (OWN, "i finish my own door and i cross over"),
        (TELL, "tell c one before anyone turns a drum"),
        (TELL, "no drum is turned until c one is told"),
        (LINE, "last person aboard then cut the line"),
        (LINE, "when the last person is aboard cut the mooring line"),
        (LINE, "once the last person is aboard i cut the mooring line"),
        (LINE, "do not cut the line before the last person is aboard"),
        (LINE, "do not cut the mooring line until the last person is aboard"),
        ("Pull the toggle", "after that i pull the toggle"),
        (LINE, "good morning before we go"),
        (LINE, "after"),
        (LINE, ""),
    ],
)
def test_the_right_order_in_many_wordings(step: str, said: str) -> None:
    """The same order said with "before", "after", "then", "until" or "once" is the same order."""
    assert not turned(step, said)


@pytest.mark.parametrize(
    ("step", "said"),
    [
        (OWN, "cross over before you finish your own door"),
        (OWN, "i cross over then i finish my own door"),
        (TELL, "turn the drum before telling c one"),
        (TELL, "turn a drum and then tell c one"),
        (TELL, "tell c one after turning the drum"),
        (LINE, "cut the mooring line before the last person is aboard"),
        (LINE, "cut the mooring line then the last person comes aboard"),
    ],
)
def test_the_order_turned_round(step: str, said: str) -> None:
    """What should come second said to come first is seen, whichever order word is used."""
    assert turned(step, said)


DIFFER = "If the two doors differ, tell C1 before anyone turns a drum"
OPENED = "After the last person is aboard, cut the mooring line"


@pytest.mark.parametrize(
    ("step", "said"),
    [
        (OWN, "before you cross over finish your own door two left"),
        (OWN, "so before i cross over to the far side i finish my own door"),
        (OWN, "after you finish your own door two left cross over"),
        (OWN, "once my own door is finished i cross over"),
        (OWN, "i do not cross over to the other side before my own door two left is finished"),
        (OWN, "i never cross over to the side over there before i finish my own door"),
        (OWN, "finish your own door and after that cross over"),
        (OWN, "i cross over but before that i finish my own door"),
        (DIFFER, "if the two doors differ nobody turns a drum before c one is told"),
        (DIFFER, "we do not turn any drum on either side of the cabin before c one is told"),
        (DIFFER, "no drum is turned by anyone in this cabin before c one is told"),
        (OPENED, OPENED),
        (OPENED, "cut the mooring line after the last person is aboard"),
        (OPENED, "the last person aboard then the mooring line is cut"),
        (LINE, "i see no fire before cutting"),
    ],
)
def test_order_words_that_open_or_reach_far(step: str, said: str) -> None:
    """ "After X, Y", and a "not ... before" however far apart, are understood as they are meant."""
    assert not turned(step, said)


@pytest.mark.parametrize(
    ("step", "said"),
    [
        (OWN, "before you finish your own door two left cross over"),
        (OWN, "after crossing over i finish my own door two left"),
        (OWN, "and once i have crossed over i finish my own door"),
        (OWN, "i do not finish my own door over here before i cross over"),
        (OWN, "cross over and after that finish your own door"),
        (OPENED, "before the last person is aboard cut the mooring line"),
        (OPENED, "after you cut the mooring line the last person comes aboard"),
        (OPENED, "cut the mooring line before the last person is aboard"),
        (LINE, "once the mooring line is cut the last person comes aboard"),
    ],
)
def test_order_turned_round_by_an_opening_word(step: str, said: str) -> None:
    """The same words the other way round are the other way round."""
    assert turned(step, said)
