import datetime as dt

from bot.assistant.desk import Desk
from bot.assistant.pace import Pace
from bot.ports.messages import Incoming, Sender
from bot.reader.reader import Reader
from tests.fakes import FakeClock
from tests.memory import MemoryStore

NOON = dt.datetime(2026, 7, 14, 18, tzinfo=dt.UTC)


def test_so_many_a_minute_are_let_through_and_the_next_waits_for_the_minute_to_pass():
    pace = Pace(2)

    assert [pace.lets_through("a", NOON + dt.timedelta(seconds=s)) for s in (0, 10, 20, 59, 60, 61, 70)] == [
        True, True, False, False, True, False, True,
    ]  # fmt: skip


def test_one_person_does_not_hold_up_another():
    pace = Pace(1)

    assert pace.lets_through("a", NOON)
    assert not pace.lets_through("a", NOON)
    assert pace.lets_through("b", NOON)


def test_who_has_to_wait_is_told_once_a_minute():
    pace = Pace(1)

    assert [pace.tells("a", NOON + dt.timedelta(seconds=s)) for s in (0, 0, 59, 60, 61, 125)] == [
        True, False, False, True, False, True,
    ]  # fmt: skip
    assert pace.tells("b", NOON)


def test_who_has_not_written_for_a_minute_is_forgotten():
    pace = Pace(2)
    for number in range(500):
        at = NOON + dt.timedelta(seconds=number)
        pace.lets_through(f"telegram:{number}", at)
        pace.tells(f"telegram:{number}", at)

        assert len(pace) <= 60

    assert pace.lets_through("a", NOON + dt.timedelta(hours=1))
    assert len(pace) == 1


def test_one_who_goes_on_writing_is_not_forgotten():
    pace = Pace(3)

    for second in (0, 40, 70):
        assert pace.lets_through("a", NOON + dt.timedelta(seconds=second))
        pace.lets_through("b", NOON + dt.timedelta(seconds=second + 1))
    assert pace.lets_through("a", NOON + dt.timedelta(seconds=75))
    assert not pace.lets_through("a", NOON + dt.timedelta(seconds=76))


def test_a_clock_that_was_set_back_holds_nobody_up():
    pace = Pace(1)
    pace.lets_through("a", NOON)

    assert pace.lets_through("a", NOON - dt.timedelta(hours=1))


def test_without_a_bound_all_are_let_through():
    assert all(Pace(0).lets_through("a", NOON) for _ in range(1000))


def test_what_one_person_sends_on_top_waits_and_is_told_of_once_and_answered_later():
    clock, store = FakeClock(NOON), MemoryStore()
    desk = Desk(store=store, reader=Reader(), clock=clock, person_rate=2)
    for number in range(4):
        sender = Sender(address="telegram:1", name="Noor")
        text = f"chirping in bin {number + 1}"
        desk.take(Incoming(key=f"u{number}", chat="telegram:1", sender=sender, sent_at=NOON, text=text))

    first = desk.work(), desk.is_holding, _keys(store, clock)
    clock.forward(minutes=1)
    second = desk.work(), desk.is_holding, _keys(store, clock)

    assert first == (2, True, ["reply:u0", "reply:u1", "busy:2026-07-14T18:00"])
    assert second == (2, False, [*first[2], "reply:u2", "reply:u3"])


def test_a_stranger_who_sends_much_is_not_asked_for_patience():
    clock, store = FakeClock(NOON), MemoryStore()
    desk = Desk(store=store, reader=Reader(), clock=clock, owners=frozenset({"telegram:2"}), person_rate=2)
    sender = Sender(address="telegram:1", name="Lupe")
    for number in range(9):
        desk.take(Incoming(key=f"u{number}", chat="telegram:1", sender=sender, sent_at=NOON, text="let me in"))

    assert (desk.work(), desk.is_holding, _keys(store, clock)) == (2, True, ["refusal:u0"])


def _keys(store, clock):
    with store.begin() as work:
        return [w.outgoing.key for w in work.outbox.waiting(clock.now())]
