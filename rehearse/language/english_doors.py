"""Door designators in all their wordings: "door two left", "2L", "L2", "left two"."""

from __future__ import annotations

from collections.abc import Sequence

from rehearse.language.english_numbers import AFTER_DOOR
from rehearse.language.lexicon import Lexicon
from rehearse.language.token import Token

LARGEST_DOOR = 9  # doors are numbered from the nose; no cabin has ten pairs
_SIDES = {"left": "L", "right": "R", "rite": "R", "write": "R", "l": "L", "r": "R"}
_NUMBERED = {"door", "doors", "number", "station"}  # a number after these names a door
_SIDE_WORDS = {"hand", "side"}
_BETWEEN = {"hand", "side", "number", "door"}  # "left hand door number two"
_PLACES = {"at", "of", "by"}  # prepositions that no "to" follows
_COUNTED = {"and", "or"}

_Found = tuple[int, str]  # tokens that name a door, and its name
_NONE: _Found = (0, "")


def with_doors(tokens: Sequence[Token], lexicon: Lexicon) -> list[Token]:
    """The tokens with each door designator joined into one token ("door two left" to "door 2L").

    A number and a side name a door when they stand as one ("two left"); the looser wordings
    ("left two", "two on the left", a misprinted "to left") only where nothing else can be meant.
    A number of something else (`lexicon.numbered`: "window two left") names none.
    """
    joined: list[Token] = []
    at = 0
    while at < len(tokens):
        length, name = _Doors(tokens, lexicon, joined).at(at)
        if length:
            first, last = tokens[at], tokens[at + length - 1]
            joined.append(Token(name, "door", first.first, last.end - first.first))
        else:
            joined.append(tokens[at])
        at += length or 1
    return joined


class _Doors:
    """Looks for a door at a place; `before` are the tokens left of it, doors joined already."""

    def __init__(self, tokens: Sequence[Token], lexicon: Lexicon, before: Sequence[Token]) -> None:
        self.tokens, self.lexicon, self.before = tokens, lexicon, before

    def at(self, at: int) -> _Found:
        """How many tokens name a door here, and the door."""
        if self._before() in self.lexicon.numbered or self._another_of_those():
            return _NONE
        ways = (
            self._written, self._number_side, self._side_door_number, self._on_the_side,
            self._side_number, self._misprinted, self._other_side,
        )  # fmt: skip
        return next((found for way in ways if (found := way(at))[0]), _NONE)

    def _form(self, at: int) -> str:
        return self.tokens[at].form if 0 <= at < len(self.tokens) else ""

    def _before(self, back: int = 1) -> str:
        return self.before[-back].form if len(self.before) >= back else ""

    def _number(self, at: int) -> str:
        """The number at this place when a door can have it, else ""."""
        if at >= len(self.tokens) or self.tokens[at].kind != "number":
            return ""
        return self.tokens[at].form if 0 < int(self.tokens[at].form) <= LARGEST_DOOR else ""

    def _another_of_those(self) -> bool:
        """The "two right" of "seats two left and two right"."""
        and_side = self._before() in _COUNTED and self._before(2) in _SIDES
        return and_side and self._before(4) in self.lexicon.numbered

    def _side_end(self, at: int) -> int:
        """Just past a side and its "hand" or "side"."""
        at += 1
        while self._form(at) in _SIDE_WORDS:
            at += 1
        return at

    def _written(self, at: int) -> _Found:
        """ "2L" and "L2"."""
        form = self._form(at)
        if len(form) == 2 and form[0].isdigit() and form[1] in "lr":
            return 1, form.upper()
        if len(form) == 2 and form[0] in "lr" and form[1].isdigit() and form[1] != "0":
            return 1, form[::-1].upper()
        if form in {"l", "r"} and self._number(at + 1):
            return 2, self._number(at + 1) + form.upper()
        return _NONE

    def _number_side(self, at: int) -> _Found:
        """ "two left", "door two on the left hand side"."""
        number = self._number(at)
        side = at + 1
        while self._before() in _NUMBERED and self._form(side) in {"on", "the"}:
            side += 1
        if not number or self._form(side) not in _SIDES:
            return _NONE
        return self._side_end(side) - at, number + _SIDES[self._form(side)]

    def _side_door_number(self, at: int) -> _Found:
        """ "left (hand) door (number) two"."""
        if self._form(at) not in _SIDES or len(self._form(at)) == 1:
            return _NONE
        end = at + 1
        while self._form(end) in _BETWEEN:
            end += 1
        between = {self._form(i) for i in range(at + 1, end)}
        number = self._number(end)
        if "door" in between and number:
            return end + 1 - at, number + _SIDES[self._form(at)]
        return _NONE

    def _on_the_side(self, at: int) -> _Found:
        """ "two on the left"."""
        number = self._number(at)
        phrase = (self._form(at + 1), self._form(at + 2)) == ("on", "the")
        if not number or not phrase or self._form(at + 3) not in _SIDES:
            return _NONE
        end = self._side_end(at + 3)
        if not self._alone(at, end):
            return _NONE
        return end - at, number + _SIDES[self._form(at + 3)]

    def _side_number(self, at: int) -> _Found:
        """ "left two"."""
        number = self._number(at + 1)
        if self._form(at) not in {"left", "right"} or not number or not self._alone(at, at + 2):
            return _NONE
        if self._form(at + 2) in _SIDES:  # "turn left two right": the number is the next side's
            return _NONE
        return 2, number + _SIDES[self._form(at)]

    def _misprinted(self, at: int) -> _Found:
        """ "at to left", "two left and to right": a number printed as a word that sounds so."""
        number = AFTER_DOOR.get(self._form(at))
        if number is None or self._form(at + 1) not in {"left", "right"}:
            return _NONE
        placed = self._before() in _PLACES or self._and_a_door()
        if not placed and not (at == 0 and self._stated(at + 2)):
            return _NONE
        return 2, f"{number}{_SIDES[self._form(at + 1)]}"

    def _other_side(self, at: int) -> _Found:
        """The "right" of "doors two left and right"."""
        fits = self._form(at) in {"left", "right"} and self._and_a_door()
        if not fits or self._number(at + 1):
            return _NONE
        if self._before(3) not in {"doors", "exits"} and not self._stated(at + 1):
            return _NONE
        name = self.before[-2].form[0] + _SIDES[self._form(at)]
        return (self._side_end(at) - at, name) if name != self.before[-2].form else _NONE

    def _alone(self, at: int, end: int) -> bool:
        """Whether a number and a side here can belong to nothing but a door.

        What stands before leads up to a door, or a state of doors follows, and nothing counted
        does ("left two bags").
        """
        if self._before() in self.lexicon.before_doors or self._and_a_door():
            lexicon, follows = self.lexicon, self._form(end)
            return not follows or follows in lexicon.stop_words | lexicon.contrast_words
        return at == 0 and self._stated(end)

    def _and_a_door(self) -> bool:
        """Whether "door and" or "door or" stands before."""
        return (
            self._before() in _COUNTED and len(self.before) > 1 and self.before[-2].kind == "door"
        )

    def _stated(self, end: int) -> bool:
        """Whether a state that doors have follows ("armed")."""
        return self._form(end) in self.lexicon.door_states
