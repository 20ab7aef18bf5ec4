"""Two farms on one desk, with names made to do harm.

Nothing of one ever shows on the other, and each comes to what it comes to alone.
"""

import datetime as dt
import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.assistant.desk import Desk
from bot.channels.telegram.parts import parts
from bot.ports.intents import Intent, Understanding
from bot.ports.messages import Incoming, Sender
from bot.ports.stores import Chat, Member
from bot.storage.sql_store import SqlStore
from core.journal import codec, event, wants
from core.journal.kinds import Addable, Role, Setting
from tests.botapi.markup import read_html
from tests.builders import NOON
from tests.fakes import FakeClock
from tests.memory import MemoryStore

MARKS = ("qzvone", "qzvtwo")  # stands in every name and word of a farm
HOSTILE = (
    "<b>x</i>", "<script>alert(1)</script>", "</b>&amp;&lt;", "\x02\x03\x02", "\x00\x1b[31m", "\u202egnol\u202c",
    "\u2066", "'); DROP TABLE events; --", '" OR 1=1', '=HYPERLINK("http://x")', "+1+1", "@cmd", "{tub} {0}", "%s %d",
    "%(name)s", "x" * 300, "🦗" * 30, "👩\u200d🌾", "\u0301" * 20, "a\nb\r\nc", "T1", "B1", "Noor", "lamp shelf",
    "2|xxxxxx|u|1|9", "null", "\\", " ",
)  # fmt: skip
MOST_AT_ONCE = 200  # moments with reminders
PEOPLE = (Role.OWNER, Role.HAND, Role.LOOKER_ON)
ORDER = {"count": 5, "size": "small", "due": "2026-06-01"}
KINDS = (  # and the slot that has a name made to do harm
    ("add", "name", {"what": "place"}), ("add", "name", {"what": "bin"}), ("add", "name", {"what": "tub"}),
    ("remark", "text", {}), ("set", "to", {"what": "name"}), ("tray_in", "container", {"bin": "B1"}),
    ("tray_out", "place", {"bin": "B1"}), ("reading", "place", {"temp_c": 30.0}), ("placed", "place", {"all": True}),
    ("rename", "new", {"old": "lamp shelf"}), ("chirp", "bin", {}), ("bought", "what", {}), ("order", "who", ORDER),
    ("discarded", "reason", {"tub": "T1"}), ("ask", "place", {"topic": "status"}), ("fix", "place", {}),
    ("watered", "place", {}), ("set", "to", {"what": "units"}),
)  # fmt: skip
PLAIN = (
    "status", "what's due", "who watered", "help", "undo", "tray in bin 1", "pulled the tray from bin 1", "agenda",
    "lamp shelf 88", "how long on tub 1", "why", "when did I last water", "/invite", "/setup", "/start", "1", "neither",
    "skip", "/export", "/erase", "export my data",
    "español", "put the tray in", "pulled it", "no, bin 2", "watered", "qué toca", "estado",
)  # fmt: skip
WORDED = (
    "add place {}",
    "call the farm {}",
    "note: {}",
    "{}",
    "{} 88F",
    "tray in bin 1, {}",
    "no, {}",
    "mold in {}",
    "/erase {}",
)

FARM = st.integers(0, 1)
WHO = st.integers(0, len(PEOPLE) - 1)
NAME = st.tuples(st.sampled_from(HOSTILE), st.booleans())
SAID = st.one_of(
    st.tuples(st.just("intent"), st.sampled_from(KINDS), NAME),
    st.tuples(st.just("intent"), st.sampled_from(KINDS), NAME),
    st.tuples(st.just("text"), st.sampled_from(PLAIN)),
    st.tuples(st.just("worded"), st.sampled_from(WORDED), NAME),
    st.tuples(st.just("press"), st.integers(0, 40)),
)
STEP = st.one_of(
    st.tuples(st.just("say"), FARM, WHO, st.booleans(), SAID),
    st.tuples(st.just("say"), FARM, WHO, st.booleans(), SAID),
    st.tuples(st.just("stray press"), FARM, WHO, st.integers(0, 40)),
    st.tuples(st.just("stray talk"), FARM, WHO, SAID),
    st.tuples(st.just("pass"), st.sampled_from([1, 7, 30, 24 * 15])),
)


