"""What an operator adds to the words of a language, and how it is laid over the language's own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from rehearse.language.lexicon import Contrast, Form, Lexicon, form


@dataclass(frozen=True)
class Additions:
    """An operator's own words.

    synonyms: sets of words or phrases that mean the same; each is read as the first of its set.
    contrasts: sets of values that exclude each other; one named as a set of the language adds
        to it.
    designators: (as it is said, door or crew position), as ("L2", "2L").
    units: sets of names of one unit; what follows a number is compared by these.
    abbreviations: (short form, full form); the letters may be spoken one by one.
    """

    synonyms: tuple[tuple[str, ...], ...] = ()
    contrasts: tuple[Contrast, ...] = ()
    designators: tuple[tuple[str, str], ...] = ()
    units: tuple[tuple[str, ...], ...] = ()
    abbreviations: tuple[tuple[str, str], ...] = ()

    def spelling(self) -> Additions:
        """What changes how words are written, not what they mean."""
        contrasts = tuple(replace(contrast, also={}) for contrast in self.contrasts)
        return replace(self, synonyms=(), contrasts=contrasts)

    def read_as(self, lexicon: Lexicon) -> tuple[tuple[str, ...], ...]:
        """Sets of phrases, each read as its first: synonyms, units, and words for a value."""
        own = {contrast.name: contrast for contrast in lexicon.contrasts if not contrast.near}
        values = (
            (" ".join(own[more.name].rows[0][at]), *(" ".join(form) for form in forms))
            for more in self.contrasts
            if more.name in own
            for at, value in enumerate(own[more.name].values)
            if (forms := more.also.get(value))
        )
        return (*self.synonyms, *self.units, *values)

    def with_contrasts(self, more: tuple[Contrast, ...]) -> Additions:
        """The same and these contrast sets."""
        return replace(self, contrasts=(*self.contrasts, *more)) if more else self


NONE = Additions()


def merged(lexicon: Lexicon, additions: Additions) -> Lexicon:
    """The lexicon with the operator's contrasts, units and words laid over it."""
    contrasts = {contrast.name: contrast for contrast in lexicon.contrasts}
    for more in additions.contrasts:
        own = contrasts.get(more.name)
        contrasts[more.name] = more if own is None else _joined(own, more)
    units = {form(name): unit[0].lower() for unit in additions.units for name in unit}
    heads = [s[0] for s in additions.synonyms] + [full for _, full in additions.abbreviations]
    known = {word: word for head in heads for word in form(head)}
    return replace(
        lexicon,
        contrasts=tuple(contrasts.values()),
        units={**lexicon.units, **units},
        synonyms={**known, **lexicon.synonyms},
    )


def _joined(own: Contrast, more: Contrast) -> Contrast:
    also: Mapping[str, tuple[Form, ...]] = {
        value: (*own.also.get(value, ()), *more.also.get(value, ())) for value in own.values
    }
    return replace(
        own,
        rows=(*own.rows, *more.rows),
        also=also,
        near=own.near | more.near if own.near else own.near,
        named=own.named or more.named,
    )
