"""One message within a unit of work: who speaks, for which farm, what comes of it.

Not for taking messages from the inbox, nor for what happens when one fails: desk. How a message is understood and
answered: conversation.
"""

import datetime as dt
from collections.abc import Callable

from bot.assistant import conversation, erasing, membership, moving, reminding, speaking
from bot.assistant.dialog import dump, load
from bot.assistant.shelf import Shelf
from bot.assistant.strangers import Strangers
from bot.assistant.turn import Turn
from bot.ports.messages import Incoming, Outgoing, Sender
from bot.ports.stores import Member, NumberTakenError, UnitOfWork
from bot.reader.reader import Reader
from bot.replies.voice import Voice
from core.farm.farm import Farm
from core.farm.fold import FarmFold
from core.journal.kinds import Role


class Handler:
    """Handles messages; what it keeps between them is the shelf, and whom it turned away."""

    def __init__(
        self,
        *,
        shelf: Shelf,
        reader: Reader,
        owners: frozenset[str],
        invite_link: Callable[[str], str | None],
    ) -> None:
        self._shelf = shelf
        self._reader = reader
        self._owners = owners
        self._invite_link = invite_link
        self._strangers = Strangers()

    def handle(self, uow: UnitOfWork, incoming: Incoming, now: dt.datetime) -> None:
        """Record and answer a message."""
        if incoming.moved_from:
            moving.move_chat(uow, incoming.moved_from, incoming.chat, now)
            return
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
            fold=self._fold(uow, member.farm),
            dialog=load(uow.dialogs.load(incoming.chat, keeper), member.farm),
            reader=self._reader,
            now=now,
            forecaster=self._shelf.forecaster(member.farm),
            make_invite=lambda role: self._invite(uow, member, role, now),
        )
        conversation.hold(turn, arrival)
        self._keep(uow, turn, keeper)
        answer = turn.outgoing()
        if answer.text:
            uow.outbox.post_all([answer], now)

    def _keep(self, uow: UnitOfWork, turn: Turn, keeper: str) -> None:
        """Put what comes of a message into the stores, or take out of them what is to be forgotten."""
        farm, now = turn.member.farm, turn.now
        if turn.erases_farm:
            uow.farms.erase(farm, now)
            self._shelf.forget([farm])
            return
        uow.journal.append(farm, turn.news)
        if turn.news:
            uow.farms.set_next_due(farm, reminding.next_due_of(turn.farm, now, turn.forecasts()))
        if turn.erases is not None:
            erasing.take_out(uow, farm, turn.fold.events, turn.erases, turn.voice.say("data.former"), now)
            self._shelf.forget([farm])
        if turn.parts is not None:
            membership.part(uow, farm, turn.parts)
        if not turn.is_farewell and turn.parts != turn.member.name:
            uow.dialogs.save(turn.incoming.chat, keeper, dump(turn.dialog))

    def ask_for_patience(self, uow: UnitOfWork, incoming: Incoming, now: dt.datetime) -> None:
        """Tell a person that they send more than is handled at once; a stranger is not told."""
        if uow.people.member(incoming.sender.address) is None:
            return
        text = self._voice_for(uow, incoming.sender, now).say("start.busy")
        uow.outbox.post(Outgoing(key=f"busy:{now:%Y-%m-%dT%H:%M}", chat=incoming.chat, text=text), now)

    def apologize(self, uow: UnitOfWork, incoming: Incoming, number: int, now: dt.datetime) -> None:
        """Tell a person that their message could not be handled, and under which number it is kept."""
        text = self._voice_in_trouble(uow, incoming.sender, now).say("refused.trouble", number=number)
        uow.outbox.post(Outgoing(key=f"reply:{incoming.key}", chat=incoming.chat, text=text), now)

    def forget(self) -> None:
        """Begin anew: a unit of work was rolled back, and with it what was folded and said."""
        self._shelf.forget()
        self._strangers.forget_told()

    def _fold(self, uow: UnitOfWork, farm: int) -> FarmFold:
        edition = uow.farms.lock(farm)
        if edition is None:
            raise NumberTakenError("the farm was erased in between")
        return self._shelf.fold(farm, edition, uow.journal)

    def _voice_for(self, uow: UnitOfWork, sender: Sender, now: dt.datetime) -> Voice:
        """Give the words for what is said without a turn."""
        member = uow.people.member(sender.address)
        if member is None:
            return Voice(Farm(), now, speaking.of_stranger(sender.language))
        farm = self._fold(uow, member.farm).farm
        return Voice(farm, now, speaking.of_person(farm, member.name, member.language))

    def _voice_in_trouble(self, uow: UnitOfWork, sender: Sender, now: dt.datetime) -> Voice:
        try:
            return self._voice_for(uow, sender, now)
        except Exception:  # noqa: BLE001 - what fails the message may fail this as well; the apology goes out anyhow
            return Voice(Farm(), now, speaking.of_stranger(sender.language))

    def _may_found(self, address: str) -> bool:
        return not self._owners or address in self._owners

    def _invite(self, uow: UnitOfWork, member: Member, role: Role, now: dt.datetime) -> tuple[str, str | None]:
        token = membership.invite(uow, member, now, role)
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
