"""Profiles of devices: kept by both names, and minded before a take begins."""

from __future__ import annotations

import json
import stat
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from rehearse.errors import SoundError, StoreError
from rehearse.measured import Measured
from rehearse.room.values import Hum, Profile
from rehearse.session import profiles
from rehearse.session.studio import Choices, minding_devices
from tests.room.profiles import elsewhere, heard, profile

NAMES = ("desk microphone", "ear pieces")


@pytest.fixture(autouse=True)
def own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """A data folder of its own, and the two devices of the profiles."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr(profiles, "names", lambda *_: NAMES)
    return tmp_path / "rehearse" / "rooms.json"


FULL = profile(hum=Hum(50, Measured(-66.0, 0.5)), echo=heard(-40.0))


@pytest.mark.parametrize("found", [FULL, profile(), profile(noise=None, level=None)])
def test_a_profile_comes_back_as_it_was_kept(found: Profile) -> None:
    """A figure that was void would come back as nought, or an error be lost."""
    profiles.keep(found)
    assert profiles.kept(*NAMES) == found


def test_each_pair_of_devices_has_its_own() -> None:
    """The laptop's loudspeaker would pass for the headset."""
    loud = elsewhere(FULL, "desk microphone", "loudspeaker")
    profiles.keep(profile())
    profiles.keep(loud)
    profiles.keep(replace(profile(), measured=datetime(2026, 4, 1, tzinfo=UTC)))
    assert profiles.kept("desk microphone", "loudspeaker") == loud
    newest = profiles.kept(*NAMES)
    assert newest is not None
    assert newest.measured.month == 4
    assert profiles.kept("another", "ear pieces") is None


def test_only_its_owner_may_read_it(own: Path) -> None:
    """How somebody's voice is would lie open to everybody on the computer."""
    profiles.keep(profile())
    assert stat.S_IMODE(own.stat().st_mode) == 0o600


@pytest.mark.parametrize("break_", ["silence", "measured", "echo"])
def test_a_damaged_file_is_named_with_its_mend(own: Path, break_: str) -> None:
    """One line, and nothing is thrown away unasked."""
    profiles.keep(profile())
    rows = json.loads(own.read_text())
    rows[0][break_] = "2026-03-02T09:30:00" if break_ == "measured" else {}
    own.write_text(json.dumps(rows))
    with pytest.raises(StoreError, match=r"rooms\.json.*'rehearse doctor --room'"):
        profiles.kept(*NAMES)
    assert json.loads(own.read_text()) == rows


def minded(headset: bool) -> tuple[bool, list[str]]:
    """Whether the headset is still chosen, and what was told."""
    told: list[str] = []
    return minding_devices(Choices(headset=headset), told.append).headset, told


def test_a_headset_is_taken_back_where_the_tool_hears_itself() -> None:
    """A step that the coach says aloud would be credited to the trainee."""
    profiles.keep(FULL)
    headset, (line,) = minded(headset=True)
    assert not headset
    assert "--headset is left out" in line
    assert "'rehearse doctor --room'" in line


def test_a_headset_is_never_chosen_by_a_profile() -> None:
    """Whoever has put the headphones down would be heard together with the tool."""
    profiles.keep(profile())
    assert minded(headset=False) == (False, [])
    assert minded(headset=True) == (True, [])


def test_what_spoils_verdicts_is_told_before_a_take() -> None:
    """An instructor would hold a check in a room in which half of it is left unclear."""
    profiles.keep(profile(noise=-38.0, peak=-9.0))
    _, (line,) = minded(headset=False)
    assert "must be said again" in line
    assert "measured" in line


def test_without_a_profile_all_is_as_chosen() -> None:
    """A new user would be kept from practising until they have measured something."""
    assert minded(headset=True) == (True, [])


def test_a_damaged_file_does_not_stop_a_practice(own: Path) -> None:
    """Nobody could practise because of figures that only give advice."""
    own.parent.mkdir()
    own.write_text("{")
    headset, (line,) = minded(headset=True)
    assert headset
    assert "rooms.json" in line


def test_a_missing_microphone_is_left_to_whoever_opens_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The same fault would be told twice."""

    def missing(*_devices: object) -> tuple[str, str]:
        raise SoundError("no microphone found")

    monkeypatch.setattr(profiles, "names", missing)
    assert minded(headset=True) == (True, [])
