"""What `models list`, `models add` and `models words` do."""

from __future__ import annotations

import argparse

from rehearse.authoring.unheard import Lacking, unheard
from rehearse.book import shelf
from rehearse.book.model import Procedure
from rehearse.cli.common import NOT_PASSED, PASSED, UNUSABLE, complain, say
from rehearse.errors import ModelError
from rehearse.screen import waiting
from rehearse.weights.catalogue import catalogue, fetchable
from rehearse.weights.fetching import fetch, place_for_models
from rehearse.weights.store import known_models, verified
from rehearse.weights.vosk_models import Added, added_models

_MEGABYTE = 1_000_000


def list_(_options: argparse.Namespace) -> int:
    """The shipped models, those added, and those that can be."""
    status = PASSED
    for name in known_models():
        try:
            say(f"{name}  shipped  complete in {verified(name)}")
        except ModelError as error:
            complain(error)
            status = UNUSABLE
    added = list(added_models())
    for each in added:
        say(f"{each.folder.name}  added  {_state(each)}")
    there = {each.folder.name for each in added}
    for name, model in catalogue().items():
        if name not in there:
            size = round(model.size / _MEGABYTE)
            say(f"{name}  not here  {model.about}, {size} MB: rehearse models add {name}")
    return status


def _state(each: Added) -> str:
    if each.lacking:
        return f"not usable, lacks {', '.join(each.lacking)}: {each.folder}"
    if not each.language:
        return f"not usable, its name tells no language (as vosk-en does): {each.folder}"
    return f"for '{each.language}', {each.size / _MEGABYTE:.0f} MB in {each.folder}"


def add_(options: argparse.Namespace) -> int:
    """Fetch one model."""
    model = fetchable(options.name)
    place = place_for_models()
    with waiting(f"fetching {model.name}") as told:
        folder = fetch(
            model,
            place,
            lambda got, of: told(
                f"fetching {model.name}: {got / _MEGABYTE:.1f} of {of / _MEGABYTE:.1f} MB"
            ),
        )
    say(f"{model.name}: fetched, sha256 {model.sha256} as expected, in {folder}")
    return PASSED


def words_(options: argparse.Namespace) -> int:
    """For each added model the words of procedures that it does not know."""
    from rehearse.hear.vosk import Vosk

    wanted = [shelf.find(name) for name in options.names] or list(shelf.stock().procedures)
    models = {
        each.language: each.folder
        for each in reversed(list(added_models()))
        if each.usable and options.language in (None, each.language)
    }
    if not models:
        asked = f" for '{options.language}'" if options.language else ""
        raise ModelError(f"models words: no model{asked} was added; see 'rehearse models list'")
    status = PASSED
    for language, folder in sorted(models.items()):
        about = [procedure for procedure in wanted if procedure.language == language]
        if not about:
            continue
        with waiting(f"loading {folder.name}"):
            lacking = Vosk(folder, language).vocabulary.lacking
        found = [line for procedure in about for line in _lines(procedure, lacking)]
        for line in found:
            say(line)
        if found:
            status = NOT_PASSED
        else:
            say(f"{folder.name}: knows every word of {len(about)} procedures")
    return status


def _lines(procedure: Procedure, lacking: Lacking) -> list[str]:
    return [
        f"{procedure.id}: {step}: {', '.join(words)}"
        for step, words in unheard(procedure, lacking).items()
    ]
