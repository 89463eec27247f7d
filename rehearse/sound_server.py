"""Which device a sound server puts behind a name such as "default".

PortAudio sees a sound server as one device, whatever is plugged in. What is remembered of a device
must be that of the headset or the loudspeaker itself.
"""

from __future__ import annotations

import os
import subprocess
from typing import Literal

_ALIASES = {"default", "pulse", "pipewire", "sysdefault"}
_PATIENCE = 3.0  # seconds for a sound server to answer


def behind(name: str, kind: Literal["source", "sink"]) -> str:
    """The name with the server's own default device behind it, or the name where there is none.

    name: as PortAudio has it. kind: "source" for a microphone, "sink" for a loudspeaker.
    """
    if name not in _ALIASES:
        return name
    device = os.environ.get(f"PULSE_{kind.upper()}") or _asked(kind)
    return f"{name} ({device})" if device else name


def _asked(kind: str) -> str:
    try:
        answer = subprocess.run(
            ["pactl", f"get-default-{kind}"],
            capture_output=True,
            text=True,
            timeout=_PATIENCE,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return ""
    return answer.stdout.strip() if answer.returncode == 0 else ""
