"""A manual's sections made into procedures to be written, and all that a person must decide."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rehearse.authoring import doubts
from rehearse.authoring.doubts import Doubt
from rehearse.authoring.drafted import DraftProcedure, DraftStep
from rehearse.authoring.manual import Item, Manual, Note, PassedOver, Section
from rehearse.authoring.naming import slug, step_id, unique
from rehearse.authoring.sentences import MAX_SENTENCE, fits, pieces
from rehearse.authoring.taken import Taken, Target
from rehearse.authoring.words import SignWords
from rehearse.book.faults import shown
from rehearse.book.procedure_keys import MAX_STEPS
from rehearse.book.relations import plain
from rehearse.errors import AuthoringError
from rehearse.safety import NOTICE


def take_manual(manual: Manual, target: Target, words: SignWords) -> Taken:
    """Every section with items as a procedure. Nothing of the file is left untold.

    Raises:
        AuthoringError: no section has items, or one has more than a procedure may hold.
    """
    listed = [section for section in manual.sections if section.items]
    if not listed:
        raise AuthoringError(
            f"{target.file}: there is no list in it; put each procedure under a heading and its "
            "steps into a numbered list"
        )
    ids: set[str] = set()
    made: list[DraftProcedure] = []
    found: list[Doubt] = [_passed_over(each) for each in manual.passed_over]
    loud = _is_loud(listed)
    for section in listed:
        taking = _Taking(section, target, words, ids, loud)
        made.append(taking.procedure())
        found += taking.doubts
        ids.add(made[-1].id)
    for section in manual.sections:
        if not section.items:
            found += [_prose(note, "") for note in section.notes]
            if not _leads_others(section, manual.sections):
                mend = "put its steps into a list under it, and import again"
                fault = f"nothing is listed under the heading {shown(section.title)}"
                found.append(Doubt("left out", section.line, "", "", fault, mend))
    return Taken(tuple(made), tuple(found), sum(len(s.items) for s in listed))


def _leads_others(section: Section, sections: Sequence[Section]) -> bool:
    """Whether headings stand under this one, or it is none."""
    return not section.title or any(section.title in other.above for other in sections)


def _is_loud(sections: Sequence[Section]) -> bool:
    """Whether the manual writes everything in capitals, so that they say nothing."""
    items = [item.text for section in sections for item in section.items]
    return sum(map(doubts.capitals, items)) > len(items) / 2


def _passed_over(each: PassedOver) -> Doubt:
    what = {"table": "a table", "code": "a block of code", "picture": "a picture"}
    mend = "write what must be said of it as steps"
    return Doubt("left out", each.line, "", "", f"{what[each.what]} stands here", mend)


def _prose(note: Note, procedure: str) -> Doubt:
    mend = "make it a step or a reason if it must be known; it stands as a comment in the file"
    if not procedure:
        mend = "see whether a procedure is hidden in it"
    return Doubt("prose", note.line, procedure, "", shown(note.text), mend)


class _Taking:
    """One section on its way to a procedure."""

    def __init__(
        self,
        section: Section,
        target: Target,
        words: SignWords,
        taken: set[str],
        loud: bool,
    ) -> None:
        self.doubts: list[Doubt] = []
        self._section = section
        self._target = target
        self._words = words
        self._loud = loud
        title = section.title or target.file.rsplit(".", 1)[0]
        wanted = slug(title) or f"procedure-{len(taken) + 1}"
        self._id = unique(wanted, taken)
        title = title.capitalize() if doubts.capitals(title) else title
        self._title = title if fits(title) else f"Procedure {self._id}"
        if self._id != wanted:
            self._tell("name", section.line, "", f"'{wanted}' is another procedure's id",
                       f"'{self._id}' was given; rename it as you like")  # fmt: skip
        self._steps: list[DraftStep] = []
        self._said: dict[str, int] = {}
        self._remarks: list[str] = []  # for the next step

    def _tell(self, kind: str, line: int, step: str, fault: str, mend: str) -> None:
        self.doubts.append(Doubt(kind, line, self._id, step, fault, mend))

    def procedure(self) -> DraftProcedure:
        """The procedure. Raises AuthoringError when it has no steps or too many."""
        section, target = self._section, self._target
        for item in section.items:
            self._item(item)
        if section.lists > 1:
            fault = f"{section.lists} lists stand under this heading"
            mend = "if they are several procedures, give each a heading and import again"
            self._tell("lists", section.line, "", fault, mend)
        for note in section.notes:
            self._note_outside(note)
        if not self._steps or len(self._steps) > MAX_STEPS:
            fault = f"{len(self._steps)} steps under {shown(self._title)}"
            mend = f"a procedure has 1 to {MAX_STEPS}; give its parts headings of their own"
            raise AuthoringError(f"{target.file}:{section.line}: {fault}; {mend}")
        return DraftProcedure(
            id=self._id,
            title=self._title,
            aircraft=target.aircraft,
            positions=target.positions,
            language=target.language,
            number=target.number,
            effective=target.effective,
            source=self._source(),
            steps=tuple(self._steps),
            passing="{critical: none}",
            remarks=(*self._head(), *self._remarks),  # those after the last step too
        )

    def _source(self) -> str:
        number, target = self._section.number, self._target
        if number:
            return f"{target.manual or target.file} {number}"
        return f"{target.manual or target.file}, line {self._section.line}"

    def _head(self) -> Iterator[str]:
        yield NOTICE
        yield f"Taken over from {self._target.file}, line {self._section.line}."
        if self._section.above:
            yield f"It stands there under: {' / '.join(self._section.above)}"
        yield (
            "No step is marked critical yet, so 'pass' asks for every step; mark those that are, "
            "and write 'critical: all'."
        )
        for note in self._section.notes:
            yield f"Line {note.line}: {f'{note.label}: ' if note.label else ''}{note.text}"

    def _item(self, item: Item) -> None:
        place = f"{self._cited(item)} (line {item.line})"
        if item.introduces:
            self._remarks.append(f"{place} leads in: {item.text}")
            self._tell("left out", item.line, "", f"{shown(item.text)} leads in what follows",
                       "put its words into the steps below it if they must be said")  # fmt: skip
            for note in item.notes:
                self._loose_note(note, "")
            return
        texts = pieces(item.text)
        if len(texts) > 1:
            self._tell("split", item.line, "", shown(item.text), "see that each part stands alone")
        for number, text in enumerate(texts):
            self._sentence(text, item, place, last=number == len(texts) - 1)

    def _cited(self, item: Item) -> str:
        if not item.number:
            return "an entry"
        return item.number if "." in item.number else f"item {item.number}"

    def _sentence(self, text: str, item: Item, place: str, *, last: bool) -> None:
        inside, alone = doubts.quoted(text)
        say = inside if alone else text.rstrip(" .;,")
        why = "" if fits(say) else f"more than {MAX_SENTENCE} words or no letters"
        key = plain(say)
        if key in self._said:
            self._tell("repeated", item.line, "", f"{shown(say)} stands in line {self._said[key]}",
                       "say what is different, as 'again', and add the step")  # fmt: skip
            why = "said before"
        elif why:
            mend = "write it in sentences that can be said"
            self._tell("left out", item.line, "", f"{shown(say)}: {why}", mend)
        if why:
            self._remarks.append(f"{place}, no step ({why}): {text}")
            for note in item.notes if last else ():
                self._loose_note(note, "")
            return
        self._said[key] = item.line
        self._add(say, item, place, shouted=alone or (not self._loud and doubts.capitals(say)),
                  notes=item.notes if last else ())  # fmt: skip

    def _add(
        self, say: str, item: Item, place: str, *, shouted: bool, notes: Sequence[Note]
    ) -> None:
        taken = {step.id for step in self._steps}
        made = step_id(say, self._words.passed_over, len(self._steps) + 1)
        name = unique(made, taken)
        remarks = [*self._remarks, place]
        self._remarks = []
        if shouted:
            remarks.append("Proposed as a command: judged word by word. Take the line out if not.")
            self._tell("command", item.line, name, f"{shown(say)} is proposed as a command",
                       "take 'command: true' out if it is not shouted word by word")  # fmt: skip
        reason = ""
        for note in notes:
            if not reason and note.kind != "text" and fits(note.text):
                reason = note.text[0].upper() + note.text[1:]
                self._tell("note", note.line, name, f"{note.label}: taken as the reason",
                           "see that it says what happens otherwise")  # fmt: skip
            else:
                remarks.append(f"Line {note.line}: {note.label or 'beside it'}: {note.text}")
                self._loose_note(note, name, told=True)
            if note.kind == "danger":
                mend = "write 'critical: true' if it must never be credited unsaid"
                self._tell("critical", note.line, name, f"a {note.label.lower()} is with it", mend)
        self._steps.append(
            DraftStep(say, name, command=shouted, reason=reason, remarks=tuple(remarks))
        )
        if not shouted:
            self.doubts += doubts.of_sentence(say, item.line, self._id, name, self._words)

    def _loose_note(self, note: Note, step: str, *, told: bool = False) -> None:
        if not told:
            self._remarks.append(f"Line {note.line}: {note.label or 'beside it'}: {note.text}")
        self._tell("note", note.line, step, f"{note.label or 'text'}: {shown(note.text)}",
                   "make it a step, a reason, or take the comment out")  # fmt: skip

    def _note_outside(self, note: Note) -> None:
        if note.kind == "text":
            self.doubts.append(_prose(note, self._id))
        else:
            mend = "put it to the step it belongs to as 'reason'; it may be critical"
            self._tell("note", note.line, "", f"{note.label}: {shown(note.text)}", mend)
