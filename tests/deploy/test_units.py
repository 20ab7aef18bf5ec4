"""The systemd units: hardened, at one about paths, and as systemd wants them."""

import shutil
import subprocess

import pytest

from bot.channels import serving
from tests.deploy import files

HARDENED = {
    "CapabilityBoundingSet": "",
    "MemoryDenyWriteExecute": "yes",
    "NoNewPrivileges": "yes",
    "PrivateDevices": "yes",
    "PrivateTmp": "yes",
    "PrivateUsers": "yes",
    "ProtectHome": "yes",
    "ProtectKernelTunables": "yes",
    "ProtectProc": "invisible",
    "ProtectSystem": "strict",
    "RestrictAddressFamilies": "AF_INET AF_INET6 AF_UNIX",
    "RestrictNamespaces": "yes",
    "RestrictSUIDSGID": "yes",
    "StateDirectory": "ovipost",
    "StateDirectoryMode": "0700",
    "SystemCallArchitectures": "native",
    "UMask": "0077",
    "User": "ovipost",
}
OF_THE_WORK = {  # what one service says otherwise than the next
    "Environment", "ExecStart", "KillSignal", "Nice", "Restart", "RestartSec", "TimeoutStopSec", "Type",
}  # fmt: skip
PROJECT = "/opt/ovipost"
STATE = "/var/lib/ovipost"
SERVING = [path for path in files.SERVICES if "backup" not in path.name]


def name_of(path):
    return path.name


def service(name):
    return files.unit(files.DEPLOY / name)["Service"]


def programs(path):
    """The files that a service starts, as paths in the project."""
    (command,) = files.unit(path)["Service"]["ExecStart"]
    return [word.removeprefix(f"{PROJECT}/") for word in command.split() if word.startswith(PROJECT)]


def test_all_units_are_found():
    assert [path.name for path in files.UNITS] == [
        "ovipost-backup.service",
        "ovipost-backup.timer",
        "ovipost.service",
        "ovipost@.service",
    ]


@pytest.mark.parametrize("path", files.SERVICES, ids=name_of)
def test_a_service_is_hardened(path):
    found = files.unit(path)["Service"]

    assert {key: found.get(key) for key in HARDENED} == {key: [value] for key, value in HARDENED.items()}
    assert found["SystemCallFilter"] == ["@system-service", "~@privileged @resources"]


@pytest.mark.parametrize("path", files.SERVICES, ids=name_of)
def test_the_services_may_all_do_the_same(path):
    of_one = {key: value for key, value in service("ovipost.service").items() if key not in OF_THE_WORK}

    assert {key: value for key, value in files.unit(path)["Service"].items() if key not in OF_THE_WORK} == of_one


@pytest.mark.parametrize("path", files.SERVICES, ids=name_of)
def test_a_service_starts_what_the_project_has(path):
    (program,) = programs(path)

    if program.startswith(".venv/bin/"):
        assert program.removeprefix(".venv/bin/") in files.scripts()
    else:
        assert (files.ROOT / program).stat().st_mode & 0o111


@pytest.mark.parametrize("path", SERVING, ids=name_of)
def test_a_bot_is_stopped_in_peace_and_started_again(path):
    found = files.unit(path)["Service"]

    assert found["KillSignal"] == ["SIGTERM"]
    assert int(found["TimeoutStopSec"][0]) > serving.STOP_WITHIN
    assert found["Restart"] == ["always"]


def test_one_bot_and_its_backup_have_the_same_database_in_the_state_directory():
    place = f"OVIPOST_DB=sqlite:///{STATE}/ovipost.db"

    assert place in service("ovipost.service")["Environment"][0].split()
    assert place in service("ovipost-backup.service")["Environment"][0].split()
    assert service("ovipost-backup.service")["ExecStart"][0].endswith(f" {STATE}/backups")
    assert f"export {place} " in (files.DEPLOY / "care").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", files.SERVICES, ids=name_of)
def test_the_settings_are_one_file(path):
    assert files.unit(path)["Service"]["EnvironmentFile"] == ["/etc/ovipost.env"]
    assert "settings=/etc/ovipost.env\n" in (files.DEPLOY / "care").read_text(encoding="utf-8")


def test_each_worker_has_a_port_of_its_own_whatever_the_shared_settings_say():
    command = service("ovipost@.service")["ExecStart"][0].split()

    assert command[:3] == ["/usr/bin/env", "OVIPOST_PORT=808%i", "OVIPOST_METRICS_PORT=909%i"]
    assert "OVIPOST_DB" not in service("ovipost@.service")["Environment"][0]


def test_the_backup_comes_daily_and_is_made_up_for():
    timer = files.unit(files.DEPLOY / "ovipost-backup.timer")

    assert timer["Timer"]["OnCalendar"] == ["*-*-* 03:30"]
    assert timer["Timer"]["Persistent"] == ["true"]
    assert timer["Install"] == {"WantedBy": ["timers.target"]}
    assert service("ovipost-backup.service")["Type"] == ["oneshot"]


if shutil.which("systemd-analyze"):  # where there is none, the tests above are what there is

    @pytest.mark.parametrize("path", files.UNITS, ids=name_of)
    def test_systemd_has_nothing_to_say_of_a_unit(tmp_path, path):
        for one in files.UNITS:  # all of them: a timer is of a service
            text = one.read_text(encoding="utf-8").replace(f"{PROJECT}/", f"{tmp_path}/")
            (tmp_path / one.name.replace("@.", "@1.")).write_text(text, encoding="utf-8")
        for program in {program for one in files.SERVICES for program in programs(one)}:
            stub = tmp_path / program
            stub.parent.mkdir(parents=True, exist_ok=True)
            stub.write_text("#!/bin/sh\n", encoding="utf-8")
            stub.chmod(0o755)

        verify = ["systemd-analyze", "verify", str(tmp_path / path.name.replace("@.", "@1."))]
        told = subprocess.run(verify, capture_output=True, text=True, check=False)  # noqa: S603

        assert (told.returncode, told.stderr) == (0, "")
