"""The report as one HTML page that needs nothing else: no scripts, no files beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources

from jinja2 import Environment, FunctionLoader, StrictUndefined
from markupsafe import Markup

from rehearse import __version__
from rehearse.events import Event, Ghost, Heard, Overflow, PromptStarted, Requested, Restarted
from rehearse.judge.verdict import Extra, Verdict
from rehearse.record.picture import NARROW, WIDE
from rehearse.record.report import (
    WORDS,
    Line,
    Report,
    about,
    clean,
    clock,
    outcome,
    reasons,
    tally,
    timing_facts,
)
from rehearse.record.scene import DANGEROUS, Scene, scene
from rehearse.record.timeline import timeline
from rehearse.record.timing import utterances
from rehearse.record.waveform import Waveform
from rehearse.safety import NOTICE


def page(report: Report, wave: Waveform | None = None) -> str:
    """The page, to be written as UTF-8; without `wave`, or an empty one, no sound is drawn."""
    wave = wave if wave is not None and wave.peaks else None
    shown = scene(report, wave.duration if wave is not None else 0.0)
    sheets = () if _nothing(report, wave) else (WIDE, NARROW)
    template = _environment().get_template("page.html.j2")
    return template.render(
        style=Markup(_part("page.css")),  # noqa: S704  (our own file)
        title=clean(report.procedure.title),
        outcome=outcome(report),
        passed=report.result.passed,
        tally=tally(report),
        reasons=reasons(report),
        notice=NOTICE,
        version=__version__,
        lines=[_line(line) for line in report.lines],
        extras=[_extra(extra) for extra in report.extras],
        lead=_lead(report, shown, wave),
        pictures=[timeline(shown, wave, sheet) for sheet in sheets],
        key=_key(shown),
        has_ghosts=bool(shown.ghosts),
        has_prompts=bool(shown.prompts),
        timing=timing_facts(report.timing),
        about=about(report),
        log=list(_log(report)),
    )


def _environment() -> Environment:
    environment = Environment(
        loader=FunctionLoader(_part), autoescape=True, undefined=StrictUndefined
    )
    environment.filters["clock"] = clock
    environment.filters["u"] = _units
    return environment


def _part(name: str) -> str:
    return resources.files("rehearse.record").joinpath(name).read_text(encoding="utf-8")


def _units(value: float) -> str:
    """A length as short as a tenth of a unit allows."""
    return f"{value:.1f}".removesuffix(".0")


@dataclass(frozen=True)
class _Row:
    """One step as the table shows it."""

    number: int
    kind: str
    word: str
    say: str
    tags: tuple[str, ...]
    heard: str
    start: float | None
    why: str


def _line(line: Line) -> _Row:
    result = line.result
    why = clean(result.why)
    if line.said:
        why = "Corrected: an earlier attempt was not right." if result.corrected else ""
    tags = (("critical", line.step.critical), ("command", line.step.command))
    return _Row(
        number=line.number,
        kind=result.verdict.value,
        word=WORDS[result.verdict],
        say=clean(line.step.say),
        tags=tuple(name for name, holds in tags if holds),
        heard=clean(result.heard),
        start=result.start,
        why=why,
    )


def _extra(extra: Extra) -> Extra:
    return Extra(clean(extra.heard), extra.dangerous, clean(extra.why), extra.start, extra.end)


def _nothing(report: Report, wave: Waveform | None) -> bool:
    return not report.events and wave is None


def _lead(report: Report, shown: Scene, wave: Waveform | None) -> str:
    """What the picture shows and what it cannot."""
    if _nothing(report, wave):
        return "Nothing happened in this take."
    sound = "" if wave is not None else " There is no sound to show, so shading stands for speech."
    absent = [line.number for line in report.lines if line.result.start is None]
    if not absent:
        return f"{clock(shown.end)} of the take.{sound}"
    steps = "Step" if len(absent) == 1 else "Steps"
    named = ", ".join(str(number) for number in absent)
    verb = "is" if len(absent) == 1 else "are"
    return f"{clock(shown.end)} of the take.{sound} {steps} {named} {verb} nowhere in it."


def _key(shown: Scene) -> list[tuple[str, str]]:
    """The kinds of bar that occur, with their words."""
    kinds = {judgement.kind for judgement in shown.judgements}
    key = [(verdict.value, WORDS[verdict]) for verdict in Verdict if verdict.value in kinds]
    return key + ([(DANGEROUS, DANGEROUS)] if DANGEROUS in kinds else [])


@dataclass(frozen=True)
class _Entry:
    """One line of everything that was said."""

    time: float
    who: str
    text: str
    kind: str
    note: str = ""


def _log(report: Report) -> Iterator[_Entry]:
    counted = frozenset(utterances(report.events))
    entries = [entry for event in report.events if (entry := _entry(event, counted)) is not None]
    yield from sorted(entries, key=lambda entry: entry.time)


def _entry(event: Event, counted: frozenset[Heard]) -> _Entry | None:
    match event:
        case Heard():
            note = "" if event in counted else "not counted"
            return _Entry(event.start, "trainee", clean(event.text), "trainee", note)
        case Requested():
            return _Entry(event.time, "trainee", clean(event.text), "trainee", "a request")
        case Ghost():
            return _Entry(event.start, "nobody", clean(event.text), "ghost", clean(event.why))
        case PromptStarted():
            return _Entry(event.time, "tool", clean(event.text), "tool", clean(event.purpose))
    return _remark(event)


def _remark(event: Event) -> _Entry | None:
    match event:
        case Restarted():
            return _Entry(event.time, "trainee", "Started over.", "remark")
        case Overflow():
            return _Entry(event.time, "device", f"{event.seconds:.2f} s of sound lost.", "remark")
    return None
