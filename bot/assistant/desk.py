"""The desk: takes messages in, works through them one unit of work at a time, and posts reminders.

Handling a message records its events, its answer and the farm's next time in the transaction that marks it handled.
Not for how a message is handled: conversation does that.
"""

import datetime as dt
import logging
import threading
from collections.abc import Callable, Sequence

from msgspec.structs import replace

from bot.assistant import conversation, membership, reminding, speaking
from bot.assistant.dialog import dump, load
from bot.assistant.pace import Pace
from bot.assistant.shelf import Shelf
from bot.assistant.strangers import Strangers
from bot.assistant.turn import Turn
from bot.ports.clock import Clock
from bot.ports.messages import Incoming, Outgoing, Sender
from bot.ports.stores import Chat, Member, NumberTakenError, Received, Store, UnitOfWork
from bot.reader.reader import Reader
from bot.replies.voice import Voice
from core.farm.farm import Farm
from core.journal.event import Event

_LOG = logging.getLogger(__name__)
MOST_TRIES = 3  # a message that fails so often is kept for the owner to see and answered with an apology
AT_ONCE = 50  # messages looked up in one go
FARMS_AT_ONCE = 100


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
        person_rate: float = 0.0,  # messages a minute of one chat; 0 for no bound
    ) -> None:
        self._store = store
        self._reader = reader
        self._clock = clock
        self._owners = owners
        self._invite_link = invite_link
        self._pace = Pace(person_rate)
        self._held: set[str] = set()  # chats that have to wait
        self._shelf = Shelf()
        self._busy = threading.Lock()  # messages and reminders come from two threads, and a folded farm is one thing
        self._strangers = Strangers()

    def take(self, incoming: Incoming) -> bool:
        """Put a message into the inbox; False where it is there already."""
        with self._store.begin() as uow:
            return uow.inbox.store(incoming, self._clock.now())

    def work(self) -> int:
        """Handle all that waits in the inbox, each in a unit of work of its own, and give how many that was."""
        handled = 0
        self._held = set()
        while True:
            with self._store.begin() as uow:
                waiting = uow.inbox.waiting(AT_ONCE, passing_over=self._held)
            if not waiting:
                return handled
            for received in waiting:
                handled += self._handle_in_turn(received)

    @property
    def is_holding(self) -> bool:
        """Say whether messages wait because their chat sends more than is handled a minute."""
        return bool(self._held)

    def remind(self) -> int:
        """Post the reminders of all farms whose time has come, and give how many farms that were."""
        now = self._clock.now()
        with self._store.begin() as uow:
            farms = uow.farms.due(now, FARMS_AT_ONCE)
        for farm in farms:
            try:
                with self._busy, self._store.begin() as uow:
                    reminding.remind(uow, farm, self._shelf.fold(farm, uow.journal), now)
            except NumberTakenError:
                self._shelf.forget(farm)  # another process was quicker; the farm is still due and comes up again
            except BaseException:
                self._shelf.forget(farm)
                raise
        return len(farms)

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
            reminding.set_next_due(uow, farm, self._shelf.fold(farm, uow.journal).farm, now)
        return farm

    def _handle_in_turn(self, received: Received) -> bool:
        """Handle a message unless its chat has to wait, in which case it is told so once a minute."""
        chat, now = received.incoming.chat, self._clock.now()
        if chat in self._held:
            return False
        if self._pace.lets_through(chat, now):
            self._handle(received)
            return True
        self._held.add(chat)
        with self._busy, self._store.begin() as uow:
            key = f"busy:{now:%Y-%m-%dT%H:%M}"
            text = self._voice_for(uow, received.incoming.sender, now).say("start.busy")
            uow.outbox.post(Outgoing(key=key, chat=chat, text=text), now)
        return False

    def _voice_for(self, uow: UnitOfWork, sender: Sender, now: dt.datetime) -> Voice:
        """Give the words for what is said without a turn."""
        member = uow.people.member(sender.address)
        if member is None:
            return Voice(Farm(), now, speaking.of_stranger(sender.language))
        farm = self._shelf.fold(member.farm, uow.journal).farm
        return Voice(farm, now, speaking.of_person(farm, member.name, member.language))

    def _handle(self, received: Received) -> None:
        try:
            with self._busy, self._store.begin() as uow:
                self._answer(uow, received.incoming)
                uow.inbox.mark_handled(received.id, self._clock.now())
        except NumberTakenError:
            self._shelf.forget(None)  # another process was quicker; the message still waits and comes up again
        except Exception as error:  # noqa: BLE001 - one message must not hold up the others; it is kept and told of
            self._shelf.forget(None)
            self._fail(received, error)

    def _fail(self, received: Received, error: Exception) -> None:
        gives_up = received.tries + 1 >= MOST_TRIES
        _LOG.error("message %d failed, try %d", received.id, received.tries + 1, exc_info=error)
        now = self._clock.now()
        with self._busy, self._store.begin() as uow:
            uow.inbox.mark_failed(received.id, now, type(error).__name__, give_up=gives_up)
            if gives_up:
                incoming = received.incoming
                text = self._voice_in_trouble(uow, incoming.sender, now).say("refused.trouble", number=received.id)
                uow.outbox.post(Outgoing(key=f"reply:{incoming.key}", chat=incoming.chat, text=text), now)

    def _voice_in_trouble(self, uow: UnitOfWork, sender: Sender, now: dt.datetime) -> Voice:
        try:
            return self._voice_for(uow, sender, now)
        except Exception:  # noqa: BLE001 - what fails the message may fail this as well; the apology goes out anyhow
            return Voice(Farm(), now, speaking.of_stranger(sender.language))

    def _may_found(self, address: str) -> bool:
        return not self._owners or address in self._owners

    def _answer(self, uow: UnitOfWork, incoming: Incoming) -> None:
        now = self._clock.now()
        if membership.start_payload(incoming) and not self._strangers.may_try(incoming.sender.address, now):
            return
        arrival = membership.arrive(uow, incoming, now, self._may_found)
        if isinstance(arrival, membership.Turned):
            self._turn_away(uow, incoming, arrival, now)
            return
        member = arrival.member
        keeper = incoming.chat if incoming.is_group else member.address  # in a group, anyone may answer a question
        turn = Turn(
            incoming=incoming,
            member=member,
            fold=self._shelf.fold(member.farm, uow.journal),
            dialog=load(uow.dialogs.load(incoming.chat, keeper), member.farm),
            reader=self._reader,
            now=now,
            forecaster=self._shelf.forecaster(member.farm),
        )
        conversation.hold(turn, arrival, invite=lambda: self._invite(uow, member, now))
        uow.journal.append(member.farm, turn.news)
        uow.dialogs.save(incoming.chat, keeper, dump(turn.dialog))
        answer = turn.outgoing()
        if answer.text:
            uow.outbox.post(answer, now)
        if turn.news:
            reminding.set_next_due(uow, member.farm, turn.farm, now, turn.forecasts())

    def _invite(self, uow: UnitOfWork, member: Member, now: dt.datetime) -> tuple[str, str | None]:
        token = membership.invite(uow, member, now)
        return token, self._invite_link(token)

    def _turn_away(self, uow: UnitOfWork, incoming: Incoming, turned: membership.Turned, now: dt.datetime) -> None:
        """Refuse a stranger once; nothing of them is kept but the message to be sent."""
        if turned.reason == membership.BAD_INVITE:
            self._strangers.note_try(incoming.sender.address, now)
        is_talk = incoming.is_group and not incoming.is_addressed
        if is_talk or not self._strangers.tells(incoming.sender.address, turned.reason, now):
            return
        text = self._voice_for(uow, incoming.sender, now).say(turned.reason)
        uow.outbox.post(Outgoing(key=f"refusal:{incoming.key}", chat=incoming.chat, text=text, is_kept=False), now)
