"""What people sent, what they saw of it, and which process was killed when."""

import re
from collections import Counter
from dataclasses import dataclass, field

FIRST = 101  # numbers of one or two digits are of tubs, bins and times
LAST = 9999  # the largest number that a bin may have
REPLY, PUSH, UNDONE, PULLED = "reply", "push", "undone", "pulled"

# How each thing is told: the first line of a message, its number in it.
TOLD = {
    REPLY: re.compile(
        r"Bin (\d{3,4}): (?:lay tray in|fed)|Bin 1: harvested ([\d,]+) adults|Noted: number (\d+)"
    ),
    PUSH: re.compile(r"Bin (\d{3,4}): pull the tray\."),
    UNDONE: re.compile(r"Taken back: .*?(?:Bin (\d{3,4}):|harvested ([\d,]+) adults|number (\d+))"),
    PULLED: re.compile(r"Tub \d+: pulled from bin (\d{3,4}) "),
}  # fmt: skip
AGAIN = re.compile(r"Bin \d{3,4}: (?:the tray is still in|tray in for over)")  # a tray that nobody pulls for two hours


@dataclass(frozen=True, kw_only=True)
class Mark:
    """One thing that a person is to be told: what, of which number, in which chat."""

    what: str
    number: int
    chat: int


@dataclass(frozen=True, kw_only=True)
class Act:
    """A message or a press, as it was sent."""

    mark: Mark  # its answer
    farm: int
    update: int
    message: str  # how events name it
    is_tray: bool
    at: float


@dataclass(kw_only=True)
class Ledger:
    """All that happened outside of the processes."""

    acts: list[Act] = field(default_factory=list)
    open: Counter = field(default_factory=Counter)  # acts that are not answered, by chat
    seen: dict[Mark, list[float]] = field(default_factory=dict)
    strays: list[str] = field(default_factory=list)  # messages that nothing asked for
    faults: list[str] = field(default_factory=list)  # processes that ended otherwise than they should
    kills: list[tuple[float, str]] = field(default_factory=list)  # when, and of which kind
    handovers: list[float] = field(default_factory=list)  # seconds from a poller's death to the next one's first poll
    order: dict[int, list[Mark]] = field(default_factory=dict)  # by chat: answers as they came, repeated ones left out

    def did(self, act):
        """Note a message or a press."""
        self.acts.append(act)
        self.open[act.mark.chat] += 1

    def saw(self, chat, text, at):
        """Note a message of the bot; give what it tells, None for a stray."""
        mark = told(chat, text)
        if mark is None:
            if not AGAIN.match(text):
                self.strays.append(text.splitlines()[0])
            return None
        times = self.seen.setdefault(mark, [])
        times.append(at)
        if len(times) == 1 and mark.what != PUSH:
            self.order.setdefault(chat, []).append(mark)
            self.open[chat] -= 1
        return mark

    def unanswered(self):
        """Give the acts whose answer nobody saw."""
        return [act for act in self.acts if act.mark not in self.seen]

    def is_complete(self, chats):
        """Whether all was answered and all reminders came that still have a reason to."""
        overtaken = set(self.pushes_of_pulled(chats))
        return not self.unanswered() and all(mark in self.seen or mark in overtaken for mark in self.pushes(chats))

    def waits_over_a_kill(self):
        """Give how long people waited for their answers where a process was killed meanwhile."""
        first = [(act.at, self.seen[act.mark][0]) for act in self.acts if act.mark in self.seen]
        return [seen - at for at, seen in first if any(at <= kill <= seen for kill, _ in self.kills)]

    def pushes(self, chats):
        """Give the reminders that are to come: one for each tray in each chat of its farm."""
        return _pushes((act for act in self.acts if act.is_tray), chats)

    def pushes_of_pulled(self, chats):
        """Give those of trays that somebody has pulled: who had not got theirs by then need not get it any more."""
        return _pushes((act for act in self.acts if act.mark.what == PULLED), chats)


def _pushes(acts, chats):
    return [Mark(what=PUSH, number=act.mark.number, chat=chat) for act in acts for chat in chats[act.farm]]


def told(chat, text):
    """Read which thing a message of the bot tells; None where it is none of ours."""
    for what, pattern in TOLD.items():
        if found := pattern.match(text):
            number = next(group for group in found.groups() if group)
            return Mark(what=what, number=int(number.replace(",", "")), chat=chat)
    return None
