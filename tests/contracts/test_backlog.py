"""What every store promises of how much waits."""

from bot.ports.tally import Backlog
from tests.contracts.records import NOON, after, an_incoming, an_outgoing


def test_where_nothing_waits_there_is_no_oldest(store):
    assert store.backlog(NOON) == Backlog()


def test_of_the_inbox_what_is_not_handled_waits_since_it_was_stored(store):
    with store.begin() as work:
        for minute in range(4):
            work.inbox.store(an_incoming(f"telegram:update:{minute}", chat=f"telegram:{minute}"), after(minutes=minute))
        first, second, *_ = work.inbox.claim()
        work.inbox.mark_handled(first.id, after(minutes=5))
        work.inbox.mark_failed(second.id, after(minutes=5), "it failed", give_up=False)

    seen = store.backlog(after(minutes=5))
    assert (seen.inbox_waiting, seen.inbox_oldest) == (3, after(minutes=1))

    with store.begin() as work:
        work.inbox.mark_failed(second.id, after(minutes=6), "it failed", give_up=True)

    seen = store.backlog(after(minutes=6))
    assert (seen.inbox_waiting, seen.inbox_oldest) == (2, after(minutes=2))


def test_of_the_outbox_what_should_have_left_waits_since_then(store):
    with store.begin() as work:
        for minute in range(4):
            work.outbox.post(an_outgoing(chat=f"telegram:{minute}"), after(minutes=minute))

    seen = store.backlog(after(minutes=2))
    assert (seen.outbox_waiting, seen.outbox_oldest) == (3, NOON)


def test_a_message_that_is_claimed_or_tried_again_later_still_waits(store):
    with store.begin() as work:
        for chat in ("telegram:1", "telegram:2"):
            work.outbox.post(an_outgoing(chat=chat), NOON)
        first, _ = work.outbox.claim(NOON, 9, until=after(minutes=1), channels=["telegram"], pushes=False)
        work.outbox.retry(first.id, after(minutes=5), "no answer")

    seen = store.backlog(after(seconds=1))
    assert (seen.outbox_waiting, seen.outbox_oldest) == (2, NOON)


def test_what_was_sent_or_given_up_waits_no_more(store):
    with store.begin() as work:
        for chat in ("telegram:1", "telegram:2"):
            work.outbox.post(an_outgoing(chat=chat), NOON)
        first, second = work.outbox.claim(NOON, 9, until=after(minutes=1), channels=["telegram"], pushes=False)
        work.outbox.mark_sent(first.id, NOON, "17")
        work.outbox.give_up(second.id, NOON, "the chat is gone")

    assert store.backlog(after(hours=1)) == Backlog()


def test_farms_are_due_once_their_time_has_come(store):
    with store.begin() as work:
        farms = [work.farms.found(NOON) for _ in range(4)]
        for hours, farm in enumerate(farms[:3]):
            work.farms.set_next_due(farm, after(hours=hours))

    assert store.backlog(after(hours=1)).farms_due == 2
