"""What `drill` does: at the microphone, from recordings and kept runs, or reading in a baseline."""

from __future__ import annotations

import argparse
import secrets
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rehearse.book.show import wrapped
from rehearse.cli.common import NOT_PASSED, PASSED, UNUSABLE, complain, devices, say
from rehearse.cli.drill_told import Telling, notice
from rehearse.coach.actions import Purpose
from rehearse.drill.files.shelf import drill_stock, find_drill
from rehearse.drill.model import Drill
from rehearse.drill.shown.debrief import debrief
from rehearse.drill.shown.facts import Facts
from rehearse.drill.values import NO_BASELINE, DrillResult
from rehearse.errors import RehearseError
from rehearse.events import PromptStarted
from rehearse.measured import Measured
from rehearse.record.drill_take import DrillTake
from rehearse.record.report import clean
from rehearse.screen import PracticeView, waiting

if TYPE_CHECKING:  # loading the engines takes a second that `--list` need not wait
    from rehearse.session.engine import Engine

MOST_SEEDS = 100_000

Scored = tuple[DrillResult, Facts]


def drill_(options: argparse.Namespace) -> int:
    """Runs `drill`; the exit status."""
    if options.list:
        return _list()
    if options.baseline or options.latency:
        from rehearse.cli.drill_setting import baseline, latency

        return baseline(options) if options.baseline else latency(options)
    if options.trends:
        from rehearse.cli.drill_trends import trends

        return trends(options)
    if options.take:
        return _each(options.take, _from_take, options)
    if not options.drill:
        raise RehearseError("drill: no drill named; give its file or an id that --list shows")
    drill = find_drill(options.drill, position=options.position)
    level = _calm(options.calm)
    seed = _seed(options)
    with waiting("loading the models"):
        from rehearse.session.engine import load_engine

        engine = load_engine(drill.language)
    if not options.audio:
        return _live(drill, seed, engine, options)

    def scored(path: Path) -> Scored:
        from rehearse.hear.recording import Recording
        from rehearse.session.drilled import drilled

        result = drilled(drill, seed, Recording(path), engine, level)
        return result, (("Recording", path.name),)

    return _each(options.audio, scored, options)


def _calm(path: Path | None) -> Measured:
    """The level of a calm reading that was recorded. Raises RehearseError when it is no use."""
    if path is None:
        return NO_BASELINE
    from rehearse.hear.recording import Recording
    from rehearse.hear.voice import SileroVoice
    from rehearse.session.calm import measure

    level = measure(Recording(path), SileroVoice()).level
    if level.value is None:
        raise RehearseError(f"{path}: {level.void}; record the calm reading again")
    return level


def _seed(options: argparse.Namespace) -> int:
    """The seed asked for, or a new one; it is shown, so that it can be given again."""
    if options.audio and options.seed is None:
        raise RehearseError("drill: --seed: recordings answer a known drill; give its seed")
    seed: int = secrets.randbelow(MOST_SEEDS) if options.seed is None else options.seed
    if not options.json:
        say(f"seed {seed}")
    return seed


def _list() -> int:
    """Every drill there is, and what is wrong with the other files."""
    stock = drill_stock()
    width = max((len(drill.id) for drill in stock.drills), default=0)
    for drill in stock.drills:
        positions = f" ({', '.join(drill.positions)})" if drill.positions else ""
        told = clean(f"{drill.title}{positions}")
        for line in wrapped(told, f"{drill.id:{width}}  ", " " * (width + 2)):
            print(line)
    for error in stock.broken:
        complain(error)
    return UNUSABLE if stock.broken else PASSED


def _each(
    paths: Sequence[Path], scored: Callable[[Path], Scored], options: argparse.Namespace
) -> int:
    """Scores each input and shows what became of it; one that cannot be used stops no other."""
    telling = Telling(options.json, options.pictures)
    status = PASSED
    for path in paths:
        try:
            with waiting(f"scoring {path}"):
                result, facts = scored(path)
            telling.show(path, result, facts)
        except RehearseError as error:
            if options.debug:
                traceback.print_exception(error)
            telling.refuse(path, error)
            status = UNUSABLE
            continue
        status = max(status, PASSED if result.passed else NOT_PASSED)
    return status


def _from_take(path: Path) -> Scored:
    from rehearse.session.drill_past import result_in
    from rehearse.session.drill_score import facts_of, scored

    take = DrillTake.open(path)
    if take.sound_path is not None:
        return scored(take), facts_of(take)
    complain(f"{path}: its sound has been deleted; this is the result that was kept")
    return result_in(take), facts_of(take)


def _live(drill: Drill, seed: int, engine: Engine, options: argparse.Namespace) -> int:
    from rehearse.session.drill_score import facts_of, keep_picture, keep_result, scored
    from rehearse.session.drilling import Performance, drill_live
    from rehearse.session.reading import read_aloud

    choices = devices(options)
    performance = Performance(drill, seed, options.person)
    show = _unseen if options.json else PracticeView()
    take = drill_live(performance, engine, choices, show=show, tell=complain)
    result = scored(take, lambda: engine.readers)
    keep_result(take, result)
    if options.no_sound and take.sound_path is not None:
        take.sound_path.unlink()
    words = debrief(result, drill.language)
    show(PromptStarted(0.0, words, Purpose.DEBRIEF.value))
    read_aloud([words], drill.language, choices, complain)
    Telling(options.json, options.pictures).show(take.folder, result, facts_of(take))
    try:
        drawn = f"; its picture: {keep_picture(take, result)}"
    except RehearseError as error:  # the drill itself is kept
        drawn = ""
        complain(error)
    if not options.json:
        notice(f"Kept in {take.folder}{drawn}")
    if result.calm.value is None:
        complain("no level is over your calm voice; read it in: 'rehearse drill --baseline'")
    return PASSED if result.passed else NOT_PASSED


def _unseen(_event: object) -> None:
    """Nothing but JSON may be printed."""
