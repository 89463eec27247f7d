"""The machine, its room and its sound devices examined: `doctor`."""

from __future__ import annotations

import argparse

from rehearse.cli.common import PASSED, UNUSABLE, Commands, add, complain, device, say
from rehearse.screen import SCREEN, waiting


def add_commands(commands: Commands) -> None:
    """Everything that can be typed of this family."""
    command = add(commands, "doctor", "What is fine on this machine, what is not, and the mend.")
    instead = command.add_mutually_exclusive_group()
    instead.add_argument(
        "--room",
        action="store_true",
        help="measure the room, your voice and the devices in a guided half minute, and keep it",
    )
    instead.add_argument(
        "--bench",
        action="store_true",
        help="measure delay, share of real time and memory instead, in about a minute",
    )
    command.add_argument("--microphone", metavar="NAME", help="an input device other than default")
    command.add_argument("--loudspeaker", metavar="NAME", help="an output device, likewise")
    command.set_defaults(run=_doctor)


def _doctor(options: argparse.Namespace) -> int:
    if options.bench:
        return _bench()
    return _room(options) if options.room else _examine(options)


def _examine(options: argparse.Namespace) -> int:
    from rehearse.session.doctor import State, examine
    from rehearse.session.probes import probes_of
    from rehearse.session.quiet import libraries_quiet

    with libraries_quiet(), waiting("examining") as told:
        probes = probes_of(device(options.microphone), device(options.loudspeaker))
        findings = examine(probes, before=lambda name: told(f"examining: {name}"))
    width = max(len(finding.name) for finding in findings)
    for finding in findings:
        SCREEN.print(f"{finding.state.value:<10}{finding.name:<{width}}  {finding.sentence}")
        if finding.mend:
            SCREEN.print(f"{'':<10}{'':<{width}}  mend: {finding.mend}")
    return UNUSABLE if any(f.state is State.BROKEN for f in findings) else PASSED


def _bench() -> int:
    from rehearse.session.bench import bench

    with waiting("measuring") as told:
        lines = bench(told)
    for line in lines:
        print(line)
    return PASSED


def _room(options: argparse.Namespace) -> int:
    from rehearse.room.advice import advice, setting
    from rehearse.room.telling import rows
    from rehearse.session.measuring import measure_and_keep
    from rehearse.session.quiet import libraries_quiet

    chosen = device(options.microphone), device(options.loudspeaker)
    with libraries_quiet():
        profile, latency = measure_and_keep(*chosen, show=_shown, tell=complain)
    say("")
    table = rows(profile, latency)
    width = max(len(name) for name, _ in table)
    for name, figure in table:
        say(f"{name:<{width}}  {figure}")
    say("")
    for each in advice(profile):
        say(each.text)
    if not advice(profile):
        say("There is nothing to change.")
    say(setting(profile))
    kept_for = " and ".join(name for name in (profile.microphone, profile.loudspeaker) if name)
    say(f"Kept for {kept_for}.")
    return PASSED


def _shown(sentence: str) -> None:
    """At once: whoever is guided reads along."""
    say(sentence)
    SCREEN.file.flush()
