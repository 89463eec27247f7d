"""What a drill says around its stages, and its cues as they are to be given. Pure."""

from __future__ import annotations

from rehearse.coach.actions import GiveCue
from rehearse.drill.model import Drill
from rehearse.drill.running.spoken import phrases
from rehearse.safety import spoken_notice


def welcome(drill: Drill, *, headset: bool = False) -> str:
    """How the drill begins, the notice included.

    headset: as of the runner; through a loudspeaker nobody is heard while a cue is given.
    """
    words, notice = phrases(drill.language), spoken_notice(drill.language)
    how = words.text("how_headset" if headset else "how_loudspeaker")
    return words.text("welcome", title=drill.title, notice=notice, how=how)


def closing(drill: Drill, why: str) -> str:
    """How the drill ends. why: as in `rehearse.events.Ended`."""
    return phrases(drill.language).text("stopped" if why == "stopped" else "over")


def cue(drill: Drill, stage_id: str) -> GiveCue:
    """The cue of a stage, to be given."""
    given = drill.stage(stage_id).cue
    voices = {role.id: role.voice for role in drill.cast}
    return GiveCue(
        stage_id,
        told(drill, stage_id),
        given.sound,
        given.holds,
        given.says,
        voices.get(given.role, 1),
    )


def told(drill: Drill, stage_id: str) -> str:
    """What the cue of a stage tells, for whoever reads."""
    given = drill.stage(stage_id).cue
    names = {role.id: role.name for role in drill.cast}
    words = f"{names.get(given.role, given.role)}: {given.says}" if given.says else ""
    return ", ".join(filter(None, (given.sound.replace("-", " "), words)))
