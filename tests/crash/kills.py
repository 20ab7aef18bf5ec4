"""The ways in which a process is killed, and the instant of each."""

import asyncio
import contextlib
from dataclasses import dataclass

AT_RANDOM, STARTING = "at random", "while it starts"
UNANSWERED, UNMARKED = "message sent, its answer not", "message sent and answered, not marked"
BEFORE_COMMIT, IN_COMMIT, AFTER_COMMIT = "before a commit", "in a commit", "after a commit"
MOMENTS = {BEFORE_COMMIT: "before", IN_COMMIT: "in", AFTER_COMMIT: "after"}  # as the launcher names them
OF_FRESH = (STARTING, *MOMENTS)  # these take a process that starts now
KINDS = (AT_RANDOM, STARTING, UNANSWERED, UNMARKED, BEFORE_COMMIT, IN_COMMIT, AFTER_COMMIT)
WEIGHTS = (3, 1, 2, 2, 1, 3, 1)
ALL_SHARE = 0.3  # of the kills at random, where there are several processes: those that take all at once
LONGEST_WAIT = 1.0  # seconds of work before a kill at random
LONGEST_START = 1.2  # seconds
MOST_COMMITS = 25
LONGEST_COMMIT = 2000  # microseconds
MOST_SENDS = 8
LONGEST_MARK = 0.006  # seconds


@dataclass(frozen=True, kw_only=True)
class Blow:
    """A kill, as chance has picked it."""

    kind: str
    wait: float  # seconds after the process is at work, or after its start
    commit: int
    microseconds: int  # after the commit began
    sends: int
    mark: float  # seconds after the answer
    takes_all: bool

    @property
    def killing(self):
        """Give what the launcher is told; nothing where the kill comes from outside."""
        return (self.commit, MOMENTS[self.kind], self.microseconds) if self.kind in MOMENTS else ()


def pick(chance, *, are_several):
    """Pick a kill; each takes as much of chance as any other, so that a seed gives the same ones."""
    kind = chance.choices(KINDS, WEIGHTS)[0]
    share = chance.random()
    longest = LONGEST_START if kind == STARTING else LONGEST_WAIT
    return Blow(
        kind=kind,
        wait=chance.uniform(0, longest),
        commit=chance.randint(1, MOST_COMMITS),
        microseconds=chance.randrange(LONGEST_COMMIT),
        sends=chance.randint(1, MOST_SENDS),
        mark=chance.uniform(0, LONGEST_MARK),
        takes_all=are_several and kind == AT_RANDOM and share < ALL_SHARE,
    )


class Trap:
    """Lies in the server and kills the process that sends one of the next messages."""

    def __init__(self, blow, workers):
        self._blow = blow
        self._workers = workers
        self._left = blow.sends
        self._sender = None

    @contextlib.contextmanager
    def laid(self, service):
        """Be there for a while."""
        service.on_message, service.on_answered = self._taken, self._answered
        try:
            yield
        finally:
            service.on_message = service.on_answered = None

    def _taken(self, number):
        """Count a message that the server has taken; strike where its answer is not to go out."""
        self._left -= 1
        if self._left == 0:
            self._sender = number
            if self._blow.kind == UNANSWERED:
                self._workers[number].kill(self._blow.kind)

    def _answered(self, number):
        """Strike a little after the answer has gone out."""
        if self._blow.kind == UNMARKED and self._left <= 0 and number == self._sender:
            self._sender = None
            asyncio.get_running_loop().call_later(self._blow.mark, self._workers[number].kill, self._blow.kind)
