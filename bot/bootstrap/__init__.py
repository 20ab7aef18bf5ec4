"""The one place where parts are joined: clock, store, reader, desk, delivery, timetable, channels.

Every part is imported where it is joined, so that a command pays only for what it uses. Not for what the commands say:
that is cli.
"""

import datetime as dt
import functools
import gc
import random
import sys
from collections.abc import Awaitable, Callable, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from typing import TYPE_CHECKING, Any

from bot.ports.clock import Clock
from bot.ports.tally import UNCOUNTED, Tally

if TYPE_CHECKING:
    import asyncio

    from bot.assistant.desk import Desk
    from bot.channels.replay import Player
    from bot.channels.serving import Run, Service, Worker
    from bot.channels.telegram.account import TelegramAccount
    from bot.channels.terminal.conversation import Conversation
    from bot.channels.terminal.lines import Lines
    from bot.delivery import Delivery
    from bot.ports.messages import Outgoing
    from bot.ports.outbox import Waiting
    from bot.reader.reader import Reader
    from bot.settings import Settings
    from bot.storage.sql_store import SqlStore
    from bot.timetable import Timetable

MOST_AT_ONCE = 64  # messages on their way
SECONDS_IN_LINE = 8  # that a message may wait its turn at the rate set; it is given up for now after 20
TURNS = 0.0005  # seconds that a thread runs while another wants to
GARBAGE = 20_000, 20, 20  # thresholds of the search; Python's own are 700, 10, 10
MEMORY = "sqlite://"  # a scratch database
START = "/start"  # said for somebody who is new
WHAT_IS_DUE = "what's due"  # said for somebody who comes to the invented farm


class SystemClock:
    """The machine's clock."""

    def now(self) -> dt.datetime:
        """Give the time, aware, in UTC."""
        return dt.datetime.now(dt.UTC)


class StoreError(Exception):
    """The database cannot be used as it is; the text is one sentence that says what to do."""


def local_zone(clock: Clock) -> str:
    """Name the zone of this machine as it is now, as an offset that a farm's settings take."""
    offset = clock.now().astimezone().utcoffset() or dt.timedelta()
    minutes = round(offset / dt.timedelta(minutes=1))
    return f"UTC{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def build_reader() -> "Reader":
    """Make a reader of all languages."""
    from bot.reader.reader import Reader

    return Reader()


def open_store(url: str, *, make: bool) -> "SqlStore":
    """Open a database; `make` one where there is none and bring an older one up to date, else refuse.

    Raises
    ------
    StoreError
        Where the database cannot be reached, or is not as this version needs it.
    """
    from sqlalchemy.exc import ArgumentError, NoSuchModuleError, SQLAlchemyError

    from bot.storage import engines, migrate, troubles
    from bot.storage.sql_store import SqlStore

    try:
        if make:
            file = engines.file_of(url)
            if file is not None:
                file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)  # it holds what people wrote
                if not file.exists():
                    file.touch(mode=0o600)
            migrate.upgrade(url)
        elif not engines.is_in_memory(url):
            _refuse_unless_current(migrate.current(url))
        return SqlStore(url)
    except (ArgumentError, NoSuchModuleError, ImportError):
        raise StoreError("OVIPOST_DB or --db has to be the address of a database that this set-up can open.") from None
    except migrate.UnknownSchemaError as error:
        raise StoreError(f"The database cannot be used: {error}.") from None
    except (SQLAlchemyError, OSError) as error:
        raise StoreError(troubles.sentence(error)) from None


def _refuse_unless_current(revision: str | None) -> None:
    from bot.storage import migrate

    if revision is None:
        raise StoreError("There is no database yet; `ovipost chat` or `ovipost serve` makes one.")
    migrate.refuse_later(revision)
    if revision != migrate.head():
        raise StoreError(
            "The database is of an earlier version of the program; `ovipost migrate` brings it up to date."
        )


