"""The facts of a step: what its sentence says, and what the judge will demand because of it."""

from __future__ import annotations

from dataclasses import dataclass

from rehearse.book.model import Procedure, Step
from rehearse.judge.parts import Parts, part_words, parts
from rehearse.judge.prepared import Prepared, PreparedStep, prepare
from rehearse.judge.slots import WEAK, Slot
from rehearse.judge.wording import printed_words
from rehearse.language import Language

Against = tuple[str, tuple[str, ...]]  # words of the sentence, and what must not stand for them


@dataclass(frozen=True)
class Facts:
    """What is demanded of one step, in the words of its sentence.

    parts: the sentence as a person would take it apart.
    states, numbers, directions: the words that carry them.
    named: what a saying must name, or it is incomplete.
    against: words with what makes a saying wrong when it is said in their place.
    heard: what the sound must bear out word by word, with what it is held against (nothing: a
        "not" that might stand after it); for critical steps only, since others are not asked to
        be that certain.
    keys: the words that a saying is searched by, each with the other words for it.
    """

    step: Step
    parts: Parts
    states: tuple[str, ...]
    numbers: tuple[str, ...]
    directions: tuple[str, ...]
    named: tuple[str, ...]
    against: tuple[Against, ...]
    heard: tuple[Against, ...]
    keys: tuple[Against, ...]


def facts(procedure: Procedure, language: Language) -> tuple[Facts, ...]:
    """The facts of every step, in the file's order; what the judge itself works from."""
    language = language.added(procedure.words)
    prepared = prepare(procedure, language)
    return tuple(_facts(step, prepared, language) for step in prepared.steps)


def _facts(step: PreparedStep, prepared: Prepared, language: Language) -> Facts:
    wording = step.canonical
    words = part_words(language.code)

    def of(name: str) -> tuple[str, ...]:
        members = set(words.sets[name]) - {"unit"}
        slots = [slot for slot in wording.slots if slot.name in members]
        return tuple(dict.fromkeys(_with_unit(slot, step, words.ends) for slot in slots))

    command = step.step.command
    named = dict.fromkeys(printed_words(wording, slot) for slot in wording.slots if slot.named)
    named.update(dict.fromkeys(step.step.demands.named))
    return Facts(
        step.step,
        parts(wording.text, wording.tokens, language.lexicon.negations, language.code),
        of("state"),
        of("number"),
        of("direction"),
        () if command else tuple(named),
        () if command else _against(step, language),
        _heard(step, language) if step.step.critical else (),
        () if command else _keys(step, prepared, language),
    )


COUNTED = 2  # words after a number or a "towards" that show what it is about


def _with_unit(slot: Slot, step: PreparedStep, ends: frozenset[str]) -> str:
    """The words of the slot, a number with what it counts, "towards" with its aim."""
    wording = step.canonical
    end = slot.first + slot.count
    while (
        slot.name in {"number", "toward"}
        and end < min(len(wording.tokens), slot.first + 1 + COUNTED)
        and wording.tokens[end].kind == "word"
        and wording.tokens[end].form not in ends
    ):
        end += 1
    return printed_words(wording, Slot("", "", slot.first, end - slot.first))


def _against(step: PreparedStep, language: Language) -> tuple[Against, ...]:
    """Each word that decides, with the words of its set that say something else."""
    found: dict[str, tuple[str, ...]] = {}
    wording = step.canonical
    for slot in wording.slots:
        if slot.name in WEAK:
            continue
        found.setdefault(printed_words(wording, slot), _others(slot, language))
    return tuple((words, others) for words, others in found.items() if others)


def _others(slot: Slot, language: Language) -> tuple[str, ...]:
    if slot.name in _ANY_OTHER:
        return (_ANY_OTHER[slot.name],)
    contrast = next(c for c in language.lexicon.contrasts if c.name == slot.name)
    others = [v for v in contrast.values if v != slot.value]
    words = [" ".join(row[contrast.values.index(v)]) for row in contrast.rows for v in others]
    return tuple(dict.fromkeys(words))


_ANY_OTHER = {
    "number": "any other number",
    "unit": "any other unit",
    "door": "any other door",
    "position": "any other crew position",
}


def _heard(step: PreparedStep, language: Language) -> tuple[Against, ...]:
    """The flips that the sound must decide, word by word of the sentence."""
    words = step.canonical.text.split()
    found: dict[str, list[str]] = {}
    for flip in language.flips(words):
        place = " ".join(words[flip.first : flip.first + flip.count]).strip(".,;:!?")
        if flip.count:
            found.setdefault(place, []).append(flip.replacement or "nothing")
        elif flip.first:
            found.setdefault(words[flip.first - 1].strip(".,;:!?"), [])
    return tuple((name, tuple(dict.fromkeys(others))) for name, others in found.items())


def _keys(step: PreparedStep, prepared: Prepared, language: Language) -> tuple[Against, ...]:
    """The key words, the rarest in the procedure first, with the other words for each."""
    terms = step.canonical.terms
    own = {form for s in prepared.steps for w in s.wordings for t in w.tokens for form in [t.form]}
    alike: dict[str, list[str]] = {}
    for word, head in language.lexicon.synonyms.items():
        if word != head or word not in own:
            alike.setdefault(head, []).append(word)
    ordered = sorted(terms.printed, key=lambda name: -terms.weights[name])
    return tuple(
        (
            terms.printed[name],
            tuple(w for w in alike.get(name, ()) if w not in _forms(terms.printed[name], language)),
        )
        for name in ordered
    )


def _forms(printed: str, language: Language) -> set[str]:
    return {printed.lower(), language.lexicon.words.lemma(printed.lower())}
