"""The HTTP client under python-telegram-bot, over aiohttp's pool.

It keeps three things out of errors that the library's own client lets in: the address, which holds the token, the body
of an answer, which may hold what people wrote, and the time to wait as a deprecated number.
"""

import datetime as dt
import email.utils
import functools
import http
import json
import math
import os
import ssl
import urllib.parse
from typing import Any, cast

import aiohttp
import certifi
import msgspec
from telegram import error
from telegram.request import BaseRequest, RequestData

FORM = "application/x-www-form-urlencoded"
# Answers whose description says how to go on; whatever else stands between us and Telegram has nothing to say.
WITH_WORDS = (http.HTTPStatus.BAD_REQUEST, http.HTTPStatus.FORBIDDEN, http.HTTPStatus.CONFLICT)
JSON = "application/json"
MEDIA_WRITE_TIMEOUT = 20.0  # seconds to upload a file, as python-telegram-bot has it
LONGEST_WAIT = 24 * 3600.0  # seconds that are waited for at most, whatever is asked for
USUAL_WAIT = 1.0  # seconds, where it is not said how long

NO_RESULT = "The answer has no result"

Json = dict[str, Any]
Seconds = Any  # a float, None for no limit, or the library's DEFAULT_NONE


class FloodError(error.TelegramError):
    """Telegram, or our own bound for it, wants us to wait.

    In place of the library's RetryAfter, which warns of its own attribute when it is made (22.2 to 22.8).
    """

    def __init__(self, seconds: float) -> None:
        """Keep the seconds to wait."""
        super().__init__(f"Too many messages; wait {seconds:g} s")
        self.seconds = seconds


class GroupFullError(FloodError):
    """A group has had its share of messages, by our own count."""


class ServerTroubleError(error.NetworkError):
    """Telegram, or what stands before it, answers that it cannot answer."""


class NotJsonError(ValueError):
    """What came is no JSON object."""


class Written(msgspec.Struct, frozen=True):
    """The parameters of a call, written already."""

    json: bytes


class AiohttpRequest(BaseRequest):
    """A pool of connections without proxies; times in seconds, None for no limit."""

    def __init__(
        self,
        *,
        connection_pool_size: int = 256,
        read_timeout: float | None = 10.0,
        write_timeout: float | None = 10.0,
        connect_timeout: float | None = 10.0,
        pool_timeout: float | None = 10.0,
    ) -> None:
        """Open nothing yet."""
        self._pool_size = connection_pool_size
        self._read_timeout = read_timeout
        self._write_timeout = write_timeout
        self._connect_timeout = connect_timeout
        self._pool_timeout = pool_timeout
        self._session: aiohttp.ClientSession | None = None
        self.server_time: dt.datetime | None = None  # of the newest answer, by the clock of who gave it

    @property
    def read_timeout(self) -> float | None:
        """Seconds to wait for an answer where a call does not say."""
        return self._read_timeout

    async def initialize(self) -> None:
        """Open the pool."""
        self._opened()

    async def shutdown(self) -> None:
        """Close the pool."""
        session, self._session = self._session, None
        if session is not None:
            await session.close()

    async def call(self, url: str, parameters: Json, *, read_timeout: Seconds = BaseRequest.DEFAULT_NONE) -> Any:  # noqa: ANN401 - the Bot API has answers of all kinds
        """Call a method with parameters of JSON, without the library's own records: half the time of `post`."""
        written = cast("RequestData", Written(msgspec.json.encode(parameters)))  # goes on to `do_request` as it is
        answer = self.parse_json_payload(await self._request_wrapper(url, "POST", written, read_timeout))
        if "result" not in answer:
            raise error.NetworkError(NO_RESULT)
        return answer["result"]

    async def do_request(
        self,
        url: str,
        method: str,
        request_data: RequestData | Written | None = None,
        read_timeout: Seconds = BaseRequest.DEFAULT_NONE,
        write_timeout: Seconds = BaseRequest.DEFAULT_NONE,
        connect_timeout: Seconds = BaseRequest.DEFAULT_NONE,
        pool_timeout: Seconds = BaseRequest.DEFAULT_NONE,
    ) -> tuple[int, bytes]:
        """Make one request; the errors carry the class of what went wrong and never the address."""
        files = request_data.multipart_data if isinstance(request_data, RequestData) else None
        timeout = _timeout(
            read=_or_default(read_timeout, self._read_timeout),
            write=_or_default(write_timeout, MEDIA_WRITE_TIMEOUT if files else self._write_timeout),
            connect=_or_default(connect_timeout, self._connect_timeout),
            pool=_or_default(pool_timeout, self._pool_timeout),
        )
        headers = {"User-Agent": self.USER_AGENT}
        body, kind = _body(request_data, files)
        if kind:
            headers["Content-Type"] = kind
        try:
            async with self._opened().request(
                method, url, data=body, headers=headers, timeout=timeout, allow_redirects=False
            ) as answer:
                self.server_time = _date(answer.headers.get("Date")) or self.server_time
                return _checked(answer.status, await answer.read())
        except TimeoutError:  # aiohttp's own are of this class too
            raise error.TimedOut from None
        except aiohttp.ClientConnectorCertificateError:
            raise error.NetworkError("No connection: the certificate is not trusted at this date") from None
        except aiohttp.ClientConnectorError as failure:
            raise error.NetworkError(f"No connection: {_words(failure)}") from None
        except (aiohttp.ClientError, OSError) as failure:
            raise error.NetworkError(f"Connection failed: {type(failure).__name__}") from None

    @staticmethod
    def parse_json_payload(payload: bytes) -> Json:
        """Read an answer; unlike the library's own, what cannot be read is not logged."""
        try:
            return read_json(payload)
        except NotJsonError:
            raise error.NetworkError("The answer is no JSON object") from None

    def _opened(self) -> aiohttp.ClientSession:
        if self._session is None:
            self._session = aiohttp.ClientSession(
                connector=aiohttp.TCPConnector(limit=self._pool_size, ssl=_trusted()),
                cookie_jar=aiohttp.DummyCookieJar(),
                trust_env=False,
            )
        return self._session