def run_for_long() -> None:
    """Leave what is loaded out of the search for garbage, search less often, and let threads take turns quickly.

    Records make no cycles. Python lets a thread run for 5 ms while another waits: as long as a whole answer takes.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(*GARBAGE)
    sys.setswitchinterval(TURNS)


class _Outlet:
    """Answers go to the delivery; what else came of messages may move the farms' next times."""

    def __init__(self, delivery: "Delivery", timetable: "Timetable") -> None:
        self._timetable = timetable
        self._delivery = delivery
        self.claim_within = delivery.claim_within

    def begin(self, claimed: "Sequence[Waiting]") -> None:
        """Send, and look when there is next something to remind of."""
        self._delivery.begin(claimed)
        self._timetable.rearm()


def build_serve(settings: "Settings") -> "Service":
    """Join the Telegram bot; the settings have a token."""
    from bot.channels.serving import Service, Worker
    from bot.channels.telegram.channel import TelegramChannel
    from bot.delivery import Delivery
    from bot.tidying import Tidying
    from bot.timetable import Timetable

    clock = SystemClock()
    store = open_store(settings.db, make=True)
    account = telegram_account(settings)
    tally, watch = _watched(settings, store, clock)
    desk = _telegram_desk(settings, store, clock, account, tally)
    delivery = Delivery(
        store,
        {"telegram": TelegramChannel(account, late=_late)},
        clock,
        chance=_chance(),
        as_it_stands=desk.as_it_stands,
        at_once=_at_once(settings.send_rate),
        tally=tally,
    )
    timetable = Timetable(store, clock, _reminding(desk, delivery))

    worker = Worker(desk, _Outlet(delivery, timetable))
    run_for_long()
    return Service(
        worker=worker,
        delivery=delivery,
        timetable=timetable,
        way_in=_telegram_way_in(settings, account, worker, clock, store),
        sign_out=account.shutdown,
        close=store.close,
        more=(Tidying(store, clock).run, *watch),
    )


def _telegram_desk(
    settings: "Settings", store: "SqlStore", clock: Clock, account: "TelegramAccount", tally: Tally
) -> "Desk":
    from bot.assistant.desk import Desk

    return Desk(
        store=store,
        reader=build_reader(),
        clock=clock,
        owners=frozenset(f"telegram:{number}" for number in settings.owners),
        invite_link=functools.partial(_invite_link, account),
        person_rate=settings.person_rate,
        tally=tally,
    )


def _at_once(send_rate: float) -> int:
    """Give how many messages are sent at once: no more than leave, at the rate set, before a claim runs out."""
    return MOST_AT_ONCE if not send_rate else max(1, min(MOST_AT_ONCE, int(send_rate * SECONDS_IN_LINE)))


def _watched(settings: "Settings", store: "SqlStore", clock: Clock) -> "tuple[Tally, tuple[Run, ...]]":
    """Give what counts, and what answers whoever watches, if a port is set for it."""
    if settings.metrics_port is None:
        return UNCOUNTED, ()
    from bot.channels.watching import Watch

    watch = Watch(settings.metrics_port, clock, store.backlog)
    return watch.counters, (watch.run,)


def telegram_account(settings: "Settings") -> "TelegramAccount":
    """Give the bot's account; the settings have a token."""
    from bot.channels.telegram.account import TelegramAccount

    if settings.telegram_token is None:
        raise ValueError("no token")
    return TelegramAccount(
        settings.telegram_token.get_secret_value(), api=settings.telegram_api, send_rate=settings.send_rate
    )


def _invite_link(account: "TelegramAccount", token: str) -> str | None:
    from bot.channels.telegram.account import invite_link

    try:
        return invite_link(account.username, token)
    except RuntimeError:  # not signed in yet: the bare token does as well
        return None