class Scripted:
    """A reader that takes an intent as it is written, and leaves all else to the real one."""

    def __init__(self, reader):
        self._reader = reader

    def read(self, text, **known):
        if not text.startswith("intent "):
            return self._reader.read(text, **known)
        kind, slots = json.loads(text.removeprefix("intent "))
        return Understanding(intents=(Intent(kind=kind, slots=slots),))

    def answer(self, text, **known):
        return self._reader.answer(text, **known)


def named(farm, name):
    hostile, is_first = name
    return f"{MARKS[farm]} {hostile}" if is_first else f"{hostile} {MARKS[farm]}"


class World:
    """Some of the two farms on one desk, and all that went to each chat."""

    def __init__(self, store, reader, farms, names):
        self.store, self.clock = store, FakeClock(NOON)
        self.desk = Desk(store=store, reader=Scripted(reader), clock=self.clock)
        self.ids = {farm: self._open(farm, names[farm]) for farm in farms}
        self.names = names
        self.sent = []  # farm, outgoing

    def _open(self, farm, name):
        people = [(f"{MARKS[farm]} Noor {name[:9]}{number}", role) for number, role in enumerate(PEOPLE)]
        bodies = [
            wants.Set(what=Setting.TIMEZONE, to="America/Denver"),
            wants.Set(what=Setting.NAME, to=named(farm, (name[:20], True))),
            *(wants.Joined(name=n, role=r) for n, r in people),
            wants.Add(what=Addable.PLACE, name="lamp shelf", lamp=True, humidifier=False),
            *(wants.Add(what=Addable.BIN, name=n) for n in ("B1", "B2")),
        ]
        events = [
            event.Event(number=n, said_at=NOON, happened_at=NOON, by="", message="opening", body=body)
            for n, body in enumerate(bodies, start=1)
        ]
        members = [
            Member(address=address(farm, number), farm=0, name=n, role=r) for number, (n, r) in enumerate(people)
        ]
        chats = [Chat(address=m.address, farm=0, is_group=False) for m in members]
        chats.append(Chat(address=group(farm), farm=0, is_group=True))
        return self.desk.open_farm(events, members, chats)

    def take(self, key, farm, who, chat, **what):
        sender = Sender(address=address(farm, who), name=f"{MARKS[farm]} Noor")
        at = self.clock.now()
        is_group = chat in map(group, (0, 1))
        self.desk.take(
            Incoming(key=key, chat=chat, sender=sender, sent_at=at, message=key, is_group=is_group, **what)
        )  # fmt: skip
        self.desk.work()
        self._drain()

    def pass_time(self, until, moments):
        """Let time pass, with a look at the reminders at each of these moments."""
        for moment in moments:
            self.clock.set(moment)
            self.desk.remind()
            self._drain()
        self.clock.set(until)

    def next_due(self):
        with self.store.begin() as work:
            return work.farms.next_due()

    def shown(self, chat):
        """Give all buttons that a chat was shown, by label."""
        return [b for out in self.sent if out.chat == chat for row in out.buttons for b in row]

    def _drain(self):
        now = self.clock.now()
        with self.store.begin() as work:
            while waiting := work.outbox.waiting(now):
                for one in waiting:
                    work.outbox.mark_sent(one.id, now, "sent")
                    self.sent.append(one.outgoing)

    def journal(self, farm):
        events = self.events(farm)
        return [(e.number, e.said_at, e.happened_at, e.by, e.message, codec.encode(e.body)) for e in events]

    def events(self, farm):
        with self.store.begin() as work:
            return work.journal.since(self.ids[farm])

    def told(self, farm):
        """Give what went to a farm's chats, without what is not the same twice: tokens, bonds, the farm's number."""
        mine = [o for o in self.sent if o.chat in chats(farm) and not o.key.startswith("refusal")]
        texts = ["" if "/start" in out.text else out.text for out in mine]
        labels = [[button.label for row in out.buttons for button in row] for out in mine]
        return [
            (out.key.split(":")[-1], out.chat, out.file, *told)
            for out, *told in zip(mine, texts, labels, strict=True)
        ]  # fmt: skip


def address(farm, who):
    return f"chat:{farm}{who}"


