"""Says its first argument aloud, as a program of its own; prints the events as JSON lines.

The second argument says how often. With a third, it falls silent that many seconds after the
first prompt began.
"""

from __future__ import annotations

import json
import sys
import time

from rehearse.events import PromptEnded, PromptStarted, to_json
from rehearse.speak.player import Loudspeaker
from rehearse.speak.speaker import Speaker
from rehearse.speak.voice import Voice

text, times, *cut_after = sys.argv[1:]
events: list[PromptStarted | PromptEnded] = []
voice = Voice()
speaker = Speaker(voice, Loudspeaker(), time.monotonic, events.append)
sound = speaker.render(text)
for _ in range(int(times)):
    speaker.say(text, "test")
stopped = None
while speaker.busy:
    time.sleep(0.005)
    if cut_after and stopped is None and events:
        time.sleep(float(cut_after[0]))
        stopped = time.monotonic()
        speaker.stop()
speaker.close()
voice.close()
lines = [
    *map(to_json, events),
    {"seconds": sound.seconds, "stopped": stopped, "trouble": speaker.trouble},
]
sys.stdout.writelines(json.dumps(line) + "\n" for line in lines)
