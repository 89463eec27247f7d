"""A store that an older version made is brought up to date when opened, and still verifies."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import text

from rehearse.errors import StoreError
from rehearse.store import Store, restore
from tests.store.station import PIN, Station, make_station

SUM = "5e" * 32


def _made_by_the_first_version(station: Station) -> None:
    """Take away what later versions added, as if it had never been there."""
    with station.store._desk.database.engine.begin() as connection:
        connection.execute(text("ALTER TABLE result DROP COLUMN procedure_sha256"))
        connection.execute(text("ALTER TABLE second_mark DROP COLUMN asked"))
        connection.execute(text("UPDATE alembic_version SET version_num = '0001'"))
    station.store.close()


def test_an_older_store_is_opened(fresh_url: Callable[[], str]) -> None:
    """Rows of the first version keep their hashes, and new ones name exactly what was asked."""
    station = make_station(fresh_url())
    old = station.check("I1", "T1")
    station.store.signing.sign(station.actor("I1"), [old], PIN)
    head = station.store.head()
    _made_by_the_first_version(station)
    with Store.open(station.url, clock=station.clock) as store:
        assert store.verify([head]).fault is None
        actor = store.sign_in("I1", PIN)
        assert store.results.get(actor, old).result.procedure_sha256 == ""
        new = replace(station.new("I1", "T1"), procedure_sha256=SUM)
        made = store.results.record(actor, new)
        assert made.procedure_sha256 == SUM
        assert store.results.get(actor, made.id).result.procedure_sha256 == SUM
        assert store.verify([head]).fault is None


def test_an_older_backup_is_restored(fresh_url: Callable[[], str], tmp_path: Path) -> None:
    """A backup whose rows lack what came later is whole, and one that lacks more is refused."""
    station = make_station(fresh_url())
    station.check("I1", "T1")
    backup = tmp_path / "backup.jsonl"
    station.store.upkeep.backup(station.actor("A1"), backup, as_text=True)
    station.store.close()
    backup.write_text(backup.read_text("utf-8").replace(',"procedure_sha256":null', ""), "utf-8")
    assert restore(backup, fresh_url(), station="west", clock=station.clock)
    backup.write_text(backup.read_text("utf-8").replace(',"procedure":"arm-door-2l"', ""), "utf-8")
    with pytest.raises(StoreError, match="no row of a record store"):
        restore(backup, fresh_url(), station="north", clock=station.clock)
