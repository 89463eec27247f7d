"""Both databases, and a store with people in it on either."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest

from tests.store.station import Station, make_station


def _programs() -> Path | None:
    """The newest PostgreSQL server's programs, where Debian or the path has them."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


@pytest.fixture(scope="session")
def postgresql() -> Iterator[Callable[[], str]]:
    """Gives the URL of a fresh, empty database on a throwaway server of our own."""
    programs = _programs()
    if programs is None:
        pytest.skip("no PostgreSQL server programs (initdb) on this machine")
    user = _unprivileged()
    folder = Path(tempfile.mkdtemp(prefix="rehearse-pg-"))
    if user is not None:
        os.chown(folder, user.pw_uid, user.pw_gid)
    environment = {"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8", "HOME": str(folder)}

    def run(*command: str) -> None:
        subprocess.run(
            command,
            check=True,
            capture_output=True,
            cwd=folder,
            env=environment,
            user=None if user is None else user.pw_uid,
            group=None if user is None else user.pw_gid,
        )

    cluster, log = folder / "cluster", folder / "log"
    options = f"-c listen_addresses='' -c unix_socket_directories='{folder}' -c fsync=off"
    run(str(programs / "initdb"), "-D", str(cluster), "-U", "rehearse", "-A", "trust", "--no-sync")
    control = (str(programs / "pg_ctl"), "-D", str(cluster))
    run(*control, "-w", "-o", options, "-l", str(log), "start")
    numbers = count(1)

    def fresh() -> str:
        name = f"records{next(numbers)}"
        run(str(programs / "createdb"), "-h", str(folder), "-U", "rehearse", name)
        return f"postgresql+psycopg://rehearse@/{name}?host={folder}"

    try:
        yield fresh
    finally:
        run(*control, "-m", "immediate", "-w", "stop")
        shutil.rmtree(folder, ignore_errors=True)


def _unprivileged() -> pwd.struct_passwd | None:
    """The server refuses to run as root: then it runs as the user that its package made."""
    if os.geteuid() != 0:
        return None
    try:
        return pwd.getpwnam("postgres")
    except KeyError:
        pytest.skip("root cannot run a PostgreSQL server, and there is no user postgres")


@pytest.fixture(params=["sqlite", "postgresql"])
def fresh_url(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[], str]:
    """Gives the URL of a new database each time: the same tests run on both kinds."""
    if request.param == "postgresql":
        made: Callable[[], str] = request.getfixturevalue("postgresql")
        return made
    numbers = count(1)
    return lambda: f"sqlite:///{tmp_path}/records{next(numbers)}.db"


@pytest.fixture
def station(fresh_url: Callable[[], str]) -> Iterator[Station]:
    """A store with people in it."""
    made = make_station(fresh_url())
    yield made
    made.store.close()


@pytest.fixture
def file_station(tmp_path: Path) -> Iterator[Station]:
    """A store in a SQLite file, for what only files can suffer."""
    made = make_station(f"sqlite:///{tmp_path}/records.db")
    yield made
    made.store.close()
