"""The small words by which the judge reads clauses: what denies, orders, reports, imagines."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cached_property, lru_cache
from importlib import resources

import yaml


@dataclass(frozen=True)
class Grammar:
    """The small words of one language, lower case; `grammar-en.yaml` holds English.

    A set is empty where the language has no counterpart: the rule that asks for it is then idle.

    Denial:
        denials: what denies a verb ("not", "never").
        nots: of these, the plain one, which governs a clause only where it opens it or follows an
            auxiliary.
        nevers: of these, what governs its clause wherever it stands.
        nothing: what denies a thing or a person ("nothing", "nobody", "no").
        nobody: of these, what stands for a person ("nobody turns it").
        noes: the answer that denies; by itself it also corrects and takes back.
        one: what a "no" before it makes nobody of ("no one").
        answers: what answers a question.
        endings: how a printed word ends that denies ("don't").
        auxiliaries: what stands before a "not" that governs a clause ("do not", "i not").
        pronouns: subjects with which a clause of its own begins.
        turning: what turns a denial round ("never open it before ...").
        retracts: what takes back a sentence that it stands behind ("... no, wrong").
        led_in: what may lead up to a sentence or its taking back.
        clause_ends: where a taking back ends.

    What was not done:
        without: of `Lexicon.undone`, what a gerund follows ("without turning").
        modals: of the same, what takes "have" and a participle ("would have turned").
        light_verbs: verbs that name nothing done, by lemma.
        suppositions: what opens a step that is a supposition itself.
        conditions_open: what opens a step with a condition, so that no verb opens it.

    Claims:
        conditions: what makes a condition or a fancy of a sentence, wherever it stands.
        unreal: the same of what follows it.
        remarks: what makes of a state after it a remark on how something is.
        describing: what makes a name or a description of a word after it ("the armed door").
        doers: the speaker, as who does it.
        things: other speakers who may as well be spoken of.
        openers: what may lead up to a clause that claims or asks.

    Commands:
        bounds: where the clause begins that leads up to a command.
        spoken_to: who stands after these does not speak, but is spoken to ("to my colleague").
        spoken_to_behind: the same of who stands right before these.
        called_out: "out", which counts as part of "call out" only.
        ands: what joins two words or clauses.
        reversing: beginnings of a word that turn it round ("unlocked").

    Order:
        left_first: what stands left of these comes first ("before").
        right_first: what stands right of these comes first ("after").
        not_until: order words that turn round when what they order is denied ("not ... until").
        pointed: order words that turn round before a pointer ("after that").
        pointers: what points back to what was said.
        orderless: order words that order nothing in the sentence that they open ("then ...").

    Corrections:
        waits: what corrects ("no, wait"), unless one of `waited_for` follows.
        waited_for: after these stands what is to be waited for.
        bound_to_no: what a "no" right before belongs to ("no longer"), so that it mends nothing.

    Words that sound or look like others:
        placing: state words that may be words of place ("on the sill").
        sound_of_c: the letter of a crew position, as it may be printed.
    """

    denials: frozenset[str]
    nots: frozenset[str]
    nevers: frozenset[str]
    nothing: frozenset[str]
    nobody: frozenset[str]
    noes: frozenset[str]
    one: frozenset[str]
    answers: frozenset[str]
    endings: frozenset[str]
    auxiliaries: frozenset[str]
    pronouns: frozenset[str]
    turning: frozenset[str]
    retracts: frozenset[str]
    led_in: frozenset[str]
    clause_ends: frozenset[str]
    without: frozenset[str]
    modals: frozenset[str]
    light_verbs: frozenset[str]
    suppositions: frozenset[str]
    conditions_open: frozenset[str]
    conditions: frozenset[str]
    unreal: frozenset[str]
    remarks: frozenset[str]
    describing: frozenset[str]
    doers: frozenset[str]
    things: frozenset[str]
    openers: frozenset[str]
    bounds: frozenset[str]
    spoken_to: frozenset[str]
    spoken_to_behind: frozenset[str]
    called_out: frozenset[str]
    ands: frozenset[str]
    reversing: frozenset[str]
    left_first: frozenset[str]
    right_first: frozenset[str]
    not_until: frozenset[str]
    pointed: frozenset[str]
    pointers: frozenset[str]
    orderless: frozenset[str]
    waits: frozenset[str]
    waited_for: frozenset[str]
    bound_to_no: frozenset[str]
    placing: frozenset[str]
    sound_of_c: frozenset[str]

    @cached_property
    def order_words(self) -> frozenset[str]:
        """Every word that puts one thing before another."""
        return self.left_first | self.right_first | self.not_until


@lru_cache
def grammar(code: str) -> Grammar:
    """The shipped grammar of the language with this code."""
    text = resources.files("rehearse.language").joinpath(f"grammar-{code}.yaml").read_text("utf-8")
    # BaseLoader makes no objects and reads all as text: "on" and "no" are words here.
    data = yaml.load(text, yaml.BaseLoader)  # noqa: S506
    return Grammar(**{field.name: frozenset(data[field.name]) for field in fields(Grammar)})