def group(farm):
    return f"group:{farm}"


def chats(farm):
    return {group(farm), *(address(farm, who) for who in range(len(PEOPLE)))}


def text_of(farm, said):
    match said:
        case ("intent", (kind, slot, slots), name):
            return f"intent {json.dumps([kind, {**slots, slot: named(farm, name)}])}"
        case ("worded", form, name):
            return form.format(named(farm, name))
        case (_, text):
            return text


class Life:
    """What happens to both farms, kept by farm so that each can live it again alone."""

    def __init__(self, world):
        self.world = world
        self.alone = ([], [])

    def step(self, key, step):
        match step:
            case ("pass", hours):
                self._passes(self.world.clock.now() + dt.timedelta(hours=hours))
            case ("stray press", farm, who, which):
                shown = self.world.shown(address(1 - farm, who))
                if shown:
                    self._lives(key, farm, who, address(farm, who), {"press": shown[which % len(shown)].data})
            case ("stray talk", farm, who, said):
                self.world.take(key, farm, who, group(1 - farm), **self._what(farm, said, ()))
            case ("say", farm, who, is_group, said):
                chat = group(farm) if is_group else address(farm, who)
                self._lives(key, farm, who, chat, self._what(farm, said, self.world.shown(chat)))

    def _passes(self, until):
        moments = []
        while (due := self.world.next_due()) is not None and due <= until and len(moments) < MOST_AT_ONCE:
            moments.append(max(due, self.world.clock.now()))
            self.world.pass_time(moments[-1], moments[-1:])
        self.world.pass_time(until, ())
        for lived in self.alone:
            lived.append(("pass_time", (until, tuple(moments)), {}))

    def _lives(self, key, farm, who, chat, what):
        self.alone[farm].append(("take", (key, farm, who, chat), what))
        live(self.world, *self.alone[farm][-1])

    def _what(self, farm, said, shown):
        if said[0] != "press":
            return {"text": text_of(farm, said)}
        return {"press": said[1] % len(shown)} if shown else {"text": "status"}


def live(world, act, given, what):
    """Do one step; a button is named by its place among those that the chat was shown."""
    if isinstance(what.get("press"), int):
        what = {"press": world.shown(given[3])[what["press"]].data}
    getattr(world, act)(*given, **what)


def check(make_store, reader, steps, names):
    both = World(make_store(), reader, (0, 1), names)
    life = Life(both)
    for number, step in enumerate(steps):
        life.step(f"chat:{number}", step)
    for farm, other in ((0, 1), (1, 0)):
        single = World(make_store(), reader, (farm,), names)
        for act, given_, what in life.alone[farm]:
            live(single, act, given_, what)

        assert both.journal(farm) == single.journal(farm)
        assert both.told(farm) == single.told(farm)
        assert MARKS[other] not in repr(both.events(farm)).casefold()
        for out in (o for o in both.sent if o.chat in chats(farm)):
            assert MARKS[other] not in repr(out).casefold()
            assert "Something went wrong" not in out.text
        single.store.close()
    for part in (part for out in both.sent for part in parts(out.text)):
        assert read_html(part.html)[0] == part.plain
    both.store.close()


FEW = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large]
STEPS = st.lists(STEP, min_size=4, max_size=24)
NAMES = st.tuples(st.sampled_from(HOSTILE), st.sampled_from(HOSTILE))


@settings(max_examples=100, deadline=None, suppress_health_check=FEW)
@given(steps=STEPS, names=NAMES)
def test_nothing_of_one_farm_shows_on_the_other_in_memory(reader, steps, names):
    check(MemoryStore, reader, steps, names)


@settings(max_examples=20, deadline=None, suppress_health_check=FEW)
@given(steps=STEPS, names=NAMES)
def test_nothing_of_one_farm_shows_on_the_other_in_a_database(reader, steps, names):
    check(lambda: SqlStore("sqlite://"), reader, steps, names)


@pytest.mark.soak
@settings(max_examples=2000, deadline=None, suppress_health_check=FEW)
@given(steps=STEPS, names=NAMES)
def test_nothing_of_one_farm_ever_shows_on_the_other(reader, steps, names):
    check(MemoryStore, reader, steps, names)
