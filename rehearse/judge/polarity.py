"""Polarity: whether a saying denies what a step affirms, or only asks or imagines it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import takewhile

from rehearse.language import Language
from rehearse.language.lexicon import Form, Lexicon
from rehearse.language.token import Token

SHARED = 2  # words of the step that must be there before their negation says anything
OPENING = 4  # tokens within which a denial opens a saying, whatever stands before it
TAIL = 8  # tokens at most that take back what was said


def denied(step: Sequence[Token], said: Sequence[Token], language: Language) -> bool:
    """Whether some content word of the step stands under a "not" in one of the two only.

    It asks for a closer look, no more: "do not close it until ..." and "close it after ..." are
    one step said two ways.
    """
    step_words, said_words = _content(step, language), _content(said, language)
    for word, negated in step_words.items():
        if word in said_words and said_words[word] != negated:
            return True
    return False


def denied_outright(
    step: Sequence[Token],
    said: Sequence[Token],
    language: Language,
    before: Sequence[Token] = (),
    after: Sequence[Token] = (),
) -> bool:
    """Whether the saying forbids, denies or takes back an affirmed step as a whole.

    It is taken back at the end ("no, not yet"), called undone ("i should have turned", "without
    turning", "nobody turns"), opens with a "not" or "never" that governs a verb of the step, or
    has every word of the step under one. "Until", "before" and their like turn a negation round
    ("never open it before ..."), and a step that is negated itself is another matter: these two
    are left to the readers. `before` and `after` are the words next to the saying.
    """
    grammar = language.lexicon.grammar
    own = {token.form for token in step}
    whole = (*_led_up(step, before, language), *said)
    plain = _affirmed_twice(_plain(whole, language.lexicon), language.lexicon)
    if _taken_back(step, [*plain, *after], language):
        return True
    if own & grammar.denials:
        return False
    if _undone(step, plain, language) or _nobody_does(step, plain, language):
        return True
    if any(token.form in grammar.turning - own for token in said):
        return False
    return _opens_with_denial(step, plain, language) or _all_denied(step, plain, language)


def _all_denied(step: Sequence[Token], said: Sequence[Token], language: Language) -> bool:
    """Whether every word of the step that was said stands under a "not"."""
    nothing = language.lexicon.grammar.nothing
    wanted, got = _content(step, language), _content(said, language)
    if any(wanted.values()) or any(token.form in nothing for token in said):
        return False
    shared = [word for word in wanted if word in got]
    return len(shared) >= SHARED and all(got[word] for word in shared)


def taken_back(tail: Sequence[Token], language: Language) -> bool:
    """Whether what follows a saying is nothing but its taking back ("no it is not", "not yet")."""
    lexicon, grammar = language.lexicon, language.lexicon.grammar
    forms = [token.form for token in _plain(tail, lexicon)]
    clause = list(takewhile(lambda form: form not in grammar.clause_ends, forms[:TAIL]))
    small = lexicon.stop_words | lexicon.retracting | lexicon.negations
    return all(form in small for form in clause) and not grammar.retracts.isdisjoint(clause)


def _taken_back(step: Sequence[Token], said: Sequence[Token], language: Language) -> bool:
    """Whether the last words of the saying, after the step's own, take it back."""
    words = {_word(token, language) for token in _weighty(step, language)}
    words |= {token.form for token in step if token.form in language.lexicon.contrast_words}
    last = max((i for i, t in enumerate(said) if _word(t, language) in words), default=-1)
    tail = said[last + 1 :]
    if last < 0 or not taken_back(tail, language):
        return False
    if len(tail) == 1 and opens_asking(said, language):
        return False  # a question answered
    noes = language.lexicon.grammar.noes
    listed = any(token.form in noes for token in said[max(0, last - 2) : last + 1])
    return not (listed and len(tail) == 1)  # "water no obstacles no"


def _undone(step: Sequence[Token], said: Sequence[Token], language: Language) -> bool:
    """Whether the saying opens by calling the step undone ("i would have turned")."""
    lexicon, grammar = language.lexicon, language.lexicon.grammar
    verbs = {_word(token, language) for token in step} - grammar.light_verbs
    for at in range(max(OPENING, _opening(step, said, language))):
        phrase = undone_at(said, at, lexicon)
        verb = _after_bridges(said, at + len(phrase), lexicon)
        if not phrase or verb is None or _verbs(verb, language).isdisjoint(verbs):
            continue
        if phrase[0] in grammar.without:
            if any(token.form in grammar.without for token in step):
                continue
            return bool(lexicon.words.gerund_of(verb.form))
        return phrase[0] not in grammar.modals or _participle(verb, lexicon)
    return False


def undone_at(said: Sequence[Token], at: int, lexicon: Lexicon) -> Form:
    """The phrase at this place that calls what follows undone ("would have"); () for none."""
    forms = tuple(token.form for token in said[at : at + 5])
    return next((f for f in lexicon.undone if forms[: len(f)] == f), ())


def _nobody_does(step: Sequence[Token], said: Sequence[Token], language: Language) -> bool:
    """Whether nobody is said to do what the step's first verb names."""
    grammar = language.lexicon.grammar
    lead = _lead_verb(step, language)
    if any(token.form in grammar.nothing for token in step[:2]):
        return False
    for at, token in enumerate(said[: _opening(step, said, language)]):
        following = said[at + 1].form if at + 1 < len(said) else ""
        no_one = token.form in grammar.noes and following in grammar.one
        if no_one or token.form in grammar.nobody:
            verb = _after_bridges(said, at + 1, language.lexicon)
            if verb is not None and lead in _verbs(verb, language):
                return True
    return False


def _opens_with_denial(step: Sequence[Token], said: Sequence[Token], language: Language) -> bool:
    """Whether the saying opens with "never", "do not" ... and then a verb of the step.

    Of a step with an order ("finish it before you cross") only the first verb is denied so: "do
    not cross before it is finished" says the same.
    """
    grammar = language.lexicon.grammar
    if language.denies_behind:
        return False
    ordered = any(token.form in grammar.turning for token in step)
    lead = _lead_verb(step, language)
    verbs = {lead} if ordered and lead else {_word(token, language) for token in step}
    for at, token in enumerate(said[: max(OPENING, _opening(step, said, language))]):
        if token.form in grammar.denials:
            verb = _after_bridges(said, at + 1, language.lexicon)
            if verb is not None and not _verbs(verb, language).isdisjoint(verbs):
                return True
    return False


def asks(step: Sequence[Token], said: Sequence[Token], language: Language) -> bool:
    """Whether the saying opens as a question or a fancy, unanswered, and the step does not."""
    grammar = language.lexicon.grammar
    own = {token.form for token in step}
    if any(token.form in grammar.answers - own for token in said):
        return False
    if step and step[0].form in grammar.suppositions:
        return False
    opens = opens_asking(said, language) or opens_asking(_plain(said, language.lexicon), language)
    return opens and not opens_asking(step, language)


def opens_asking(tokens: Sequence[Token], language: Language) -> bool:
    """Whether the tokens open as a question or a fancy."""
    forms = tuple(token.form for token in tokens)
    return any(forms[: len(start)] == start for start in language.lexicon.hypotheticals)


def _opening(step: Sequence[Token], said: Sequence[Token], language: Language) -> int:
    """How many tokens stand before the first weighty word of the step."""
    words = {_word(token, language) for token in _weighty(step, language)}
    return next((i for i, t in enumerate(said) if _word(t, language) in words), len(said))


def _after_bridges(said: Sequence[Token], at: int, lexicon: Lexicon) -> Token | None:
    """The first token from here on that is no bridge ("going to", "yet")."""
    return next((token for token in said[at:] if token.form not in lexicon.bridges), None)


def _participle(token: Token, lexicon: Lexicon) -> bool:
    if token.form in lexicon.participles:
        return True
    return lexicon.words.may_be_participle(token.form)


def _lead_verb(step: Sequence[Token], language: Language) -> str:
    """The verb that opens the step's sentence; "" when it opens with a condition."""
    conditions = language.lexicon.grammar.conditions_open
    return _word(step[0], language) if step and step[0].form not in conditions else ""


def _led_up(step: Sequence[Token], before: Sequence[Token], language: Language) -> Sequence[Token]:
    """The last words before a saying that carry no weight but may deny it ("I was going to")."""
    lexicon = language.lexicon
    small = lexicon.stop_words | lexicon.bridges | lexicon.negations
    small |= {word for phrase in lexicon.undone for word in phrase}
    lead = _lead_verb(step, language)
    start = len(before)
    while start > 0:
        token = before[start - 1]
        if token.form not in small and lead not in _verbs(token, language):
            break
        start -= 1
    return before[start:]


def _verbs(token: Token, language: Language) -> set[str]:
    """The verbs that a word may be a form of, by lemma or the head of its synonyms."""
    form, lexicon = token.form, language.lexicon
    bases = {lexicon.words.lemma(form), lexicon.participles.get(form, form)}
    bases |= lexicon.words.gerund_of(form)
    return {lexicon.synonyms.get(base, base) for base in bases}


def _word(token: Token, language: Language) -> str:
    """The lemma of a word, or the head of its synonyms."""
    if token.kind != "word":
        return token.form
    base = language.lexicon.words.lemma(token.form)
    return language.lexicon.synonyms.get(base, base)


def _weighty(tokens: Iterable[Token], language: Language) -> list[Token]:
    small = language.lexicon.stop_words | language.lexicon.negations
    return [token for token in tokens if token.form not in small]


def _affirmed_twice(tokens: Sequence[Token], lexicon: Lexicon) -> list[Token]:
    """The tokens with "never forget to" and its like taken out: what follows is affirmed."""
    denials = lexicon.grammar.denials
    kept: list[Token] = []
    freeing = False
    for at, token in enumerate(tokens):
        after = tokens[at + 1].form if at + 1 < len(tokens) else ""
        before = tokens[at - 1].form if at else ""
        if token.form in denials and after in lexicon.undoing:
            freeing = True
        elif token.form in lexicon.undoing and before in denials:
            continue
        else:
            freeing = freeing and token.negated
            kept.append(replace(token, negated=False) if freeing else token)
    return kept


def _plain(tokens: Sequence[Token], lexicon: Lexicon) -> list[Token]:
    """The tokens without fillers, and without the "and then" that opens them."""
    forms = tuple(token.form for token in tokens)
    kept: list[Token] = []
    at = 0
    while at < len(tokens):
        filler = lexicon.filler_at(forms, at)
        if not filler:
            kept.append(tokens[at])
        at += len(filler) or 1
    while kept and kept[0].form in lexicon.grammar.led_in:
        kept.pop(0)
    return kept


def _content(tokens: Sequence[Token], language: Language) -> dict[str, bool]:
    """Each content word with whether all its mentions are negated."""
    words: dict[str, bool] = {}
    for token in tokens:
        if token.kind == "word" and token.form not in language.lexicon.stop_words:
            if token.form in language.lexicon.negations:
                continue
            word = language.lexicon.words.lemma(token.form)
            words[word] = words.get(word, True) and token.negated
    return words
