"""The settings, from the environment: the only place that reads it.

A value that cannot be used gives one sentence, never a trace, and never a secret.
"""

import os
import pathlib
import sys
import urllib.parse
from typing import Annotated, Literal

import pydantic
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

PREFIX = "OVIPOST_"
TELEGRAM_API = "https://api.telegram.org/bot"

# What each variable has to be, as the end of a sentence.
WANTED = {
    "telegram_token": "the bot's token as BotFather gives it: digits, a colon, letters",
    "telegram_api": "the address of a Bot API up to the token, such as http://127.0.0.1:8081/bot",
    "db": "the address of a database, such as sqlite:////var/lib/ovipost/ovipost.db or postgresql+psycopg://user@host/name",
    "owners": "Telegram user ids with commas between them, such as 1001,1002",
    "webhook_url": "the https address that Telegram calls, such as https://farm.example/telegram",
    "webhook_secret": "1 to 256 letters, digits, _ or -",
    "host": "an address of this machine to listen on, such as 127.0.0.1",
    "port": "a whole number from 1 to 65535",
    "metrics_port": "a whole number from 1 to 65535",
    "log": "one of DEBUG, INFO, WARNING, ERROR",
    "send_rate": "messages a second, 0 for no bound",
    "person_rate": "messages a minute, 0 for no bound",
}
SECRET = (
    "telegram_token",
    "webhook_secret",
    "db",
)  # never repeated in a message; a database's address may hold a password


class SettingsError(Exception):
    """A variable has a value that cannot be used; the text is one sentence for whoever runs the program."""


def default_db() -> str:
    """Give the address of a SQLite file in the user's data folder; who opens it makes the folder, with mode 0700."""
    return f"sqlite:///{(data_folder() / 'ovipost.db').as_posix()}"


def data_folder() -> pathlib.Path:
    """Give the folder where the system keeps what programs store for this user."""
    home = pathlib.Path.home()
    if sys.platform == "win32":
        base = pathlib.Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        given = pathlib.Path(os.environ.get("XDG_DATA_HOME") or "")
        base = given if given.is_absolute() else home / ".local" / "share"  # a relative one is invalid by the XDG rules
    return base / "ovipost"


class Settings(BaseSettings):
    """What OVIPOST_* variables say; an empty one counts as not set."""

    model_config = SettingsConfigDict(
        env_prefix=PREFIX, env_ignore_empty=True, extra="ignore", frozen=True, str_strip_whitespace=True
    )

    telegram_token: pydantic.SecretStr | None = pydantic.Field(default=None)
    telegram_api: str = TELEGRAM_API  # as python-telegram-bot's base_url, without the token
    db: str = pydantic.Field(default_factory=default_db, repr=False, pattern=r"^[A-Za-z0-9_+]+://")
    owners: Annotated[frozenset[int], NoDecode] = frozenset()  # Telegram user ids who may found a farm; empty: anyone
    webhook_url: str | None = None  # set: Telegram calls us; not set: we poll
    webhook_secret: pydantic.SecretStr | None = None
    host: str = "127.0.0.1"  # where the webhook listens; other than loopback only in a container behind a proxy
    port: int = pydantic.Field(default=8080, ge=1, le=65535)
    metrics_port: int | None = pydantic.Field(default=None, ge=1, le=65535)  # for /health and /metrics; not set: none
    log: Literal["DEBUG", "INFO", "WARNING", "ERROR"] = "INFO"
    send_rate: float = pydantic.Field(
        default=30.0, ge=0, allow_inf_nan=False
    )  # messages a second over all chats; 0: no bound
    person_rate: float = pydantic.Field(
        default=120.0, ge=0, allow_inf_nan=False
    )  # messages a minute of one person; 0: no bound

    @pydantic.field_validator("telegram_token")
    @classmethod
    def _check_token(cls, token: pydantic.SecretStr | None) -> pydantic.SecretStr | None:
        if token is None:
            return None
        text = token.get_secret_value().strip()
        number, colon, rest = text.partition(":")
        if not (
            number.isdecimal()
            and colon
            and rest
            and rest.replace("_", "").replace("-", "").isalnum()
            and text.isascii()
        ):
            raise ValueError("not a token")
        return pydantic.SecretStr(text)

    @pydantic.field_validator("telegram_api")
    @classmethod
    def _check_api(cls, api: str) -> str:
        url = _web_address(api)
        return f"{url.geturl().rstrip('/')}/bot" if url.path in ("", "/") else api

    @pydantic.field_validator("webhook_url")
    @classmethod
    def _check_webhook_url(cls, url: str | None) -> str | None:
        if url is not None:
            _web_address(url)
        return url

    @pydantic.field_validator("webhook_secret")
    @classmethod
    def _check_secret(cls, secret: pydantic.SecretStr | None) -> pydantic.SecretStr | None:
        if secret is None:
            return None
        text = secret.get_secret_value().strip()
        if not (text.isascii() and text.replace("_", "a").replace("-", "a").isalnum() and len(text) <= 256):
            raise ValueError("not a secret")
        return pydantic.SecretStr(text)

    @pydantic.field_validator("owners", mode="before")
    @classmethod
    def _read_owners(cls, given: object) -> object:
        if isinstance(given, str):
            return [one.strip() for one in given.split(",") if one.strip()]
        return given

    @pydantic.field_validator("log", mode="before")
    @classmethod
    def _read_level(cls, given: object) -> object:
        return given.strip().upper() if isinstance(given, str) else given

    @pydantic.model_validator(mode="after")
    def _check_webhook(self) -> "Settings":
        if self.webhook_url and not self.webhook_secret:
            raise ValueError(f"{PREFIX}WEBHOOK_URL needs {PREFIX}WEBHOOK_SECRET too: {WANTED['webhook_secret']}.")
        return self


def load() -> Settings:
    """Read the environment; raise SettingsError about the first variable that cannot be used."""
    try:
        return Settings()
    except pydantic.ValidationError as invalid:
        first = invalid.errors(include_url=False, include_context=False)[0]
        raise SettingsError(_sentence(first["loc"], first["input"], first["msg"])) from None


def _sentence(location: tuple[int | str, ...], given: object, said: str) -> str:
    if not location:
        return said.removeprefix("Value error, ")
    name = str(location[0]).removeprefix(PREFIX.lower())
    value = "" if name in SECRET else f" is {os.environ.get(PREFIX + name.upper(), given)!r} but"
    return f"{PREFIX}{name.upper()}{value} has to be {WANTED[name]}."


def _web_address(text: str) -> urllib.parse.SplitResult:
    url = urllib.parse.urlsplit(text)
    if url.scheme not in ("http", "https") or not url.hostname:
        raise ValueError("not a web address")
    return url