def read_json(payload: bytes) -> Json:
    """Read a JSON object; raise NotJsonError for anything else.

    What msgspec refuses, such as half a character or a number beyond all bounds, the standard library may take: one
    odd value must not cost all that came with it.
    """
    try:
        return msgspec.json.decode(payload, type=Json)
    except RecursionError:
        raise NotJsonError from None
    except (msgspec.DecodeError, UnicodeDecodeError):
        pass
    try:
        read = json.loads(payload)
    except (ValueError, RecursionError):
        raise NotJsonError from None
    if not isinstance(read, dict):
        raise NotJsonError
    return read


@functools.cache
def _trusted() -> ssl.SSLContext:
    """Trust the certificates of the system and of certifi: the Python of python.org has none of its own on macOS."""
    context = ssl.create_default_context()
    context.load_verify_locations(certifi.where())
    return context


def _words(failure: OSError) -> str:
    """Give the system's words for an error, without the address that aiohttp puts in."""
    number = failure.errno or 0  # negative where it is the name that is not known
    return os.strerror(number).lower() if number > 0 else failure.strerror or type(failure).__name__


def _date(header: str | None) -> dt.datetime | None:
    try:
        date = email.utils.parsedate_to_datetime(header or "")
    except ValueError:
        return None
    return date if date.tzinfo else None


def _or_default(given: Seconds, default: float | None) -> float | None:
    return default if given is BaseRequest.DEFAULT_NONE else cast("float | None", given)


@functools.lru_cache(maxsize=16)
def _timeout(
    *, read: float | None, write: float | None, connect: float | None, pool: float | None
) -> aiohttp.ClientTimeout:
    """Map the four times; aiohttp knows none for writing, so that it counts into the whole."""
    waits = (pool, connect, write, read)
    total = None if None in waits else sum(wait for wait in waits if wait is not None)
    connected = None if pool is None or connect is None else pool + connect
    return aiohttp.ClientTimeout(total=total, connect=connected, sock_connect=connect, sock_read=read)


def _body(
    data: RequestData | Written | None, files: dict[str, Any] | None
) -> tuple[aiohttp.FormData | bytes | None, str]:
    """Write the parameters; give their content type, too, where aiohttp does not."""
    match data:
        case None:
            return None, ""
        case Written():
            return data.json, JSON
        case _ if files:
            return _form(data.json_parameters, files), ""
        case _:
            return urllib.parse.urlencode(data.json_parameters).encode(), FORM


def _form(parameters: dict[str, str], files: dict[str, Any]) -> aiohttp.FormData:
    form = aiohttp.FormData()
    for name, value in parameters.items():
        form.add_field(name, value)
    for name, (filename, content, mime) in files.items():
        form.add_field(name, content, filename=filename, content_type=mime)
    return form


def _checked(code: int, payload: bytes) -> tuple[int, bytes]:
    """Let an answer through; of an error only what Telegram documents: a proxy's page may repeat the address."""
    if code < http.HTTPStatus.MULTIPLE_CHOICES:
        if b'"result"' not in payload:
            raise error.NetworkError(NO_RESULT)
        return code, payload
    if code >= http.HTTPStatus.INTERNAL_SERVER_ERROR:
        raise ServerTroubleError(f"HTTP {code}")
    try:
        said = read_json(payload)
    except NotJsonError:
        said = {}
    parameters = said.get("parameters")
    parameters = parameters if isinstance(parameters, dict) else {}
    if code == http.HTTPStatus.TOO_MANY_REQUESTS:
        raise FloodError(_seconds(parameters.get("retry_after")))
    words = said.get("description") if code in WITH_WORDS else None
    kept: Json = {"ok": False, "description": str(words or f"HTTP {code}")}
    if isinstance(moved_to := parameters.get("migrate_to_chat_id"), int):
        kept["parameters"] = {"migrate_to_chat_id": moved_to}
    return code, msgspec.json.encode(kept)


def _seconds(asked: object) -> float:
    """Give how long to wait; what is no number of seconds is not believed."""
    if not isinstance(asked, int | float) or not math.isfinite(asked):
        return USUAL_WAIT
    return min(max(float(asked), 0.0), LONGEST_WAIT)
