"""The desk: takes messages in, works through them in units of work, and posts reminders.

Handling a message claims it, records its events, its answer and the farm's next time, and marks it handled, all in one
transaction: so any number of processes may work side by side, and what one was at when it died is nobody's again.
Not for how a message is handled: handling does that.
"""

import datetime as dt
import logging
import threading
from collections.abc import Callable, Sequence

from msgspec.structs import replace

from bot.assistant import reminding, speaking, standing
from bot.assistant.handling import Handler
from bot.assistant.pace import Pace
from bot.assistant.shelf import Shelf
from bot.logs import fields
from bot.ports.clock import Clock
from bot.ports.messages import Incoming, Outgoing
from bot.ports.outbox import NO_OUTLET, Outlet
from bot.ports.stores import Chat, Member, NumberTakenError, Received, Store, StoreDownError, UnitOfWork
from bot.ports.tally import UNCOUNTED, Counted, Tally
from bot.reader.reader import Reader
from core.farm.fold import fold
from core.journal.event import Event

_LOG = logging.getLogger(__name__)
MOST_TRIES = 3  # a message that fails so often is kept for the owner to see and answered with an apology
AT_ONCE = 16  # messages, each of another farm, handled in one unit of work
FEW = 1  # messages that are handled as they come in; more are handled better together
FARMS_AT_ONCE = 100
AFTER_TROUBLE = dt.timedelta(minutes=10)  # until a farm whose reminders cannot be worked out is looked at again


