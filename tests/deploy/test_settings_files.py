"""The example of the settings, the compose file and the proxy: at one with the program and with one another."""

import re
import urllib.parse

import pytest

from bot import settings
from bot.channels.telegram import webhook
from tests.deploy import files

EXAMPLE = files.variables(files.DEPLOY / "env.example")
COMPOSE = files.yaml((files.DEPLOY / "compose.yaml").read_text(encoding="utf-8"))
SERVICES = COMPOSE["services"]
PROXY = (files.DEPLOY / "Caddyfile").read_text(encoding="utf-8")
NOT_OURS = {"PGPASSWORD", "DOMAIN"}  # of PostgreSQL's libraries, and of the proxy
DEFAULT_DB = "sqlite:////var/lib/ovipost/ovipost.db"  # of the units: that of the program is in the user's folder
MADE_UP = {
    "telegram_token": "",
    "owners": "",
    "webhook_secret": "",
    "metrics_port": "9090",
    "webhook_url": "https://farm.example/telegram",
}
LARGEST_UPDATE = 1_000_000  # bytes: what is taken however odd it is


def known():
    return {settings.PREFIX + name.upper() for name in settings.Settings.model_fields}


def test_the_example_names_every_setting_and_no_other():
    assert set(EXAMPLE) - NOT_OURS == known()


def test_the_example_says_the_defaults():
    fields = settings.Settings.model_fields
    said = {name: EXAMPLE[settings.PREFIX + name.upper()] for name in fields}
    defaults = {name: f"{field.default:g}" if isinstance(field.default, float) else str(field.default)
                for name, field in fields.items()}  # fmt: skip

    assert said == defaults | MADE_UP | {"db": DEFAULT_DB}


def test_the_example_has_no_secret_and_no_quotes():
    assert {name: EXAMPLE[name] for name in EXAMPLE if name.endswith(("TOKEN", "SECRET", "PASSWORD"))} == {
        "OVIPOST_TELEGRAM_TOKEN": "", "OVIPOST_WEBHOOK_SECRET": "", "PGPASSWORD": "",
    }  # fmt: skip
    assert not any(set(value) & set("\"' #") for value in EXAMPLE.values())


@pytest.mark.parametrize("name", ["Caddyfile", "Containerfile", "backup", "care", "compose.yaml", "setup.sh"])
def test_no_file_names_a_setting_that_there_is_not(name):
    text = (files.DEPLOY / name).read_text(encoding="utf-8")

    assert {found for found in re.findall(r"OVIPOST_[A-Z_]*[A-Z]\b", text) if found != "OVIPOST_WEBHOOK"} <= known()


@pytest.mark.parametrize("path", files.SERVICES, ids=lambda path: path.name)
def test_no_unit_names_a_setting_that_there_is_not(path):
    assert set(re.findall(r"OVIPOST_[A-Z_]+", path.read_text(encoding="utf-8"))) <= known()


@pytest.mark.parametrize("name", SERVICES)
def test_a_container_can_do_little(name):
    found = SERVICES[name]

    assert found["read_only"] is True
    assert found["cap_drop"] == ["ALL"]
    assert found["security_opt"] == ["no-new-privileges:true"]
    assert found["restart"] == "unless-stopped"


def test_only_the_proxy_has_a_right_and_a_port():
    assert [name for name in SERVICES if "ports" in SERVICES[name]] == ["proxy"]
    assert {name: found["cap_add"] for name, found in SERVICES.items() if "cap_add" in found} == {
        "proxy": ["NET_BIND_SERVICE"]
    }


def test_database_and_workers_are_not_root():
    image = (files.DEPLOY / "Containerfile").read_text(encoding="utf-8")

    assert SERVICES["database"]["user"] == "postgres"
    assert "\nUSER ovipost\n" in image
    assert "user" not in SERVICES["worker"]
    uid = re.search(r"--uid (\d+)", image)[1]
    assert f"/var/lib/ovipost:mode=0700,uid={uid}" in SERVICES["worker"]["tmpfs"]


def test_the_database_is_reached_by_the_workers_alone():
    assert COMPOSE["networks"]["inside"] == {"internal": True}
    assert SERVICES["database"]["networks"] == ["inside"]
    assert [name for name, found in SERVICES.items() if "inside" in found["networks"]] == ["database", "worker"]


