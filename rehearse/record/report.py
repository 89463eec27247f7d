"""What a report tells, whichever form it takes: the values behind the text and the page. Pure."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import UTC

from rehearse.book.model import Procedure, Step
from rehearse.events import Event
from rehearse.judge.verdict import Extra, Result, StepResult, Verdict
from rehearse.record.take import Header
from rehearse.record.timing import Timing, timing

WORDS = {
    Verdict.SAID: "said",
    Verdict.INCOMPLETE: "incomplete",
    Verdict.WRONG: "wrong",
    Verdict.OUT_OF_ORDER: "out of order",
    Verdict.NOT_SAID: "not said",
    Verdict.UNCLEAR: "unclear",
}

_SHARE_EPSILON = 1e-9  # a share of 0.8 is met by 4 of 5, whatever the arithmetic says


@dataclass(frozen=True)
class Line:
    """One step with what became of it; `number` counts from 1 in the file's order."""

    number: int
    step: Step
    result: StepResult

    @property
    def said(self) -> bool:
        """The step was said rightly and in its place."""
        return self.result.verdict is Verdict.SAID


@dataclass(frozen=True)
class Report:
    """One judged take, ready to be shown.

    name: the take's id, or the file that was scored.
    header: how the take was made; None for a file that was scored without being a take.
    """

    name: str
    procedure: Procedure
    result: Result
    events: tuple[Event, ...]
    header: Header | None = None

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every step in the file's order."""
        return tuple(
            Line(number, step, self.result.step(step.id))
            for number, step in enumerate(self.procedure.steps, 1)
        )

    @property
    def extras(self) -> tuple[Extra, ...]:
        """What was said beyond the steps, dangerous first."""
        return tuple(sorted(self.result.extras, key=lambda extra: not extra.dangerous))

    @property
    def timing(self) -> Timing:
        """How long the attempt took."""
        return timing(self.events)


def tally(report: Report) -> str:
    """How many steps got which verdict: "3 said, 1 wrong"."""
    found = [line.result.verdict for line in report.lines]
    return ", ".join(f"{found.count(v)} {WORDS[v]}" for v in Verdict if v in found)


def outcome(report: Report) -> str:
    """Whether the take passed, in words a heading can carry."""
    return "Passed" if report.result.passed else "Not passed"


def reasons(report: Report) -> tuple[str, ...]:
    """Why it passed or did not, most serious first; each is one short sentence."""
    found = [
        f"Critical step {line.number} is {WORDS[line.result.verdict]}."
        for line in report.lines
        if line.step.critical and not line.said and report.procedure.pass_rule.critical == "all"
    ]
    if any(extra.dangerous for extra in report.extras):
        found.append("Something was said that the procedure forbids.")
    share = report.procedure.pass_rule.share
    said = sum(line.said for line in report.lines)
    if said < share * len(report.lines) - _SHARE_EPSILON:
        found.append(f"{_count_said(report)}, and {share:.0%} are asked for.")
    else:
        found.append(f"{_count_said(report)}; the procedure asks for {_asked(report)}.")
    return (*found, *_late(report))


def _count_said(report: Report) -> str:
    said = sum(line.said for line in report.lines)
    return f"{said} of {len(report.lines)} steps {'is' if said == 1 else 'are'} said"


def _asked(report: Report) -> str:
    rule = report.procedure.pass_rule
    asked = [f"{rule.share:.0%} of them" if rule.share < 1 else "all of them"]
    critical = any(line.step.critical for line in report.lines)
    if critical and rule.critical == "all" and rule.share < 1:
        asked.insert(0, "every critical step")
    if rule.within is not None:
        asked.append(f"no more than {rule.within:g} seconds")
    return " and ".join(asked) if len(asked) < 3 else f"{asked[0]}, {asked[1]} and {asked[2]}"


def _late(report: Report) -> list[str]:
    """What there is to say about a limit of time, measured as the pass rule does, by the steps."""
    within = report.procedure.pass_rule.within
    spans = [
        (line.result.start, line.result.end)
        for line in report.lines
        if line.result.start is not None and line.result.end is not None
    ]
    if within is None or not spans:
        return []
    took = max(end for _, end in spans) - min(start for start, _ in spans)
    found = []
    if took > within:
        found.append(f"The steps took {took:.1f} seconds, and {within:g} are allowed.")
    if report.timing.void:
        found.append("Sound was lost meanwhile, so the time is void.")
    return found


def about(report: Report) -> tuple[tuple[str, str], ...]:
    """What was rehearsed, when and how, as names and values in reading order."""
    procedure = report.procedure
    revision = procedure.revision
    facts = [
        ("Procedure", f"{procedure.title} ({procedure.id})"),
        ("Revision", f"{revision.number}, effective {revision.effective}, {revision.source}"),
        ("Aircraft", procedure.aircraft),
        ("Crew positions", ", ".join(procedure.positions)),
        ("Take", report.name),
    ]
    if report.header is not None:
        started = report.header.started.astimezone(UTC)
        facts += [
            ("Started", f"{started:%Y-%m-%d %H:%M} UTC"),
            ("Heard through", report.header.source),
            ("Level of help", report.header.help),
        ]
    return tuple((name, clean(value)) for name, value in facts if value)


def timing_facts(measured: Timing) -> tuple[tuple[str, str], ...]:
    """The times of a take as names and values; where samples were lost they say so."""
    if measured.first_word is None:
        return (("First word", "nothing was said"),)
    longest = max(measured.gaps, key=lambda gap: gap.silence or 0.0, default=None)
    silence = _seconds(measured.longest_silence)
    if measured.longest_silence and longest is not None and longest.silent_from is not None:
        silence += f", from {clock(longest.silent_from)}"
    pace = "void" if measured.words_per_minute is None else f"{measured.words_per_minute:.0f}"
    facts = [
        ("First word", f"after {_seconds(measured.first_word)}"),
        ("Last word", "void" if measured.last_word is None else f"at {clock(measured.last_word)}"),
        ("From first to last", _seconds(measured.duration)),
        ("Longest silence", silence),
        ("Pace", f"{measured.words} words, {pace} a minute while speaking"),
    ]
    facts += [
        ("Sound lost", f"{lost.seconds:.2f} s at {clock(lost.time)}; times across it are void")
        for lost in measured.lost
    ]
    return tuple(facts)


def _seconds(value: float | None) -> str:
    # Rounded as `clock` rounds, so that one moment never reads as two.
    return "void" if value is None else f"{round(value * 10) / 10:.1f} s"


def clock(seconds: float) -> str:
    """A time in a take as m:ss.t, or h:mm:ss.t from an hour on."""
    tenths = round(max(0.0, seconds) * 10)
    minutes, rest = divmod(tenths, 600)
    hours, minutes = divmod(minutes, 60)
    tail = f"{rest // 10:02d}.{rest % 10}"
    return f"{hours}:{minutes:02d}:{tail}" if hours else f"{minutes}:{tail}"


def clean(text: str) -> str:
    """The text on one line without what could move a cursor or turn the reading direction."""
    spaced = " ".join(text.split())
    return "".join(c for c in spaced if unicodedata.category(c) not in _HIDDEN and c not in _TURNS)


_HIDDEN = {"Cc", "Cs", "Cn", "Co"}
_TURNS = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
