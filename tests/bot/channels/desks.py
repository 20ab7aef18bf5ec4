"""A desk that answers without understanding, for tests of what stands around it."""

import datetime as dt

from bot.ports.messages import About, Button, Outgoing
from bot.ports.outbox import NO_OUTLET
from bot.ports.stores import Chat, Member
from core.journal.kinds import Role

YES = Button(label="Yes", data="1:yes")
LATER = Button(label="In an hour", data="1:later")


class EchoDesk:
    """Founds a farm for the first sender, says back what it hears, and reminds everybody each hour on the hour."""

    is_holding = False

    def __init__(self, store, clock, *, reminds=True) -> None:
        self._store = store
        self._clock = clock
        self._reminds = reminds
        self.heard = []

    def take(self, *messages):
        with self._store.begin() as work:
            return sum(work.inbox.store(incoming, self._clock.now()) for incoming in messages)

    def take_and_answer(self, messages, _outlet):
        return self.take(*messages), True

    def work(self, is_over=lambda: False, outlet=NO_OUTLET):
        handled = 0
        with self._store.begin() as work:
            while not is_over() and (claimed := work.inbox.claim()):
                for received in claimed:
                    self._answer(work, received.incoming)
                    work.inbox.mark_handled(received.id, self._clock.now())
                    handled += 1
        if handled:
            outlet.begin([])
        return handled

    def remind(self):
        now = self._clock.now()
        with self._store.begin() as work:
            farms = work.farms.claim_due(now)
            for farm in farms:
                for chat in work.people.chats(farm):
                    out = Outgoing(
                        key=f"push:{now.isoformat()}", chat=chat.address, text="\x02Shelf\x03: water.", is_push=True,
                        buttons=((LATER,),), about=About(chores=[{"chore": "water"}]),
                    )  # fmt: skip
                    work.outbox.post(out, now)
                work.farms.set_next_due(farm, _next_hour(now))
        return len(farms)

    def _answer(self, work, incoming):
        self.heard.append(incoming)
        now = self._clock.now()
        if work.people.member(incoming.sender.address) is None:
            farm = work.farms.found(now)
            who = {"address": incoming.sender.address, "farm": farm}
            work.people.put(Member(name=incoming.sender.name, role=Role.OWNER, **who))
            work.people.put_chat(Chat(is_group=False, **who))
            if self._reminds:
                work.farms.set_next_due(farm, _next_hour(now))
        text = f"pressed {incoming.press}" if incoming.press else f"heard {incoming.text}"
        out = Outgoing(key=f"reply:{incoming.key}", chat=incoming.chat, text=text, buttons=((YES,),))
        work.outbox.post(out, now)


def _next_hour(now):
    return now.replace(minute=0, second=0, microsecond=0) + dt.timedelta(hours=1)