def test_no_password_stands_in_the_compose_file():
    for name in ("POSTGRES_PASSWORD", "PGPASSWORD"):
        held = [found["environment"][name] for found in SERVICES.values() if name in found["environment"]]
        assert held
        assert all(value.startswith("${PGPASSWORD:?") for value in held)


def test_the_workers_database_is_the_one_that_is_made():
    made = SERVICES["database"]["environment"]
    url = urllib.parse.urlsplit(SERVICES["worker"]["environment"]["OVIPOST_DB"])

    assert url.scheme == "postgresql+psycopg"
    assert (url.username, url.hostname, url.path) == (made["POSTGRES_USER"], "database", f"/{made['POSTGRES_DB']}")
    assert SERVICES["worker"]["depends_on"] == {"database": {"condition": "service_healthy"}}
    assert "--host=127.0.0.1" in SERVICES["database"]["healthcheck"]["test"]  # not the one that is up for the set-up


def test_a_worker_is_asked_on_its_own_port_whether_it_is_well():
    port = SERVICES["worker"]["environment"]["OVIPOST_METRICS_PORT"]
    program, option, asked = SERVICES["worker"]["healthcheck"]["test"][1:]

    assert (program, option) == ("/opt/ovipost/bin/python", "-c")
    assert f"'http://127.0.0.1:{port}/health'" in asked
    assert "python -m venv /opt/ovipost " in (files.DEPLOY / "Containerfile").read_text(encoding="utf-8")


def test_workers_can_be_many():
    assert "container_name" not in SERVICES["worker"]
    assert SERVICES["proxy"]["environment"]["WORKERS"] == f"worker:{SERVICES['worker']['environment']['OVIPOST_PORT']}"


def test_volumes_and_networks_are_declared():
    used = {volume.split(":")[0] for found in SERVICES.values() for volume in found.get("volumes", [])}

    assert {name for name in used if not name.startswith(".")} == set(COMPOSE["volumes"])
    assert {name for found in SERVICES.values() for name in found["networks"]} == set(COMPOSE["networks"])
    assert all((files.DEPLOY / name).exists() for name in used if name.startswith("."))


def test_the_proxy_lets_through_one_path_alone():
    path = urllib.parse.urlsplit(EXAMPLE["OVIPOST_WEBHOOK_URL"]).path

    assert re.findall(r"^\s+path (\S+)$", PROXY, re.MULTILINE) == [path]
    assert re.findall(r"^\s+method (\S+)$", PROXY, re.MULTILINE) == ["POST"]
    assert re.findall(r"^\t(handle.*) \{$", PROXY, re.MULTILINE) == ["handle @telegram", "handle"]
    assert PROXY.rstrip().endswith("handle {\n\t\trespond 404\n\t}\n}")


def test_the_proxy_lets_through_what_the_program_takes_and_not_much_more():
    (allowed,) = re.findall(r"header_regexp Content-Length (\S+)$", PROXY, re.MULTILINE)
    through = [size for size in (0, 3_000, LARGEST_UPDATE, webhook.LARGEST + 1) if re.search(allowed, str(size))]

    assert through == [0, 3_000, LARGEST_UPDATE]
    assert not re.search(allowed, "")


def test_the_proxy_logs_no_secret():
    assert "request>headers delete\n" in PROXY


def test_the_proxy_knows_the_ports_of_the_workers():
    (template,) = files.unit(files.DEPLOY / "ovipost@.service")["Service"]["ExecStart"]
    (prefix,) = re.findall(r"OVIPOST_PORT=(\d+)%i", template)

    assert re.findall(r"\{\$WORKERS:(.+?)\}", PROXY) == [f"127.0.0.1:{prefix}1 127.0.0.1:{prefix}2"]


def test_the_image_is_made_of_nothing_but_what_it_copies():
    image = (files.DEPLOY / "Containerfile").read_text(encoding="utf-8")
    copied = {name for words in re.findall(r"^COPY (?!--from)(.+) \S+$", image, re.MULTILINE) for name in words.split()}
    ignored = (files.ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines()

    assert {line[1:] for line in ignored if line.startswith("!")} == copied
    assert "*" in ignored


def test_the_settings_with_secrets_are_never_committed():
    assert SERVICES["worker"]["env_file"] == [".env"]
    assert "deploy/.env" in (files.ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()
