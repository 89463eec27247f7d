"""Says its first argument aloud, as a program of its own; prints the events as JSON lines.

With a second argument, a number, it falls silent that many seconds after the prompt began.
"""

from __future__ import annotations

import json
import sys
import time

from rehearse.events import PromptEnded, PromptStarted, to_json
from rehearse.speak.player import Loudspeaker
from rehearse.speak.speaker import Speaker
from rehearse.speak.voice import Voice

events: list[PromptStarted | PromptEnded] = []
voice = Voice()
speaker = Speaker(voice, Loudspeaker(), time.monotonic, events.append)
sound = speaker.render(sys.argv[1])
speaker.say(sys.argv[1], "test")
stopped = None
while speaker.busy:
    time.sleep(0.005)
    if len(sys.argv) > 2 and stopped is None and events:
        time.sleep(float(sys.argv[2]))
        stopped = time.monotonic()
        speaker.stop()
speaker.close()
voice.close()
lines = [
    *map(to_json, events),
    {"seconds": sound.seconds, "stopped": stopped, "trouble": speaker.trouble},
]
sys.stdout.writelines(json.dumps(line) + "\n" for line in lines)
