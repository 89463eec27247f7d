"""One drill file in, one `Drill` out, or every fault of the file at once."""

from __future__ import annotations

import re
from pathlib import Path

from rehearse.book.beside import DRILLS
from rehearse.book.faults import Faults
from rehearse.book.fields import is_position
from rehearse.book.lexicon import NAME as LEXICON
from rehearse.book.lexicon import beside
from rehearse.book.model import Revision
from rehearse.book.nodes import Items, Keys, Node, Scalar, read_tree
from rehearse.drill.files.draft import AnswerDraft, BranchDraft, DrillDraft, StageDraft, stage_draft
from rehearse.drill.files.keys import DRILL
from rehearse.drill.files.relations import check
from rehearse.drill.files.steps import Steps
from rehearse.drill.model import Answer, Branch, Cue, Drill, Role, Stage, Window
from rehearse.errors import ShelfError
from rehearse.language.additions import Additions
from rehearse.register.entries import read_entry
from rehearse.register.references import ME, Place, filled

AT_ONCE = Window(0.0, 0.0)


# Keys whose texts may refer to the register.
REFERRING = frozenset({"say", "also", "never", "says", "name"})
_MY_DOOR = re.compile(rf"\{{\s*[a-z]+\s+of\s+{ME}\b")


def read_drill(path: Path, position: str = "") -> Drill:
    """The drill in the file, for one crew position.

    position: in whatever case; "" for the first of the file's, if its words depend on it.

    Raises:
        ShelfError: this is no position, or the drill is not for it.
        BookError: the file, a procedure that it names, or the lexicon of the folder cannot be
            read or has faults; `problems` holds all of them.
    """
    return as_drill(read_draft(path, position))


def read_draft(path: Path, position: str = "") -> DrillDraft:
    """The same before it is made values, with the places of its entries. Raises as `read_drill`."""
    if position and not is_position(position.upper()):
        raise ShelfError(f"'{position}' is not a crew position; write one as C4")
    faults = Faults(path)
    text, node = read_tree(path, faults)
    who = _whose(position, node, text, path)
    place = Place(REFERRING, procedures_of(path), who)
    top = read_entry(filled(node, text, faults, place), "", DRILL, faults)
    steps = Steps(procedures_of(path), top.one("language"), faults)
    stages = tuple(stage_draft(stage, steps, faults) for stage in top.entries("stages"))
    check(top, stages, faults)
    if faults:
        raise faults.error()
    return DrillDraft(top, stages, who, path)


def _whose(position: str, node: Node, text: str, path: Path) -> str:
    """The position that the file is read for; "" when its words do not depend on it."""
    listed = _positions(node)
    if not position:
        return listed[0] if listed and _MY_DOOR.search(text) else ""
    if listed and position.upper() not in listed:
        known = ", ".join(listed)
        raise ShelfError(f"{path.stem} is no drill of position '{position}'; it is for {known}")
    return position.upper()


def _positions(node: Node) -> tuple[str, ...]:
    """The positions that the file names; nothing is told."""
    for key, value in node.entries if isinstance(node, Keys) else ():
        if key.text == "positions" and isinstance(value, Items):
            named = [each.text for each in value.items if isinstance(each, Scalar)]
            return tuple(filter(is_position, named))
    return ()


def procedures_of(path: Path) -> Path:
    """The folder of the procedures that a drill file belongs to."""
    folder = path.parent
    return folder.parent if folder.name == DRILLS else folder


def _lexicon(path: Path, language: str) -> Additions:
    """The operator's words: beside the file as in a take, else of the procedures."""
    here = path if (path.parent / LEXICON).exists() else procedures_of(path) / path.name
    return beside(here, language)


def as_drill(draft: DrillDraft) -> Drill:
    """The draft as values; only a file without faults is complete enough.

    Raises:
        BookError: the lexicon of the folder has faults.
    """
    top = draft.top
    revision = top.inner("revision")
    return Drill(
        id=top.one("drill"),
        title=top.one("title"),
        aircraft=top.one("aircraft"),
        language=top.one("language"),
        revision=Revision(
            revision.one("number"), revision.one("effective"), revision.one("source")
        ),
        stages=tuple(map(_stage, draft.stages)),
        positions=top.several("positions"),
        cast=tuple(
            Role(role.one("id"), role.one("name"), int(role.one("voice", 1)))
            for role in top.entries("cast")
        ),
        topic=top.one("topic"),
        position=draft.position,
        path=draft.path,
        lexicon=_lexicon(draft.path, top.one("language")),
    )


def _stage(stage: StageDraft) -> Stage:
    found, cue = stage.found, stage.found.inner("cue")
    return Stage(
        id=stage.id,
        cue=Cue(
            cue.one("sound"),
            cue.one("holds", None),
            cue.one("role"),
            cue.one("says"),
            cue.one("wait", AT_ONCE),
        ),
        answers=tuple(map(_answer, stage.answers)),
        then=tuple(map(_branch, stage.then)),
        silences=found.several("silences"),
        stop_within=found.one("grace", Stage.stop_within),
        never=tuple(dict.fromkeys(placed.value for placed in stage.never)),
        gives_up=found.one("until", Stage.gives_up),
    )


def _answer(answer: AnswerDraft) -> Answer:
    found, step = answer.found, answer.step
    say, *also = (placed.value for placed in answer.wordings)
    return Answer(
        id=answer.id,
        say=say,
        also=tuple(also),
        command=found.one("command", True) if step is None else step.command,
        critical=found.one("critical", True if step is None else step.critical),
        within=found.one("within", None),
        every=found.one("every", None),
        lasts=found.one("lasts", 0.0),
        louder=found.one("louder", None),
        calmer=found.one("calmer", None),
    )


def _branch(branch: BranchDraft) -> Branch:
    return Branch(branch.to, branch.on, branch.found.one("chance", 1.0))
