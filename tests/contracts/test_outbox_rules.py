"""The two outboxes agree, whatever is done to them."""

import hypothesis
from hypothesis import stateful
from hypothesis import strategies as st
from msgspec.structs import replace

from bot.storage.sql_store import SqlStore
from tests.contracts.records import after, an_outgoing
from tests.memory import MemoryStore

CHATS = ["x:1", "x:2", "y:1", "z:1"]
CHANNELS = [("x",), ("x", "z"), ("y",)]
minutes = st.integers(0, 5)


class Outboxes(stateful.RuleBasedStateMachine):
    def __init__(self):
        super().__init__()
        self.sql = SqlStore("sqlite://")
        self.memory = MemoryStore()

    def teardown(self):
        self.sql.close()

    def both(self, do):
        with self.sql.begin() as sql, self.memory.begin() as memory:
            found, expected = do(sql.outbox), do(memory.outbox)
        assert found == expected
        return found

    @stateful.rule(key=st.sampled_from("abcdef"), chat=st.sampled_from(CHATS), minute=minutes, is_push=st.booleans())
    def post(self, key, chat, minute, is_push):
        self.both(lambda outbox: outbox.post(an_outgoing(key, chat, is_push=is_push), after(minutes=minute)))

    @stateful.rule(minute=minutes, limit=st.integers(1, 6))
    def look(self, minute, limit):
        self.both(lambda outbox: outbox.waiting(after(minutes=minute), limit))

    @stateful.rule(minute=minutes, limit=st.integers(0, 6), channels=st.sampled_from(CHANNELS), pushes=st.booleans())
    def claim(self, minute, limit, channels, pushes):
        now, until = after(minutes=minute), after(minutes=minute + 2)
        self.both(lambda outbox: outbox.claim(now, limit, until=until, channels=channels, pushes=pushes))

    @stateful.rule(waiting=st.integers(1, 8), minute=minutes, end=st.sampled_from(["mark_sent", "give_up", "retry"]))
    def end(self, waiting, minute, end):
        ids = {entry.id for entry in self.both(lambda outbox: outbox.waiting(after(days=1)))}
        if waiting in ids:
            self.both(lambda outbox: getattr(outbox, end)(waiting, after(minutes=minute), "17"))

    @stateful.rule(chats=st.permutations(CHATS), minute=minutes)
    def redirect(self, chats, minute):
        old, new, *_ = chats
        at = after(minutes=minute)
        self.both(lambda outbox: outbox.redirect(old, at, lambda outgoing: replace(outgoing, chat=new)))

    @stateful.invariant()
    def they_know_the_same_next_time(self):
        self.both(lambda outbox: outbox.next_at())
        self.both(lambda outbox: outbox.next_at(("x", "y")))

    @stateful.invariant()
    def all_that_waits_comes_in_the_end(self):
        waiting = self.both(lambda outbox: outbox.waiting(after(days=1)))
        assert [(entry.post_at, entry.id) for entry in waiting] == sorted(
            (entry.post_at, entry.id) for entry in waiting
        )


TestOutboxes = Outboxes.TestCase
TestOutboxes.settings = hypothesis.settings(max_examples=25, stateful_step_count=25, deadline=None)