class Desk:
    """Where messages are handled and reminders are written."""

    def __init__(
        self,
        *,
        store: Store,
        reader: Reader,
        clock: Clock,
        owners: frozenset[str] = frozenset(),
        invite_link: Callable[[str], str | None] = lambda _token: None,
        person_rate: float = 0.0,  # messages a minute of one person; 0 for no bound
        tally: Tally = UNCOUNTED,
    ) -> None:
        self._store = store
        self._tally = tally
        self._clock = clock
        self._shelf = Shelf()
        self._handler = Handler(shelf=self._shelf, reader=reader, owners=owners, invite_link=invite_link)
        self._pace = Pace(person_rate)
        self._held: set[str] = set()  # people who have to wait, by address
        self._busy = threading.Lock()  # messages and reminders come from two threads, and a folded farm is one thing

    def take(self, *messages: Incoming) -> int:
        """Put messages into the inbox, all or none; give how many were not there already."""
        now = self._clock.now()
        with self._store.begin() as uow:
            return uow.inbox.store_all(messages, now)

    def take_and_answer(self, messages: Sequence[Incoming], outlet: Outlet) -> tuple[int, bool]:
        """Put messages into the inbox and handle them in the same unit of work, where they are few and nobody is at it.

        Gives how many were new, and whether something is left to be worked through. Where the handling fails, the
        messages are stored all the same.
        """
        if len(messages) > FEW or not self._busy.acquire(blocking=False):
            return self.take(*messages), True
        try:
            with self._store.begin() as uow:
                new = uow.inbox.store_all(messages, self._clock.now())
                claimed = uow.inbox.claim(AT_ONCE, passing_over=self._held)
                handled = sum(self._handle_in_turn(uow, received) for received in claimed)
                leaving = outlet.claim_within(uow) if claimed else []
        except StoreDownError:
            self._handler.forget()
            raise
        except Exception:  # noqa: BLE001 - whoever works through the inbox comes upon it again, and tells of it
            self._handler.forget()
            return self.take(*messages), True
        finally:
            self._busy.release()
        self._tally.count(Counted.HANDLED, handled)
        outlet.begin(leaving)
        keys = {received.incoming.key for received in claimed}
        return new, handled < len(claimed) or any(one.key not in keys for one in messages)

    def work(self, is_over: Callable[[], bool] = lambda: False, outlet: Outlet = NO_OUTLET) -> int:
        """Handle all that waits in the inbox, or until it is over, and give how many messages that was.

        Answers leave by the outlet while more is handled.
        """
        handled, is_empty = 0, False
        self._held = set()
        while not is_empty and not is_over():
            done, is_empty = self._handle_some(outlet)
            handled += done
        return handled

    @property
    def is_holding(self) -> bool:
        """Say whether messages wait because their sender sends more than is handled a minute."""
        return bool(self._held)

    def remind(self) -> int:
        """Post the reminders of farms whose time has come, and give how many farms that were."""
        now = self._clock.now()
        due: dict[int, int] = {}
        try:
            with self._busy, self._store.begin() as uow:
                due = uow.farms.claim_due(now, FARMS_AT_ONCE)
                posted = reminding.remind(uow, self._shelf.folds(due, uow.journal), now)
        except StoreDownError:
            self._shelf.forget(due)
            raise
        except Exception:  # noqa: BLE001 - one farm's trouble must not silence the others: each by itself
            self._shelf.forget(due)
            posted = sum(self._remind_alone(farm, now) for farm in due)
        self._tally.count(Counted.REMINDED, posted)
        return len(due)

    def as_it_stands(self, outgoing: Outgoing) -> Outgoing | None:
        """Give a message as it is to be sent now: a reminder with what is left of its work, None where nothing is."""
        number = standing.farm_of(outgoing)
        if number is None:
            return outgoing
        with self._busy, self._store.begin() as uow:
            edition = uow.farms.lock(number)
            if edition is None:
                return None
            farm = self._shelf.fold(number, edition, uow.journal).farm
            chat = uow.people.chat(outgoing.chat) or Chat(address=outgoing.chat, farm=number, is_group=False)
            language = speaking.of_chat(farm, chat, uow.people.members(number))
            return standing.as_it_stands(outgoing, farm, self._clock.now(), language)

    def open_farm(
        self, events: Sequence[Event], people: Sequence[Member] = (), chats: Sequence[Chat] = ()
    ) -> int:  # fmt: skip
        """Make a farm that begins with these events and give its id; members and chats get its id."""
        now = self._clock.now()
        with self._store.begin() as uow:
            farm = uow.farms.found(now)
            uow.journal.append(farm, events)
            for member in people:
                uow.people.put(replace(member, farm=farm))
            for chat in chats:
                uow.people.put_chat(replace(chat, farm=farm))
            uow.farms.set_next_due(farm, reminding.next_due_of(fold(events), now))
        return farm

    def _handle_some(self, outlet: Outlet) -> tuple[int, bool]:
        """Handle a few messages in one unit of work; give how many, and whether nothing waits any more."""
        claimed: list[Received] = []
        try:
            with self._busy, self._store.begin() as uow:
                handled = 0
                while more := self._claim(uow, AT_ONCE - len(claimed)):
                    claimed += more
                    handled += sum(self._handle_in_turn(uow, received) for received in more)
                leaving = outlet.claim_within(uow) if claimed else []
            self._tally.count(Counted.HANDLED, handled)
            if claimed:
                outlet.begin(leaving)
        except StoreDownError:
            self._handler.forget()
            raise
        except Exception as error:  # noqa: BLE001 - one message must not hold up the others: each by itself
            self._handler.forget()
            done = 0
            if len(claimed) == 1:
                self._fail(claimed[0], error)
            else:
                done = sum(self._handle_alone() for _ in claimed)
            outlet.begin([])  # an apology leaves at once, too
            return done, False
        return handled, len(claimed) < AT_ONCE

    def _claim(self, uow: UnitOfWork, most: int) -> list[Received]:
        return uow.inbox.claim(most, passing_over=self._held) if most > 0 else []

    def _handle_alone(self) -> int:
        """Handle the message that is first in line."""
        claimed: list[Received] = []
        try:
            with self._busy, self._store.begin() as uow:
                claimed = uow.inbox.claim(1, passing_over=self._held)
                handled = sum(self._handle_in_turn(uow, received) for received in claimed)
            self._tally.count(Counted.HANDLED, handled)
        except StoreDownError:
            self._handler.forget()
            raise
        except Exception as error:  # noqa: BLE001 - it is kept and told of
            self._handler.forget()
            for received in claimed:
                self._fail(received, error)
            return 0
        return handled

    def _handle_in_turn(self, uow: UnitOfWork, received: Received) -> bool:
        """Handle a message unless its sender has to wait, who is told so once a minute."""
        incoming, now = received.incoming, self._clock.now()
        if self._pace.lets_through(incoming.sender.address, now):
            self._handler.handle(uow, incoming, now)
            uow.inbox.mark_handled(received.id, now)
            return True
        self._held.add(incoming.sender.address)
        if self._pace.tells(incoming.sender.address, now):
            self._handler.ask_for_patience(uow, incoming, now)
        return False

    def _fail(self, received: Received, error: Exception) -> None:
        if isinstance(error, NumberTakenError):
            return  # another process was quicker; the message still waits and comes up again
        self._tally.count(Counted.FAILED)
        gives_up = received.tries + 1 >= MOST_TRIES
        _LOG.error("message failed", exc_info=error, extra=fields(message=received.id, tries=received.tries + 1))
        now = self._clock.now()
        with self._busy, self._store.begin() as uow:
            waited = uow.inbox.mark_failed(received.id, now, type(error).__name__, give_up=gives_up)
            if waited and gives_up:
                self._handler.apologize(uow, received.incoming, received.id, now)

    def _remind_alone(self, farm: int, now: dt.datetime) -> int:
        try:
            with self._busy, self._store.begin() as uow:
                edition = uow.farms.lock(farm)
                folds = {} if edition is None else self._shelf.folds({farm: edition}, uow.journal)
                return reminding.remind(uow, folds, now)
        except StoreDownError:
            self._shelf.forget([farm])
            raise
        except Exception as error:  # noqa: BLE001 - the farm is looked at again later, the others go on
            self._shelf.forget([farm])
            _LOG.error("reminders failed", exc_info=error, extra=fields(farm=farm))
            with self._store.begin() as uow:
                uow.farms.set_next_due(farm, now + AFTER_TROUBLE)
            return 0
