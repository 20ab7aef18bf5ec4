"""One message being handled: what is known, what is recorded and what will be answered.

Everything that handling a message changes is in here until the end, when the desk puts it into the stores at once.
Not for deciding anything: the modules beside it do that with a turn in hand.
"""

import contextlib
import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from bot.assistant import buttons, speaking
from bot.assistant.dialog import Dialog
from bot.assistant.shelf import Forecaster
from bot.ports.intents import Intent, to_json
from bot.ports.messages import About, Attachment, Button, Incoming, Outgoing, Rows
from bot.ports.stores import Member
from bot.reader.reader import Reader
from bot.replies.voice import Voice
from core.farm.farm import Farm
from core.farm.fold import FarmFold
from core.journal.event import Body, Event
from core.journal.kinds import Role
from core.rules import hours
from core.rules.forecasts import Forecast
from core.science.development import HatchWindow

MOST_LABEL = 24  # letters of a row of buttons that a phone shows without cutting them off
A_ROW = 3


MakeInvite = Callable[[Role], tuple[str, str | None]]  # gives a token, and a link where the channel has one


class Turn:
    """A message, the farm it is for, and what comes of it."""

    def __init__(
        self,
        *,
        incoming: Incoming,
        member: Member,
        fold: FarmFold,
        dialog: Dialog,
        reader: Reader,
        now: dt.datetime,
        forecaster: Forecaster | None = None,
        make_invite: MakeInvite | None = None,
    ) -> None:
        self.incoming = incoming
        self.member = member
        self.fold = fold
        self.dialog = dialog
        self.reader = reader
        self.now = now
        self.said_at = min(incoming.sent_at, now)
        self.message = incoming.message or incoming.key
        self.lines: list[str] = []
        self.buttons: list[Button] = []
        self.news: list[Event] = []
        self.told: list[dict[str, Any]] = []
        self.stated: dict[str, dict[str, Any]] = {}
        self.file: Attachment | None = None
        self.erases_farm = False
        self.erases: str | None = None  # a person
        self.parts: str | None = None  # a person who is of the farm no more
        self.asks_location = False
        self.has_asked = False  # a question, or a step of setting up, that the next message may answer
        self._forecaster = forecaster or Forecaster()
        self._make_invite = make_invite

    @property
    def farm(self) -> Farm:
        """The farm as it is now, with what this message has recorded."""
        return self.fold.farm

    @property
    def language(self) -> str:
        """The language of the answer, and what a text is read as."""
        return speaking.of_person(self.farm, self.member.name, self.member.language)

    @property
    def voice(self) -> Voice:
        """The words and clocks for the answer."""
        return Voice(self.farm, self.now, self.language)

    @property
    def for_buttons(self) -> Voice:
        """The words that buttons say for a person: English, whatever is spoken."""
        return Voice(self.farm, self.now)

    @property
    def bond(self) -> str:
        """What ties the buttons of the answer to this farm and chat."""
        return buttons.bond(self.member.farm, self.incoming.chat)

    @property
    def is_farewell(self) -> bool:
        """Say whether nothing is to be kept of the person who is answered."""
        return self.erases_farm or self.erases == self.member.name

    def make_invite(self, role: Role) -> tuple[str, str | None]:
        """Make an invite: its token, and a link where the channel has one."""
        if self._make_invite is None:
            raise LookupError("nothing makes invites in this turn")
        return self._make_invite(role)

    def forecasts(self) -> Mapping[str, Forecast]:
        """Give the forecasts of the farm as it is now."""
        return self._forecaster.of(self.farm)

    def local(self, at: dt.datetime) -> dt.datetime:
        """Give a time on the farm's clocks."""
        return hours.local(self.farm, at)

    def event(self, body: Body, at: dt.datetime | None = None, *, by: str | None = None) -> Event:
        """Make the next event of the journal, without recording it."""
        return Event(
            number=self.farm.last_number + 1,
            said_at=self.said_at.astimezone(dt.UTC),
            happened_at=(at or self.said_at).astimezone(dt.UTC),
            by=self.member.name if by is None else by,
            message=self.message,
            body=body,
        )

    def record(self, entry: Event) -> None:
        """Record an event."""
        self.fold.add([entry])
        self.news.append(entry)

    def tell(self, intent: Intent) -> None:
        """Remember an intent that was recorded, in the form of the schema."""
        at = self.local(intent.at) if intent.at is not None else None
        self.told.append(to_json(Intent(kind=intent.kind, slots=intent.slots, at=at)))

    def state(self, tubs: Sequence[str]) -> None:
        """Remember that the answer states the hatch of these tubs."""
        known = self.forecasts()
        for name in tubs:
            found = known.get(name)
            if found is not None and isinstance(found.window, HatchWindow):
                self.stated[name] = stated(self.farm, found, found.window)

    def say(self, key: str, **fields: object) -> None:
        """Add a line to the answer."""
        self.lines.append(self.voice.say(key, **fields))

    def button(self, label: str, pressed: buttons.Pressed) -> None:
        """Add a button under the answer, where there is none with its label yet and it carries no more than it can."""
        if any(b.label == label for b in self.buttons):
            return
        with contextlib.suppress(buttons.TooLongError):  # a bin with a long name: what it says can be typed
            self.buttons.append(Button(label=label, data=buttons.write(pressed, self.bond)))

    def outgoing(self) -> Outgoing:
        """Give the answer."""
        return Outgoing(
            key=f"reply:{self.incoming.key}",
            chat=self.incoming.chat,
            text="\n".join(line for line in self.lines if line),
            buttons=in_rows(self.buttons),
            asks_location=self.asks_location,
            location_label=self.voice.say("start.location") if self.asks_location else "",
            file=self.file,
            is_kept=not self.is_farewell,
            answers_press=self.incoming.key if self.incoming.press is not None else None,
            about=About(events=self.told, forecast=list(self.stated.values())),
        )


def stated(farm: Farm, forecast: Forecast, window: HatchWindow) -> dict[str, Any]:
    """Give a hatch window in the form that `replay` prints."""
    times = {"earliest": window.earliest, "likely": window.likely, "latest": window.latest}
    told = {name: hours.local(farm, at).isoformat(timespec="minutes") for name, at in times.items()}
    return {"tub": forecast.tub, **told}


def in_rows(found: Sequence[Button]) -> Rows:
    """Put buttons in rows of at most three, as many as a phone shows whole."""
    rows: list[list[Button]] = []
    for button in found:
        row = rows[-1] if rows else None
        if row is None or len(row) == A_ROW or sum(len(b.label) for b in [*row, button]) > MOST_LABEL:
            rows.append([button])
        else:
            row.append(button)
    return tuple(tuple(row) for row in rows)
