"""A stage whose reader understands what a test tells it to, so that these tests need no phrasebook."""

from bot.ports.intents import Intent, Understanding
from core.journal import wants
from core.journal.kinds import Addable
from tests.builders import NOON
from tests.conversations.stage import Stage

PLACES = (
    wants.Add(what=Addable.PLACE, name="lamp shelf", lamp=True, humidifier=False),
    wants.Add(what=Addable.PLACE, name="humid room", lamp=False, humidifier=True),
    wants.Add(what=Addable.PLACE, name="rack", lamp=False, humidifier=False),
)
BINS = tuple(wants.Add(what=Addable.BIN, name=name) for name in ("B1", "B2", "B3"))


UNITS = {"f": "F", "fahrenheit": "F", "c": "C", "celsius": "C"}


class ScriptedReader:
    """Understands the texts that it was told of; an answer is the name of a candidate, or its number."""

    def __init__(self):
        self.known = {}
        self.heard = []

    def read(self, text, *, at, farm, language="en"):
        self.heard.append((text, language))
        found = self.known.get(text, Understanding())
        if isinstance(found, Exception):
            raise found
        return found

    def answer(self, text, *, slot, farm, at, candidates=(), language="en"):
        if slot == "to":
            return UNITS.get(text.strip("°. ").lower())
        return next((c for c in candidates if text in {c, c[1:]}), None)


class Talk(Stage):
    """A farm of Noor and Tomas at noon, with three bins and three places."""

    def __init__(self, *bodies, start=NOON, is_open=True, **options):
        super().__init__(ScriptedReader(), start, **options)
        if is_open:
            self.open_farm(*PLACES, *BINS, *bodies)

    def means(self, text, *intents, **fields):
        """Have a text mean something."""
        self.reader.known[text] = Understanding(intents=intents, **fields)

    def tells(self, who, kind, slots=None, *, at=None, needs=(), **more):
        """Have somebody say what means one intent; give the answer."""
        text = f"{kind} {len(self.reader.known)}"
        self.means(text, Intent(kind=kind, slots={**(slots or {}), **more}, at=at, needs=needs))
        return one(self.says(who, text))

    def asks(self, who, topic, **slots):
        return self.tells(who, "ask", topic=topic, **slots)

    def press(self, who, label, **options):
        return one(self.presses(who, label, **options))

    def say(self, who, text, **options):
        return one(self.says(who, text, **options))

    def pull(self, bin_="B1", place="lamp shelf"):
        """Have Noor set a tray and pull it a day later; give the answer."""
        self.tells("Noor", "tray_in", bin=bin_)
        self.clock.forward(days=1)
        slots = {"bin": bin_} if place is None else {"bin": bin_, "place": place}
        return self.tells("Noor", "tray_out", slots)

    @property
    def last_number(self):
        return self.farm.last_number


def one(told):
    """Give the only message."""
    assert len(told) == 1, told
    return told[0]