def _telegram_way_in(
    settings: "Settings", account: "TelegramAccount", worker: "Worker", clock: Clock, store: "SqlStore"
) -> "Callable[[asyncio.Event], Awaitable[None]]":
    from bot.replies import commands

    if settings.webhook_url is None or settings.webhook_secret is None:
        from bot.channels.telegram.polling import TelegramPolling

        hold = functools.partial(store.hold, f"polling-{account.token.partition(':')[0]}")
        return TelegramPolling(account, worker.take, clock, hold=hold, commands=commands.by_language()).run
    from bot.channels.telegram.webhook import TelegramWebhook, WebhookAddress

    address = WebhookAddress(
        url=settings.webhook_url,
        secret=settings.webhook_secret.get_secret_value(),
        port=settings.port,
        host=settings.host,
    )
    return TelegramWebhook(account, worker.take, clock, address, commands=commands.by_language()).run


def _reminding(desk: "Desk", delivery: "Delivery") -> Callable[[], int]:
    def remind() -> int:
        reminded = desk.remind()
        delivery.wake()
        return reminded

    return remind


def _chance() -> random.Random:
    return random.Random()  # noqa: S311 - it spreads retries; no secret hangs on it


def _late(outgoing: "Outgoing", _since: dt.datetime) -> str:
    """Give the text of a reminder that could not leave at its time: it says when that was."""
    from bot.replies.notices import late_text

    return late_text(outgoing)


def build_chat(url: str, name: str, lines: "Lines") -> "Conversation":
    """Join the terminal chat of one person, who is greeted at a prompt where nobody knows them yet."""
    from bot.channels.terminal.chat import address

    store = open_store(url, make=True)
    with store.begin() as work:
        is_known = work.people.member(address(name)) is not None
    return _conversation(store, name, lines, START if lines.is_live and not is_known else None)


def build_demo(name: str, lines: "Lines") -> "Conversation":
    """Join the terminal chat on an invented farm, which lives in memory and has come to this moment."""
    from bot.assistant.desk import Desk
    from bot.channels import demo
    from bot.channels.replay import Player, SimulatedClock, chats_of, people_of
    from bot.channels.terminal.chat import address
    from core.farm.opening import opening_events

    clock = SystemClock()
    farm, script = demo.season(clock.now(), local_zone(clock))
    past = SimulatedClock(dt.datetime.fromisoformat(farm["now"]))
    store = open_store(MEMORY, make=True)
    desk = Desk(store=store, reader=build_reader(), clock=past)
    people = people_of(farm, address)
    number = desk.open_farm(opening_events(farm), people, chats_of(people))
    player = Player(store, desk, past, farm=number, address=address)
    player.join(name)
    for _ in player.play(script):
        pass
    return _conversation(store, name, lines, WHAT_IS_DUE)


def _conversation(store: "SqlStore", name: str, lines: "Lines", first: str | None) -> "Conversation":
    from bot.assistant.desk import Desk
    from bot.channels.terminal.chat import SCHEME, TerminalChat
    from bot.channels.terminal.conversation import Conversation
    from bot.delivery import Delivery
    from bot.timetable import Timetable

    clock = SystemClock()
    chat = TerminalChat(name, clock, late=_late)
    desk = Desk(store=store, reader=build_reader(), clock=clock)
    delivery = Delivery(store, {SCHEME: chat}, clock, chance=_chance(), as_it_stands=desk.as_it_stands)
    return Conversation(
        lines=lines,
        chat=chat,
        desk=desk,
        delivery=delivery,
        timetable=Timetable(store, clock, _reminding(desk, delivery)),
        first=first,
        at_end=store.close,
    )


@contextmanager
def build_replay(farm: Mapping[str, Any] | None, start: dt.datetime) -> "Iterator[Player]":
    """Join a scratch farm with a simulated clock: the farm described, or one that the first message founds."""
    from bot.assistant.desk import Desk
    from bot.channels.replay import Player, SimulatedClock, address, chats_of, people_of
    from core.farm.opening import opening_events

    clock = SimulatedClock(start)
    store = open_store(MEMORY, make=True)
    with closing(store):
        desk = Desk(store=store, reader=build_reader(), clock=clock)
        number = None
        if farm is not None:
            people = people_of(farm, address)
            number = desk.open_farm(opening_events(farm), people, chats_of(people))
        yield Player(store, desk, clock, farm=number)
