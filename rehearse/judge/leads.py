"""What leads up to a command: whether the speaker shouts it, denies it or reports another's."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from rehearse.judge.polarity import undone_at
from rehearse.language import Language
from rehearse.language.grammar import Grammar
from rehearse.language.lexicon import Lexicon
from rehearse.language.token import Token

SPEAKER_REACH = 4  # tokens between "i" and the verb of saying it belongs to


def denying_lead(lead: Sequence[Token], command: Collection[str], language: Language) -> list[str]:
    """The words of the lead-in that deny the command ("never say") or report it ("he calls").

    Only the clause that leads up to the command counts, and in it only a denial with nothing
    between it and the command but verbs of saying and small words: "the pin is not stuck, door two
    left armed" denies something else. `command` are the command's own words.
    """
    lexicon, noes = language.lexicon, language.lexicon.grammar.noes
    clause = _last_clause(lead, lexicon)
    for at in range(len(clause) - 1, -1, -1):
        phrase = undone_at(clause, at, lexicon)
        form = clause[at].form
        if phrase or form in lexicon.negations - noes:
            return [token.form for token in clause[at:]]
        if not _free(clause, at, command, lexicon):
            break
    own = {*command, *lexicon.before_doors}
    bare = [token.form for token in lead if token.form not in own]
    while bare and bare[0] in lexicon.lead_ins:
        bare.pop(0)
    if bare and bare[0] in noes and all(form in lexicon.lead_ins for form in bare[1:]):
        fresh = any(token.form in lexicon.own_speakers for token in lead)
        return [] if fresh else bare[:1]
    return _reported(clause, lexicon)


def _last_clause(lead: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """What stands after the last joint, or from the speaker of the last verb of saying on."""
    start = 0
    for at, token in enumerate(lead):
        if token.form in lexicon.grammar.bounds:
            start = at + 1
    verbs = [at for at in range(start, len(lead)) if _saying(lead[at], lexicon)]
    if verbs:
        near = range(verbs[-1] - 1, max(start, verbs[-1] - SPEAKER_REACH) - 1, -1)
        start = next((at for at in near if lead[at].form in lexicon.own_speakers), start)
    return lead[start:]


def _free(clause: Sequence[Token], at: int, command: Collection[str], lexicon: Lexicon) -> bool:
    """Whether a word between a denial and the command may stand there without being denied."""
    token = clause[at]
    if token.form in lexicon.grammar.called_out:  # else it is said of a lamp
        return at > 0 and _saying(clause[at - 1], lexicon)
    small = lexicon.lead_ins | lexicon.command_small | lexicon.stop_words | lexicon.bridges
    small |= lexicon.before_doors
    return token.form in small or token.form in command or _saying(token, lexicon)


def _reported(clause: Sequence[Token], lexicon: Lexicon) -> list[str]:
    """The words that give the command to another speaker: the subject of the verb of saying."""
    verbs = [
        at
        for at, token in enumerate(clause)
        if _saying(token, lexicon) and (at == 0 or clause[at - 1].form not in lexicon.determiners)
    ]
    if not verbs:
        return []
    speakers = [
        at
        for at, token in enumerate(clause[: verbs[-1]])
        if token.form in lexicon.own_speakers or _another(token, lexicon)
        if not _spoken_to(clause, at, lexicon.grammar)
    ]
    if not speakers:
        return []
    ands = lexicon.grammar.ands
    joined = any(token.form in ands for token in clause[speakers[-1] + 1 : verbs[-1]])
    subject = speakers[0] if joined else speakers[-1]
    if not _another(clause[subject], lexicon):
        return []
    return [token.form for token in clause[subject : verbs[-1] + 1]]


def _spoken_to(clause: Sequence[Token], at: int, grammar: Grammar) -> bool:
    """Whether who is named here is spoken to."""
    before, after = clause[max(0, at - 1) : at], clause[at + 1 : at + 2]
    return any(token.form in grammar.spoken_to for token in before) or any(
        token.form in grammar.spoken_to_behind for token in after
    )


def _another(token: Token, lexicon: Lexicon) -> bool:
    return token.kind == "position" or token.form in lexicon.other_speakers


def _saying(token: Token, lexicon: Lexicon) -> bool:
    return token.kind == "word" and lexicon.words.lemma(token.form) in lexicon.speech_verbs
