"""The people of the crash test: they set up their farms, send numbered messages and press buttons."""

import asyncio
import datetime as dt
from dataclasses import dataclass, field

from tests.crash.ledger import FIRST, LAST, PULLED, PUSH, REPLY, UNDONE, Act, Mark

FARMS = (("Noor", "Tomas"), ("Ines", "Walt"), ("Dana",), ("Rio",), ("Lupe",), ("Sol",), ("Bea",))
HOUR = 10  # on the farms' clocks: late enough for a tray of yesterday to be due, early enough for hours of reminders
TEXTS = ("harvested {} adults from bin 1", "note number {}", "fed bin {}", "tray in bin {} yesterday 8am")
TRAY = TEXTS[3]
WEIGHTS = (40, 30, 10, 20)
ANSWERS_WITHIN = 60.0  # seconds, on a busy machine, while nobody is killed
PRESS_SHARE = 0.3
PAUSE = (0.02, 0.25)  # seconds between two acts
BURST_SHARE = 0.1
MOST_OPEN = 12  # messages and presses of one person that are not answered; then they wait


@dataclass(kw_only=True)
class Farm:
    """A farm, its people, and the next number to be used on it."""

    number: int
    people: list
    next: int = FIRST
    trays: list[int] = field(default_factory=list)


class People:
    """What they do, put down in the ledger."""

    def __init__(self, service, ledger, chance):
        self._service = service
        self._ledger = ledger
        self._chance = chance
        self._buttons = []  # what may be pressed: the message, the label, and the number that it is about
        self._offered = set()
        self.farms = [
            Farm(number=number, people=[service.person(name) for name in names]) for number, names in enumerate(FARMS)
        ]
        self._farm_of = {person.id: farm for farm in self.farms for person in farm.people}
        self.first_update = None  # of the numbered ones
        service.on_sent = self._sees

    @property
    def chats(self):
        """Give the chats of each farm."""
        return {farm.number: [person.id for person in farm.people] for farm in self.farms}

    async def set_up(self):
        """Found the farms and bring everybody in."""
        for farm in self.farms:
            owner, *others = farm.people
            await self._asks(owner, f"time zone {zone()}")
            for other in others:
                link = (await self._asks(owner, "/invite")).text.splitlines()[-1]
                await self._asks(other, f"/start {link.partition('=')[2]}")
        self._ledger.strays.clear()

    async def act_until(self, stop):
        """Send messages and presses, now one, now several at once, until told to stop."""
        while not stop.is_set():
            for _ in range(self._chance.randint(3, 8) if self._chance.random() < BURST_SHARE else 1):
                self.act()
            await asyncio.sleep(self._chance.uniform(*PAUSE))

    def act(self):
        """Send one message or press."""
        if self._buttons and self._chance.random() < PRESS_SHARE:
            self._press(*self._buttons.pop(self._chance.randrange(len(self._buttons))))
            return
        farm = self._chance.choice(self.farms)
        who = self._chance.choice(farm.people)
        if farm.next <= LAST and self._ledger.open[who.id] < MOST_OPEN:
            self._write(farm, who)

    def _write(self, farm, who):
        text = self._chance.choices(TEXTS, WEIGHTS)[0]
        message = self._service.says(who, text.format(farm.next))
        mark = Mark(what=REPLY, number=farm.next, chat=who.id)
        farm.next += 1
        self._note(mark, farm, f"telegram:{who.id}:{message['message_id']}", is_tray=text == TRAY)

    def _press(self, sent, label, mark):
        farm = self._farm_of[sent.chat]
        who = next(person for person in farm.people if person.id == sent.chat)
        self._service.presses(who, sent, label)
        what = PULLED if label == "Pulled" else UNDONE
        key = f"telegram:update:{self._service.updates.waiting[-1]['update_id']}"
        self._note(Mark(what=what, number=mark.number, chat=sent.chat), farm, key, is_tray=False)

    def _note(self, mark, farm, message, *, is_tray):
        update = self._service.updates.waiting[-1]["update_id"]
        act = Act(mark=mark, farm=farm.number, update=update, message=message, is_tray=is_tray, at=_now())
        self._ledger.did(act)

    def _sees(self, sent):
        mark = self._ledger.saw(sent.chat, sent.text, _now())
        if mark is None:
            return
        farm = self._farm_of[sent.chat]
        if mark.what == PUSH and "Pulled" in sent.labels:
            self._offer(sent, "Pulled", mark, (farm.number, mark.number))
        elif mark.what == REPLY and "Undo" in sent.labels and "lay tray" not in sent.text:
            self._offer(sent, "Undo", mark, (farm.number, mark.number))

    def _offer(self, sent, label, mark, once):
        """Keep a button for pressing, one for each number of a farm."""
        if once not in self._offered:
            self._offered.add(once)
            self._buttons.append((sent, label, mark))

    async def _asks(self, who, text):
        count = len(self._service.sent(who))
        self._service.says(who, text)
        await self._service.until(lambda: len(self._service.sent(who)) > count, within=ANSWERS_WITHIN)
        return self._service.sent(who)[count]


def zone():
    """Give the offset at which it is now the hour that suits us."""
    ahead = (HOUR - dt.datetime.now(dt.UTC).hour + 11) % 24 - 11  # noqa: TID251 - the processes go by the real time
    return f"UTC{'-' if ahead < 0 else '+'}{abs(ahead):02d}:00"


def _now():
    return asyncio.get_running_loop().time()
