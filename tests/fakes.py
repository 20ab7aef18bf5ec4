"""Stand-ins that the tests steer: a clock, a channel that remembers. The store is in tests.memory."""

import datetime as dt

from bot.ports.messages import Outgoing

SPRING = dt.datetime(2026, 5, 1, 12, tzinfo=dt.UTC)


class FakeClock:
    """A clock that stands still until it is told to move."""

    def __init__(self, at: dt.datetime = SPRING) -> None:
        self._at = at.astimezone(dt.UTC)

    def now(self) -> dt.datetime:
        return self._at

    def set(self, at: dt.datetime) -> None:
        self._at = at.astimezone(dt.UTC)

    def forward(self, *, days: float = 0, hours: float = 0, minutes: float = 0, seconds: float = 0) -> None:
        self._at += dt.timedelta(days=days, hours=hours, minutes=minutes, seconds=seconds)

    async def sleep(self, seconds: float) -> None:
        """Let that time pass at once, where asyncio.sleep would wait."""
        self.forward(seconds=seconds)


class RecordingChannel:
    """A channel that remembers what it was given, and fails where it is told to."""

    def __init__(self) -> None:
        self.sent: list[Outgoing] = []
        self.late: dict[str, dt.datetime] = {}  # by key of the message
        self._failures: dict[str, list[Exception]] = {}

    def fail(self, chat: str, *errors: Exception) -> None:
        """Raise these, one a message, for the next messages to a chat."""
        self._failures.setdefault(chat, []).extend(errors)

    async def send(self, outgoing: Outgoing, *, late_since: dt.datetime | None = None) -> str:
        if self._failures.get(outgoing.chat):
            raise self._failures[outgoing.chat].pop(0)
        self.sent.append(outgoing)
        if late_since is not None:
            self.late[outgoing.key] = late_since
        return f"sent:{len(self.sent)}"

    def keys(self, chat: str | None = None) -> list[str]:
        """Name what was sent, in order: to one chat or to all."""
        return [outgoing.key for outgoing in self.sent if chat in (None, outgoing.chat)]
