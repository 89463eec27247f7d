"""Reviews and differences as lines of text in 80 columns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rehearse.book.show import wrapped
from rehearse.register.answers import place
from rehearse.register.differences import Difference, Topic, only_on
from rehearse.register.model import Kind, Register
from rehearse.register.phrasing import Phrasing, phrasing
from rehearse.register.review import Review
from rehearse.safety import NOTICE, spoken_notice


def review_page(found: Review, *, answers: bool = False) -> list[str]:
    """The review; the questions with their answers when asked for."""
    words = phrasing(found.register.language)
    position, aircraft = found.position.name, found.register.name
    lines = _title(words.text("review", position=position, aircraft=aircraft))
    lines += _section(words, "heading_position", found.duties)
    lines += _section(words, "heading_equipment", found.at_hand)
    lines += ["", *_heading(words, "heading_procedures")]
    for procedure in found.procedures:
        lines += wrapped(f"{procedure.title} ({procedure.id})", "  - ", "    ")
        for step in procedure.steps:
            if step.critical:
                lines += wrapped(words.text("critical", say=step.say), "      ", "      ")
    if not found.procedures:
        lines += wrapped(words.text("no_procedures"), "  ", "  ")
    if found.questions:
        lines += ["", *_heading(words, "heading_questions")]
    for question in found.questions:
        lines += wrapped(question.ask, "  - ", "    ")
        if answers:
            lines += wrapped(question.answer, "      ", "      ")
    return [*lines, "", *wrapped(NOTICE, "", "")]


def spoken_review(found: Review) -> list[str]:
    """The review as sentences to be read aloud: notice, duties, procedures by title, questions."""
    words = phrasing(found.register.language)
    position, aircraft = found.position.name, found.register.name
    titles = [procedure.title for procedure in found.procedures]
    return [
        words.text("review", position=position, aircraft=aircraft) + ".",
        spoken_notice(found.register.language),
        *found.duties,
        f"{words.text('heading_procedures')}: {words.listed(titles)}.",
        *(question.ask for question in found.questions),
    ]


def differences_page(
    habit: Register,
    here: Register,
    found: Sequence[Difference],
    compared: Sequence[Topic],
    position: str = "",
) -> list[str]:
    """What differs, question by question, then what only one has, then procedures."""
    words = phrasing(here.language)
    name = "differences_position" if position else "differences"
    lines = _title(words.text(name, one=habit.name, other=here.name, position=position))
    for difference in found:
        lines += ["", *wrapped(difference.here.ask, "", "  ")]
        for register, question in ((habit, difference.habit), (here, difference.here)):
            lines += _beside(register.name, question.answer, 2)
    if not found:
        lines += wrapped(words.text("no_differences"), "", "")
    only = [*_only(words, habit, here), *_only(words, here, habit)]
    if only:
        lines += ["", *_heading(words, "heading_only")]
        for text in only:
            lines += wrapped(text, "  - ", "    ")
    if compared:
        lines += ["", *_heading(words, "heading_topics")]
    for topic in compared:
        lines += wrapped(f"{topic.habit.title}; {topic.here.title}", "  - ", "    ")
        for register, steps in ((habit, topic.gone), (here, topic.new)):
            for step in steps:
                lines += _beside(register.name, step.say, 4)
    return [*lines, "", *wrapped(NOTICE, "", "")]


def _only(words: Phrasing, one: Register, other: Register) -> Iterable[str]:
    for kind in only_on(one, other):
        yield words.text("only", aircraft=one.name, name=_several(one, kind), place=_at(one, kind))


def _several(register: Register, kind: Kind) -> str:
    return kind.named(max(1, register.count(kind.id)))


def _at(register: Register, kind: Kind) -> str:
    return place(register, kind.id)


def _beside(label: str, text: str, indent: int) -> list[str]:
    """The text beside its label."""
    start = " " * indent + label + "  "
    return wrapped(text, start, " " * len(start))


def _title(text: str) -> list[str]:
    return [text, "=" * min(len(text), 80)]


def _heading(words: Phrasing, name: str) -> list[str]:
    text = words.text(name)
    return [text, "-" * len(text)]


def _section(words: Phrasing, name: str, sentences: Iterable[str]) -> list[str]:
    lines = ["", *_heading(words, name)]
    for sentence in sentences:
        lines += wrapped(sentence, "  - ", "    ")
    return lines
