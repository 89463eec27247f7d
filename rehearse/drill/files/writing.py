"""A drill written out as a file that reads back as the same drill and needs no other file.

An answer that has the words of a procedure's step gets them here, so that a take is scored later
as it was heard, whatever becomes of the procedure.
"""

from __future__ import annotations

from typing import Any

import yaml

from rehearse.drill.model import Answer, Branch, Cue, Drill, Role, Stage, Window

_WIDTH = 98

Row = dict[str, Any]


def written(drill: Drill) -> str:
    """The text of the drill's file."""
    revision = drill.revision
    row = {
        "drill": drill.id,
        "title": drill.title,
        "aircraft": drill.aircraft,
        "language": drill.language,
        "revision": {
            "number": revision.number,
            "effective": revision.effective,
            "source": revision.source,
        },
        "positions": list(drill.positions),
        "topic": drill.topic,
        "cast": [_role(role) for role in drill.cast],
        "stages": [_stage(stage) for stage in drill.stages],
    }
    return yaml.safe_dump(_there(row), allow_unicode=True, sort_keys=False, width=_WIDTH)


def _plain(text: str) -> str:
    """A text of a file, in which a brace stands twice: a single one begins a reference."""
    return text.replace("{", "{{").replace("}", "}}")


def _there(row: Row) -> Row:
    """Without what is left out of a file: nothing, no text, no entries."""
    return {key: value for key, value in row.items() if value not in (None, "", [])}


def _role(role: Role) -> Row:
    return {"id": role.id, "name": _plain(role.name), "voice": role.voice}


def _stage(stage: Stage) -> Row:
    return _there(
        {
            "id": stage.id,
            "cue": _cue(stage.cue),
            "answers": [_answer(answer) for answer in stage.answers],
            "never": list(map(_plain, stage.never)),
            "silences": list(stage.silences),
            "grace": stage.stop_within,
            "until": stage.gives_up,
            "then": [_branch(branch) for branch in stage.then],
        }
    )


def _cue(cue: Cue) -> Row:
    return _there(
        {
            "sound": cue.sound,
            "holds": cue.holds,
            "role": cue.role,
            "says": _plain(cue.says),
            "wait": _window(cue.wait),
        }
    )


def _window(window: Window) -> float | list[float]:
    return window.low if window.low == window.high else [window.low, window.high]


def _answer(answer: Answer) -> Row:
    return _there(
        {
            "id": answer.id,
            "say": _plain(answer.say),
            "also": list(map(_plain, answer.also)),
            "command": answer.command,
            "critical": answer.critical,
            "within": answer.within,
            "every": answer.every,
            "lasts": answer.lasts or None,
            "louder": answer.louder,
            "calmer": answer.calmer,
        }
    )


def _branch(branch: Branch) -> Row:
    return {"to": branch.to, "if": [outcome.value for outcome in branch.on],
            "chance": branch.chance}  # fmt: skip
