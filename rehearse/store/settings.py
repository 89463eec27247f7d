"""The store's settings: those of the operator, in the chain, and those of this store alone."""

from __future__ import annotations

from typing import TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy import Connection, delete, insert, select

from rehearse.store import tables
from rehearse.store.canonical import from_text
from rehearse.store.mishaps import DamagedError, NotAcceptedError

ZONE = "zone"
STATION = "station"

_Value = TypeVar("_Value")


def setting(connection: Connection, name: str, default: _Value) -> _Value:
    """The operator's setting that holds now."""
    table = tables.setting
    wanted = (
        select(table.c.value)
        .where(table.c.name == name)
        .order_by(table.c.tick.desc(), table.c.station)
        .limit(1)
    )
    text = connection.scalar(wanted)
    if text is None:
        return default
    value: _Value = from_text(text)
    return value


def zone_of(name: str) -> ZoneInfo:
    """The time zone with this IANA name.

    Raises:
        NotAcceptedError: there is none.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise NotAcceptedError(
            f"{name}: no time zone; write an IANA name such as Europe/Lisbon"
        ) from None


def station_of(connection: Connection) -> str:
    """The name under which this store writes.

    Raises:
        DamagedError: it has none.
    """
    wanted = select(tables.local.c.value).where(tables.local.c.name == STATION)
    name: str | None = connection.scalar(wanted)
    if name is None:
        raise DamagedError("this store has no station name; restore it from a backup")
    return name


def name_station(connection: Connection, station: str) -> None:
    """Give this store the name under which it writes from now on."""
    connection.execute(delete(tables.local).where(tables.local.c.name == STATION))
    connection.execute(insert(tables.local).values(name=STATION, value=station))
