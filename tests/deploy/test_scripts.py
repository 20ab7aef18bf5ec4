"""The scripts of the operation, run where they are copied to: the backup, and a command run as the service does."""

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest

from tests.deploy import files

KEPT = 14
OLD = [f"ovipost-2026-01-{day:02d}T033000Z" for day in range(1, 21)]
POSTGRESQL = "postgresql+psycopg://farm@db.example/ovipost"


@pytest.fixture
def project(tmp_path):
    """A project with the scripts, an `ovipost` that is this one, and a place for commands that others bring."""
    (tmp_path / "deploy").mkdir()
    for name in ("backup", "care"):
        shutil.copy(files.DEPLOY / name, tmp_path / "deploy" / name)
    program(tmp_path / ".venv/bin/ovipost", f'cd {files.ROOT} && exec {sys.executable} -m bot "$@"')
    return tmp_path


def program(path, text):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"#!/bin/sh\n{text}\n", encoding="utf-8")
    path.chmod(0o755)


def run(project, *command, **variables):
    path = {"PATH": f"{project / 'commands'}:{os.environ['PATH']}"}  # noqa: TID251 - handed on, not read
    return subprocess.run(  # noqa: S603
        [project / command[0], *command[1:]],
        env=path | variables,
        capture_output=True,
        text=True,
        check=False,
    )


def ends(folder, ending):
    return sorted(path.name for path in folder.glob(f"*{ending}"))


def test_a_backup_of_sqlite_is_a_sound_database_that_only_its_owner_reads(project, tmp_path):
    url = f"sqlite:///{tmp_path}/farm.db"
    run(project, ".venv/bin/ovipost", "migrate", OVIPOST_DB=url)

    told = run(project, "deploy/backup", str(tmp_path / "kept"), OVIPOST_DB=url)

    assert (told.returncode, told.stderr) == (0, "")
    (name,) = ends(tmp_path / "kept", "")
    assert told.stdout == f"{tmp_path}/kept/{name}\n"
    with closing(sqlite3.connect(tmp_path / "kept" / name)) as copy:
        assert copy.execute("SELECT count(*) FROM alembic_version").fetchone() == (1,)
    assert (tmp_path / "kept" / name).stat().st_mode & 0o077 == 0
    assert (tmp_path / "kept").stat().st_mode & 0o077 == 0


def test_the_newest_are_kept_and_what_is_no_backup_stays(project, tmp_path):
    folder = tmp_path / "kept"
    folder.mkdir()
    for name in OLD:
        (folder / f"{name}.db").touch()
    (folder / "notes.db").touch()
    (folder / f"{OLD[0]}.dump").touch()
    program(project / ".venv/bin/ovipost", 'touch "$2"')

    run(project, "deploy/backup", str(folder))

    new = [name for name in ends(folder, "Z.db") if name.removesuffix(".db") not in OLD]
    assert len(new) == 1
    assert ends(folder, "Z.db") == sorted([f"{name}.db" for name in OLD[-KEPT + 1 :]] + new)
    assert (folder / "notes.db").exists()
    assert (folder / f"{OLD[0]}.dump").exists()


def test_a_backup_that_fails_costs_no_older_one(project, tmp_path):
    folder = tmp_path / "kept"
    folder.mkdir()
    for name in OLD:
        (folder / f"{name}.db").touch()

    told = run(project, "deploy/backup", str(folder), OVIPOST_DB=f"sqlite:///{tmp_path}/nowhere.db")

    assert told.returncode != 0
    assert "there is no database" in told.stderr.lower()
    assert ends(folder, "") == [f"{name}.db" for name in OLD]


def test_postgresql_is_backed_up_by_its_own_tool(project, tmp_path):
    program(project / "commands/pg_dump", 'echo "$*" > "$(dirname "$0")/asked"; touch "${3#--file=}"')

    told = run(project, "deploy/backup", str(tmp_path / "kept"), OVIPOST_DB=POSTGRESQL)

    assert (told.returncode, told.stderr) == (0, "")
    (name,) = ends(tmp_path / "kept", ".dump")
    asked = (project / "commands/asked").read_text(encoding="utf-8")
    assert (
        asked == f"--format=custom --no-owner --file={tmp_path}/kept/{name}.part postgresql://farm@db.example/ovipost\n"
    )
    assert ends(tmp_path / "kept", "") == [name]


def test_a_folder_has_to_be_named(project):
    told = run(project, "deploy/backup")

    assert told.returncode == 2
    assert told.stderr.startswith("usage:")


@pytest.fixture
def cared_for(project, tmp_path):
    """The same with settings, a state directory and somebody to be, of this test instead of the machine's."""
    script = project / "deploy/care"
    text = script.read_text(encoding="utf-8")
    for given, ours in (("settings=/etc/ovipost.env", f"settings={tmp_path}/env"), ("cd /var", f"cd {tmp_path}/var")):
        assert given in text
        text = text.replace(given, ours)
    script.write_text(text, encoding="utf-8")
    (tmp_path / "var/lib/ovipost").mkdir(parents=True)
    program(project / "commands/runuser", 'shift 3; exec "$@"')
    program(project / ".venv/bin/ovipost", 'echo "$OVIPOST_DB|$OVIPOST_OWNERS|$*"; pwd')
    return project


def test_a_command_has_the_settings_of_the_service(cared_for, tmp_path):
    (tmp_path / "env").write_text("# OVIPOST_OWNERS=7\n#OVIPOST_OWNERS=8\nOVIPOST_OWNERS=1,2\nwhatever\n")

    told = run(cared_for, "deploy/care", "restore", "a file", "--overwrite")

    assert (told.returncode, told.stderr) == (0, "")
    assert told.stdout.splitlines() == [
        "sqlite:////var/lib/ovipost/ovipost.db|1,2|restore a file --overwrite",
        f"{tmp_path}/var/lib/ovipost",
    ]


def test_the_shared_settings_have_the_last_word_on_the_database(cared_for, tmp_path):
    (tmp_path / "env").write_text(f"OVIPOST_DB={POSTGRESQL}")  # no line end, as some editors leave it

    assert run(cared_for, "deploy/care", "doctor").stdout.splitlines()[0] == f"{POSTGRESQL}||doctor"
