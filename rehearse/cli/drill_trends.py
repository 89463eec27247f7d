"""What `drill --trends` does: the past drills of a person as text, as JSON, as a picture."""

from __future__ import annotations

import argparse
import json

from rehearse.cli.common import PASSED, UNUSABLE, complain
from rehearse.cli.drill_told import notice
from rehearse.drill.files.shelf import find_drill
from rehearse.drill.shown.document import measured
from rehearse.drill.shown.trends import MEASURES, Series, series, trend
from rehearse.drill.shown.trends_picture import trends_picture
from rehearse.drill.shown.trends_text import trends_text
from rehearse.record.take import takes_folder
from rehearse.safety import NOTICE
from rehearse.screen import waiting

PICTURE = "drills.svg"


def trends(options: argparse.Namespace) -> int:
    """Shows how a person's drills went over time; the exit status."""
    from rehearse.session.drill_past import past
    from rehearse.session.drill_score import write_drawing

    drill = find_drill(options.drill).id if options.drill else ""
    with waiting("reading past drills"):
        found = past(options.takes or takes_folder(), options.person, drill)
    for line in found.left_out:
        complain(line)
    every = series(found.runs)
    if options.pictures is not None:
        write_drawing(options.pictures / PICTURE, trends_picture(found.runs, options.person))
    if options.json:
        for one in every:
            print(json.dumps(_as_json(one), ensure_ascii=False))
    else:
        print(trends_text(found.runs), end="")
    if options.pictures is not None and not options.json:
        notice(f"Drawn: {options.pictures / PICTURE}")
    return UNUSABLE if found.left_out else PASSED


def _as_json(one: Series) -> dict[str, object]:
    return {
        "drill": one.drill,
        "title": one.title,
        "runs": [
            {
                "started": turn.started.isoformat(timespec="seconds"),
                "passed": turn.passed,
                "reaction": measured(turn.reaction),
                "level": measured(turn.level),
                "unevenness": measured(turn.unevenness),
            }
            for turn in one.turns
        ],
        "trends": {
            name: trend(one, measure).value
            for name, measure in zip(("reaction", "level", "unevenness"), MEASURES, strict=True)
        },
        "notice": NOTICE,
    }
