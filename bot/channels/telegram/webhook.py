"""The way in from Telegram over HTTP: Telegram calls, and hears 200 when the update is stored.

Meant to stand behind a reverse proxy that ends TLS and passes the path on unchanged; so it listens on 127.0.0.1 unless
told otherwise.
"""

import asyncio
import hmac
import logging
import urllib.parse
from collections.abc import Sequence

import msgspec
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from bot.channels.listening import LOOPBACK, listen, serve
from bot.channels.telegram.account import NO_COMMANDS, UPDATE_KINDS, Commands, TelegramAccount
from bot.channels.telegram.backoff import unless
from bot.channels.telegram.intake import Intake, Take
from bot.channels.telegram.request import NotJsonError, read_json
from bot.channels.telegram.updates import update_id
from bot.logs import fields
from bot.ports.clock import Clock

VARIABLE = "OVIPOST_PORT"
SECRET_HEADER = "X-Telegram-Bot-Api-Secret-Token"  # noqa: S105 - the header's name
LARGEST = 4 * 1024 * 1024  # bytes of one update; they are some kilobytes
SET_AGAIN_EVERY = 600.0  # seconds: somebody may have taken the webhook away, or withdrawn the token

_log = logging.getLogger(__name__)


class WebhookAddress(msgspec.Struct, frozen=True, kw_only=True):
    """Where Telegram calls, and where we listen for it."""

    url: str  # from outside
    secret: str  # in a header of each call: 1 to 256 of A-Z, a-z, 0-9, _ and -
    port: int
    host: str = LOOPBACK


class TelegramWebhook:
    """A small HTTP server for Telegram's calls."""

    def __init__(
        self,
        account: TelegramAccount,
        take: Take,
        clock: Clock,
        address: WebhookAddress,
        *,
        commands: Commands = NO_COMMANDS,
        routes: Sequence[BaseRoute] = (),
    ) -> None:
        """Listen nowhere yet; `routes` are further ones to serve."""
        self._account = account
        self._intake = Intake(account, take, clock)
        self._address = address
        self._commands = commands
        self._is_set = False
        path = urllib.parse.urlsplit(address.url).path or "/"
        self.app = Starlette(routes=[Route(path, self._called, methods=["POST"]), *routes])

    async def run(self, stop: asyncio.Event) -> None:
        """Serve until `stop`; raise TokenRefusedError where the token is wrong, PortError where the port is taken."""
        await self._account.sign_in(stop, self._commands)
        if stop.is_set():
            return
        listening = listen(self._address.host, self._address.port, VARIABLE)

        async def until_told() -> None:
            while not stop.is_set():
                await self._account.persist(stop, "Setting the webhook", self._set_webhook)
                await unless(stop, asyncio.sleep(SET_AGAIN_EVERY))

        await serve(self.app, listening, until_told)

    async def _set_webhook(self) -> None:
        await self._account.set_webhook(
            self._address.url, secret_token=self._address.secret, allowed_updates=UPDATE_KINDS
        )
        if not self._is_set:
            _log.info("Telegram calls this process", extra=fields(port=self._address.port))
        self._is_set = True

    async def _called(self, request: Request) -> Response:
        """Store an update, then answer; a press is answered within the same answer, which saves a call."""
        given = request.headers.get(SECRET_HEADER, "")
        if not hmac.compare_digest(given.encode(), self._address.secret.encode()):
            return Response(status_code=403)
        body = await _body(request)
        if body is None:
            return Response(status_code=413)
        try:
            raw = read_json(body)
        except NotJsonError:
            return Response(status_code=400)
        try:
            read = await asyncio.to_thread(self._intake.store, [raw])
        except Exception as failure:  # noqa: BLE001 - whatever it was, Telegram calls again
            # Only its class: the text of a database's error repeats what was to be written.
            _log.error("an update could not be stored", extra=fields(update=update_id(raw), error=failure))
            return Response(status_code=503)
        if not read or read[0].callback_query is None:
            return Response(status_code=200)
        return JSONResponse({"method": "answerCallbackQuery", "callback_query_id": read[0].callback_query})


async def _body(request: Request) -> bytes | None:
    """Read what was sent; None where it is too large, however much was announced."""
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > LARGEST:
            return None
    return bytes(body)
