"""For whoever watches the program: `/health` and `/metrics` on a port of this machine.

Nobody beyond this machine is answered, since the answers need no password. What counts is handed in.
"""

import asyncio
import datetime as dt
import logging
from collections.abc import Callable, Iterator

from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, Counter, generate_latest
from prometheus_client.core import GaugeMetricFamily
from prometheus_client.registry import Collector
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from bot.channels.listening import LOOPBACK, listen, serve
from bot.logs import fields
from bot.ports.clock import Clock
from bot.ports.tally import Backlog, Counted

VARIABLE = "OVIPOST_METRICS_PORT"
LOOK_WITHIN = 3.0  # seconds that the database gets to say what waits
INBOX_AT_MOST = dt.timedelta(minutes=1)  # a person who waits longer writes again
OUTBOX_AT_MOST = dt.timedelta(minutes=10)  # past this a message says that it is late
NAMES = {
    Counted.HANDLED: ("ovipost_messages_handled", "Messages handled"),
    Counted.FAILED: ("ovipost_messages_failed", "Tries to handle a message that failed"),
    Counted.SENT: ("ovipost_sent", "Messages sent"),
    Counted.RETRIED: ("ovipost_send_retries", "Messages that could not be sent and are tried again"),
    Counted.GIVEN_UP: ("ovipost_given_up", "Messages that were given up"),
    Counted.REMINDED: ("ovipost_reminders_posted", "Reminders posted"),
}

_LOG = logging.getLogger(__name__)


class Counters:
    """Counts what was done since the program started."""

    def __init__(self, registry: CollectorRegistry) -> None:
        self._counters = {what: Counter(name, text, registry=registry) for what, (name, text) in NAMES.items()}

    def count(self, what: Counted, many: int = 1) -> None:
        """Add to what was done."""
        self._counters[what].inc(many)


class Watch:
    """A small HTTP server that says how much was done, how much waits, and whether that is well.

    Parameters
    ----------
    look
        Asks the database what waits at a moment; it blocks, and raises where the database does not answer.
    """

    def __init__(self, port: int, clock: Clock, look: Callable[[dt.datetime], Backlog]) -> None:
        self._port = port
        self._clock = clock
        self._look = look
        self._looking: asyncio.Future[Backlog | None] | None = None
        self._registry = CollectorRegistry()
        self._waiting = _Waiting(clock)
        self._registry.register(self._waiting)
        self.counters = Counters(self._registry)
        self.app = Starlette(routes=[Route("/health", self._health), Route("/metrics", self._metrics)])

    async def run(self, stop: asyncio.Event) -> None:
        """Answer until `stop`; raise PortError where the port is taken."""
        await serve(self.app, listen(LOOPBACK, self._port, VARIABLE), stop.wait)

    async def _health(self, _: Request) -> Response:
        seen = await self._seen()
        wrong = reasons(seen, self._clock.now())
        said: dict[str, object] = {"status": "look" if wrong else "ok"}
        if wrong:
            said["reasons"] = wrong
        if seen is not None:
            said |= {"inbox": seen.inbox_waiting, "outbox": seen.outbox_waiting, "farms_due": seen.farms_due}
        return JSONResponse(said, status_code=503 if wrong else 200)

    async def _metrics(self, _: Request) -> Response:
        self._waiting.seen = await self._seen()
        return Response(generate_latest(self._registry), media_type=CONTENT_TYPE_LATEST)

    async def _seen(self) -> Backlog | None:
        """Ask what waits, or give None where no answer comes; those who ask at once get one answer."""
        if self._looking is None or self._looking.done():
            self._looking = asyncio.ensure_future(asyncio.to_thread(self._look_once))
        try:
            return await asyncio.wait_for(asyncio.shield(self._looking), LOOK_WITHIN)
        except TimeoutError:
            return None

    def _look_once(self) -> Backlog | None:
        try:
            return self._look(self._clock.now())
        except Exception as error:  # noqa: BLE001 - whatever ails the database, that is the answer
            _LOG.warning("the database does not say what waits", extra=fields(error=error))
            return None


def reasons(seen: Backlog | None, now: dt.datetime) -> list[str]:
    """Say what is wrong; nothing where all is well."""
    if seen is None:
        return ["the database does not answer"]
    wrong = []
    if seen.inbox_oldest is not None and now - seen.inbox_oldest > INBOX_AT_MOST:
        wrong.append(f"a message has waited for {_age(seen.inbox_oldest, now):.0f} s to be handled")
    if seen.outbox_oldest is not None and now - seen.outbox_oldest > OUTBOX_AT_MOST:
        wrong.append(f"a message has waited for {_age(seen.outbox_oldest, now):.0f} s to be sent")
    return wrong


def _age(oldest: dt.datetime | None, now: dt.datetime) -> float:
    return 0.0 if oldest is None else max(0.0, (now - oldest).total_seconds())


class _Waiting(Collector):
    """What waited when the database was last asked."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self.seen: Backlog | None = None

    def collect(self) -> Iterator[GaugeMetricFamily]:
        seen, now = self.seen, self._clock.now()
        yield _gauge("ovipost_database_up", "Whether the database answers", float(seen is not None))
        if seen is None:
            return
        yield _gauge("ovipost_inbox_waiting", "Messages to be handled", seen.inbox_waiting)
        yield _gauge("ovipost_inbox_age_seconds", "Age of the oldest of them", _age(seen.inbox_oldest, now))
        yield _gauge("ovipost_outbox_waiting", "Messages that should have left", seen.outbox_waiting)
        yield _gauge(
            "ovipost_outbox_age_seconds", "For how long the first of them should", _age(seen.outbox_oldest, now)
        )
        yield _gauge("ovipost_farms_due", "Farms whose reminders are to be worked out", seen.farms_due)


def _gauge(name: str, text: str, value: float) -> GaugeMetricFamily:
    return GaugeMetricFamily(name, text, value=value)
