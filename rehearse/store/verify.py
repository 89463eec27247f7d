"""Whether every chain is as it was written, and if not, the first row that is not.

Rows are streamed, so memory stays flat; nothing personal is read in clear, so no key is needed.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, Table, select, text, union_all

from rehearse.store import pins, tables
from rehearse.store.canonical import from_text, salted_digest
from rehearse.store.chain import HASHES, START
from rehearse.store.values import Fault, Head, Verification

_AT_ONCE = 2000
_TICK = tables.ENVELOPE.index("tick")
_TOLD_EVERY = 10_000

Progress = Callable[[int], None]  # told the number of rows read so far
Values = Sequence[Any]


def verify(
    connection: Connection,
    known: Sequence[Head] = (),
    progress: Progress = lambda _rows: None,
) -> Verification:
    """Read every chain and compare it with its hashes, its signatures and the known heads.

    known: heads that were printed or exported before; with one, a cut-off tail is found too.
    """
    found = _Found(connection, progress)
    stored = {row["station"]: row for row in connection.execute(select(tables.head)).mappings()}
    names = _stations(connection) | stored.keys() | {head.station for head in known}
    heads: list[Head] = []
    fault = None
    for station in sorted(names, key=str):
        chain = _Chain(station, found, {h.number: h.hash for h in known if h.station == station})
        fault = chain.read() or chain.ended(stored.get(station))
        if fault is not None:
            break
        heads.append(Head(station, chain.number, chain.hash.hex()))
    fault = fault or _stray_content(connection)
    return Verification(fault, found.rows, found.contents, found.signatures, tuple(heads))


@dataclass
class _Found:
    """What was read so far, and what the whole store needs to be judged by."""

    connection: Connection
    progress: Progress
    rows: int = 0
    contents: int = 0
    signatures: int = 0
    keys: dict[str, bytes | None] = field(default_factory=dict)

    def public_key(self, credential: str) -> bytes | None:
        """The key that goes with this credential."""
        if credential not in self.keys:
            table = tables.credential
            wanted = select(table.c.public_key).where(table.c.id == credential)
            self.keys[credential] = self.connection.scalar(wanted)
        return self.keys[credential]


@dataclass
class _Chain:
    """One station's chain as it is read."""

    station: str
    found: _Found
    known: Mapping[int, str]
    number: int = 0
    tick: int = 0
    hash: bytes = START
    table: str = "head"
    correction: str = ""  # an overrule after the seal whose signature must come next
    signed: tuple[str, frozenset[str]] = ("", frozenset())  # the last signature, what it seals
    waiting: dict[str, tuple[Table, int, bytes]] = field(default_factory=dict)

    def read(self) -> Fault | None:
        """The first fault in the chain's rows, or None."""
        try:
            fault = self._rows()
        except (TypeError, ValueError, AttributeError, KeyError):
            fault = self._fault(self.number + 1, "holds a value that was never written")
        if fault is None and self.correction:
            fault = self._fault(self.number, "a correction without its signature")
        self.found.rows += self.number
        # Contents are compared in lots, and may come to light before a fault of a later row.
        return self._contents() or fault

    def _rows(self) -> Fault | None:
        ways = [(HASHES[t.name].of_values, t.name in _LOOKED_INTO, t) for t in tables.CHAINED]
        for number, place, row in heapq.merge(*self._streams()):
            hash_of, looked_into, table = ways[place]
            self.table = table.name
            tick, previous, digest = row[_TICK], row[-2], row[-1]
            follows = number == self.number + 1 and previous == self.hash and tick > self.tick
            if not follows or hash_of(row) != digest:
                return self._broken(number, previous)
            self.number, self.tick, self.hash = number, tick, digest
            if looked_into or self.correction or number in self.known:
                fault = self._look_into(table, number, row)
                if fault is not None:
                    return fault
            if not number % _TOLD_EVERY:
                self.found.progress(self.found.rows + number)
        return None

    def _broken(self, number: int, previous: bytes) -> Fault:
        """Why the row with this number does not continue the chain."""
        if number <= self.number:
            return self._fault(number, "was inserted: another row has this number")
        if number != self.number + 1:
            return self._fault(self.number + 1, f"is missing: the next row is {number}")
        if previous != self.hash:
            return self._fault(number, "does not follow the row before it")
        return self._fault(number, "was changed")

    def _streams(self) -> list[Iterator[tuple[int, int, Values]]]:
        return [self._stream(place, table) for place, table in enumerate(tables.CHAINED)]

    def _stream(self, place: int, table: Table) -> Iterator[tuple[int, int, Values]]:
        columns = HASHES[table.name].columns
        at = columns.index("number")
        # Plain SQL, so that values come as they lie there, not as a column type reads them.
        wanted = text(
            f"SELECT {', '.join(map(_quoted, columns))} FROM {table.name} "  # noqa: S608 - own names
            "WHERE station = :station ORDER BY number"
        )
        rows = self.found.connection.execute(
            wanted, {"station": self.station}, execution_options={"stream_results": True}
        )
        for some in rows.partitions(_AT_ONCE):
            for row in some:
                yield row[at], place, row

    def _look_into(self, table: Table, number: int, row: Values) -> Fault | None:
        if self.known.get(number, self.hash.hex()) != self.hash.hex():
            return self._fault(number, "is not the row of the known head: the chain was rewritten")
        at = _PLACES[table.name]
        if table is tables.signature:
            return self._signature(number, dict(zip(at, row, strict=True)))
        if self.correction:
            return self._fault(number - 1, "a correction without its signature")
        if table is tables.seal:
            signature, results = self.signed
            named = row[at["signature"]] == signature and row[at["result"]] in results
            if row[at["signature"]] is not None and not named:
                return self._fault(number, "seals what its signature does not name")
        elif table is tables.overrule and row[at["after_seal"]]:
            self.correction = row[at["id"]]
        elif "digest" in at:
            self.waiting[row[at["id"]]] = (table, number, row[at["digest"]])
            if len(self.waiting) >= _AT_ONCE // 4:
                return self._contents()
        return None

    def _signature(self, number: int, row: Mapping[str, Any]) -> Fault | None:
        self.found.signatures += 1
        statement = from_text(row["statement"])
        public = self.found.public_key(row["credential"])
        if public is None or not pins.is_signed(public, row["value"], row["statement"].encode()):
            return self._fault(number, "the signature is not its signer's")
        if statement["head"] != str(Head(self.station, number - 1, row["previous"].hex())):
            return self._fault(number, "the rows before the signature are not those it signed")
        for table, name in ((tables.result, "results"), (tables.overrule, "overrules")):
            for signed, digest in statement[name]:
                # The head that was signed vouches for the rows of the station's own chain.
                own = signed.rpartition("-")[0] == self.station
                if not own and self._hash_of(table, signed) != digest:
                    return self._fault(number, f"{signed} is not as it was signed")
        if self.correction and self.correction not in dict(statement["overrules"]):
            return self._fault(number - 1, "a correction without its signature")
        self.correction = ""
        self.signed = (row["id"], frozenset(dict(statement["results"])))
        return None

    def _hash_of(self, table: Table, row: str) -> str | None:
        digest = self.found.connection.scalar(select(table.c.hash).where(table.c.id == row))
        return None if digest is None else digest.hex()

    def _contents(self) -> Fault | None:
        """Compare the contents that wait with their digests; the first fault or None."""
        waiting, self.waiting = self.waiting, {}
        if not waiting:
            return None
        connection, content, erasure = self.found.connection, tables.content, tables.erasure
        kept = {
            row["id"]: row
            for row in connection.execute(
                select(content).where(content.c.id.in_(waiting))
            ).mappings()
        }
        erased = set(
            connection.scalars(select(erasure.c.content).where(erasure.c.content.in_(waiting)))
        )
        for row, (table, number, digest) in waiting.items():
            why = _content_fault(kept.get(row), digest, erased=row in erased)
            if why:
                return Fault(table.name, self.station, number, why)
        self.found.contents += len(kept)
        return None

    def ended(self, stored: Any) -> Fault | None:  # noqa: ANN401 - a row of the table of heads
        """A fault at the chain's end: a tail that was cut off, or a head that is not its end."""
        beyond = max((number for number in self.known if number > self.number), default=0)
        if stored is not None:
            beyond = max(beyond, stored["number"] if stored["number"] > self.number else 0)
        if beyond:
            why = f"is missing: the chain was cut off, it had {beyond} rows"
            return Fault("head", self.station, self.number + 1, why)
        mine = (self.number, self.tick, self.hash)
        if stored is None or (stored["number"], stored["tick"], stored["hash"]) != mine:
            return Fault("head", self.station, self.number, "the head is not the chain's last row")
        return None

    def _fault(self, number: int, why: str) -> Fault:
        return Fault(self.table, self.station, number, why)


