"""From an answer to a verdict on every part of it; pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rehearse.events import Heard
from rehearse.judge.thresholds import thresholds
from rehearse.judge.verdict import Extra, Result, StepResult, Verdict
from rehearse.language import Language
from rehearse.register.claim import Claim, Claims, Said, said
from rehearse.register.model import Register
from rehearse.register.naming import KindNames
from rehearse.register.phrasing import Phrasing, phrasing
from rehearse.register.placing import StationNames
from rehearse.register.question import Form, Part, Question


class Answers:
    """Scores answers about one register by item and number.

    Sentences are no matter of items; `rehearse.register.meaning` has them judged by meaning.
    """

    def __init__(self, register: Register, language: Language) -> None:
        self._language = language
        self._words = phrasing(register.language)
        self._margin = thresholds().doubtful_margin
        self._kinds = KindNames(register.kinds, language, self._words)
        self._stations = StationNames(register.stations, language, self._words)
        self._revision = register.revision.number

    def result(self, question: Question, heards: Sequence[Heard]) -> Result:
        """The verdict on every part; what was named wrongly is a dangerous extra.

        Raises:
            ValueError: the answer is a sentence.
        """
        claims = self._claims(question, heards)
        if question.form is Form.NUMBER:
            steps: tuple[StepResult, ...] = (self._number(question.parts[0], claims.named),)
            extras: tuple[Extra, ...] = ()
        else:
            steps = tuple(self._part(part, question.form, claims) for part in question.parts)
            extras = tuple(self._extras(question, claims.named))
        passed = all(s.verdict is Verdict.SAID for s in steps) and not any(
            extra.dangerous for extra in extras
        )
        return Result(question.id, self._revision, passed, steps, extras)

    def _claims(self, question: Question, heards: Sequence[Heard]) -> Claims:
        claims = Claims()
        for heard in heards:
            one = said(heard, self._language, self._words, self._margin)
            match question.form:
                case Form.KINDS:
                    claims += self._kinds.claims(one)
                case Form.STATIONS:
                    claims += self._stations.claims(one)
                case Form.NUMBER:
                    claims += numbers(one, self._words)
                case Form.DOORS | Form.POSITIONS:
                    claims += designators(one, question.form)
                case Form.SENTENCE:
                    raise ValueError("a sentence is judged by meaning")
        return claims

    def _part(self, part: Part, form: Form, claims: Claims) -> StepResult:
        own = [claim for claim in claims.named if claim.id == part.id]
        affirmed = [claim for claim in own if not claim.denied]
        if not affirmed:
            return self._unnamed(part, own, claims.vague)
        told = _Told(affirmed[-1], part, self._words)
        open_ = any(claim.denied for claim in own) or all(claim.doubtful for claim in affirmed)
        if open_:
            return told.result(Verdict.UNCLEAR, "unclear")
        counts = {claim.count for claim in affirmed if claim.count is not None}
        return told.result(*_counted(counts, part, demanded=form is Form.KINDS))

    def _unnamed(self, part: Part, denied: Sequence[Claim], vague: Sequence[Claim]) -> StepResult:
        if denied:
            return _Told(denied[-1], part, self._words).result(Verdict.WRONG, "denied")
        near = [claim for claim in vague if part.id in claim.id.split()]
        if near:
            return _Told(near[-1], part, self._words).result(Verdict.INCOMPLETE, "vague")
        return _Told(None, part, self._words).result(Verdict.NOT_SAID, "not_said")

    def _extras(self, question: Question, named: Sequence[Claim]) -> list[Extra]:
        wanted = {part.id for part in question.parts} | question.spare
        false = [claim for claim in named if claim.id not in wanted and not claim.denied]
        once = {claim.id: claim for claim in false}.values()
        text = self._words.text
        return [
            Extra(
                claim.heard,
                not claim.doubtful,
                text("not_there", heard=claim.heard),
                claim.start,
                claim.end,
            )
            for claim in once
        ]

    def _number(self, part: Part, named: Sequence[Claim]) -> StepResult:
        sums = [claim for claim in named if claim.id == "sum"] or list(named)
        if not sums:
            return _Told(None, part, self._words).result(Verdict.NOT_SAID, "not_said")
        told = _Told(sums[-1], part, self._words)
        counts = {claim.count for claim in sums}
        if len(counts) > 1:
            return told.result(Verdict.UNCLEAR, "count_open")
        if sums[-1].doubtful:
            return told.result(Verdict.UNCLEAR, "unclear")
        if counts == {part.count}:
            return told.result(Verdict.SAID, "said")
        return told.result(Verdict.WRONG, "number_false")


@dataclass(frozen=True)
class _Told:
    """How one part is told: what was claimed of it, if anything."""

    claim: Claim | None
    part: Part
    words: Phrasing

    def result(self, verdict: Verdict, reason: str) -> StepResult:
        claim, part = self.claim, self.part
        said_ = claim.heard if claim else ""
        bare = part.bare or part.name
        counted = f"{self.words.number(part.count)} {bare}"
        why = self.words.text(reason, what=part.name, name=bare, counted=counted, heard=said_)
        certain = {Verdict.SAID: 1.0, Verdict.UNCLEAR: 0.5}.get(verdict, 0.0)
        return StepResult(
            part.id,
            verdict,
            certain,
            said_,
            claim.start if claim else None,
            claim.end if claim else None,
            why,
            missing=part.name if verdict is Verdict.INCOMPLETE else "",
        )


def _counted(counts: set[int], part: Part, *, demanded: bool) -> tuple[Verdict, str]:
    """The verdict on a part that was named with these numbers; none may do where there is one."""
    if len(counts) > 1:
        return Verdict.UNCLEAR, "count_open"
    if counts and counts != {part.count}:
        return Verdict.WRONG, "count_wrong"
    if not counts and demanded and part.count > 1:
        return Verdict.INCOMPLETE, "count_missing"
    return Verdict.SAID, "said"


def numbers(one: Said, words: Phrasing) -> Claims:
    """The numbers of an utterance; one that is said to be the sum of others is marked "sum"."""
    found: list[Claim] = []
    sums, none = frozenset(words.words("sums")), frozenset(words.words("none"))
    for at, token in enumerate(one.tokens):
        beside = {t.form for t in one.tokens[max(0, at - 2) : at + 3]}
        name = "sum" if beside & sums else "number"
        if token.kind == "number":
            found.append(one.claim(name, at, at, count=int(token.form)))
        elif token.form in none:
            found.append(one.claim(name, at, at, count=0))
    if len(found) > 1:  # "no, three": the no only takes something back
        found = [claim for claim in found if claim.count != 0] or found
    return Claims(tuple(found))


_KINDS: Mapping[Form, str] = {Form.DOORS: "door", Form.POSITIONS: "position"}


def designators(one: Said, form: Form) -> Claims:
    """The doors or crew positions of an utterance."""
    return Claims(
        tuple(
            one.claim(token.form.upper(), at, at, denied=token.negated)
            for at, token in enumerate(one.tokens)
            if token.kind == _KINDS[form]
        )
    )