_PLACES = {
    name: {column: at for at, column in enumerate(hashes.columns)}
    for name, hashes in HASHES.items()
}
_LOOKED_INTO = frozenset(
    table.name for table in (*tables.WITH_CONTENT, tables.signature, tables.seal, tables.overrule)
)


def _content_fault(kept: Any, digest: bytes, *, erased: bool) -> str:  # noqa: ANN401 - a row
    if kept is None:
        return "" if erased else "its personal content was deleted without an erasure"
    if erased:
        return "its personal content was erased, and is back"
    if salted_digest(kept["salt"], kept["kind"], kept["key"], kept["body"]) != digest:
        return "its personal content was changed"
    return ""


def _stations(connection: Connection) -> set[str]:
    wanted = union_all(*(select(table.c.station).distinct() for table in tables.CHAINED))
    return set(connection.scalars(wanted))


def _stray_content(connection: Connection) -> Fault | None:
    owned = union_all(*(select(table.c.id) for table in tables.WITH_CONTENT))
    wanted = select(tables.content.c.id).where(tables.content.c.id.not_in(owned)).limit(1)
    stray = connection.scalar(wanted)
    if stray is None:
        return None
    return Fault("content", str(stray).rpartition("-")[0], 0, f"{stray}: was inserted")


def _quoted(name: str) -> str:
    return f'"{name}"'
