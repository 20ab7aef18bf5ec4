"""What every outbox promises."""

import datetime as dt

import msgspec
import pytest

from bot.ports.messages import About, Button, bold
from tests.contracts.records import CHAT, NOON, after, an_outgoing


def keys(waiting):
    return [entry.outgoing.key for entry in waiting]


def find(work, key, now=NOON):
    return next(entry.id for entry in work.outbox.waiting(now) if entry.outgoing.key == key)


@pytest.mark.parametrize(
    "outgoing",
    [
        pytest.param(an_outgoing(), id="plain"),
        pytest.param(
            an_outgoing(
                text=bold("Tub 3") + " \U0001f997\u202e\x00",
                buttons=(
                    (Button(label="Pulled", data="1:done:4"), Button(label="In an hour", data="1:later:4")),
                    (Button(label="Map", data="", url="https://example.org/?a=1&b=2"),),
                ),
                is_push=True,
                asks_location=True,
                answers_press="callback:9",
                about=About(events=[{"kind": "chirp"}], chores=[{"chore": "water"}], forecast=[{"tub": "T1"}]),
            ),
            id="full",
        ),
    ],
)
def test_a_message_comes_back_as_it_was(store, outgoing):
    with store.begin() as work:
        assert work.outbox.post(outgoing, NOON)

    with store.begin() as work:
        (waiting,) = work.outbox.waiting(NOON)
    assert waiting.outgoing == outgoing
    assert waiting.post_at == NOON
    assert waiting.tries == 0


def test_a_key_is_posted_once_to_a_chat_even_after_it_was_sent(store):
    with store.begin() as work:
        assert work.outbox.post(an_outgoing("k", "a:1"), NOON)
        assert work.outbox.post(an_outgoing("k", "a:2"), NOON)
        assert not work.outbox.post(an_outgoing("k", "a:1", text="another"), NOON)
        for entry in work.outbox.waiting(NOON):
            work.outbox.mark_sent(entry.id, NOON, "17")

    with store.begin() as work:
        assert not work.outbox.post(an_outgoing("k", "a:1"), NOON)
        assert work.outbox.waiting(NOON) == []


def test_messages_leave_by_the_time_they_were_meant_to_and_then_as_they_were_posted(store):
    with store.begin() as work:
        for key, at in (("second", NOON), ("third", NOON), ("first", after(seconds=-1)), ("tonight", after(hours=9))):
            work.outbox.post(an_outgoing(key), at)

        assert keys(work.outbox.waiting(NOON)) == ["first", "second", "third"]
        assert keys(work.outbox.waiting(NOON, limit=2)) == ["first", "second"]


def test_a_message_for_later_does_not_hold_back_an_answer_given_now(store):
    with store.begin() as work:
        work.outbox.post(an_outgoing("tonight"), after(hours=9))
        work.outbox.post(an_outgoing("now"), NOON)

        assert keys(work.outbox.waiting(NOON)) == ["now"]


def test_a_message_that_is_tried_again_later_holds_back_what_follows_in_its_chat_alone(store):
    with store.begin() as work:
        for key, chat in (("a1", "a"), ("a2", "a"), ("a3", "a"), ("b1", "b")):
            work.outbox.post(an_outgoing(key, chat), NOON)
        work.outbox.retry(find(work, "a2"), after(minutes=1), "timed out")
        assert keys(work.outbox.waiting(NOON)) == ["a1", "b1"]

        first, second, third, other = work.outbox.waiting(after(minutes=1))
        assert keys([first, second, third, other]) == ["a1", "a2", "a3", "b1"]
        assert [entry.tries for entry in (first, second, third, other)] == [0, 1, 0, 0]
        assert second.post_at == NOON


@pytest.mark.parametrize("end", ["mark_sent", "give_up"])
def test_what_is_sent_or_given_up_holds_nothing_back(store, end):
    with store.begin() as work:
        work.outbox.post(an_outgoing("first"), NOON)
        work.outbox.post(an_outgoing("second"), NOON)
        waiting = find(work, "first")
        work.outbox.retry(waiting, after(minutes=1), "timed out")
        assert work.outbox.waiting(NOON) == []

        getattr(work.outbox, end)(waiting, NOON, "17")
        assert keys(work.outbox.waiting(after(days=1))) == ["second"]


def test_the_next_time_is_when_the_first_chat_goes_on(store):
    with store.begin() as work:
        assert work.outbox.next_at() is None

        work.outbox.post(an_outgoing("a1", "a"), NOON)
        work.outbox.post(an_outgoing("a2", "a"), NOON)
        work.outbox.post(an_outgoing("b1", "b"), after(minutes=5))
        assert work.outbox.next_at() == NOON

        work.outbox.retry(find(work, "a1"), after(minutes=9), "timed out")
        assert work.outbox.next_at() == after(minutes=5)

        work.outbox.give_up(find(work, "b1", after(minutes=5)), NOON, "blocked")
        assert work.outbox.next_at() == after(minutes=9)


def test_ids_of_chats_with_one_key_are_apart(store):
    with store.begin() as work:
        work.outbox.post(an_outgoing("k", CHAT), NOON)
        work.outbox.post(an_outgoing("k", "telegram:1"), NOON)
        first, second = work.outbox.waiting(NOON)
        work.outbox.mark_sent(first.id, NOON, "17")

        assert work.outbox.waiting(NOON) == [second]


def claim(work, now=NOON, limit=10, channels=("telegram", "a", "b"), *, pushes=False):
    return keys(work.outbox.claim(now, limit, until=now + dt.timedelta(seconds=25), channels=channels, pushes=pushes))


def test_a_claim_gives_the_first_of_each_chat_and_keeps_it_from_others_until_it_runs_out(store):
    with store.begin() as work:
        work.outbox.post_all([an_outgoing(f"{chat}{n}", f"{chat}:1") for n in (1, 2) for chat in "ab"], NOON)
        assert claim(work, limit=1) == ["a1"]
        assert claim(work) == ["b1"]
        assert claim(work) == []
        assert work.outbox.next_at() == after(seconds=25)

        assert claim(work, after(seconds=24)) == []
        assert claim(work, after(seconds=25)) == ["a1", "b1"]


def test_the_next_of_a_chat_is_claimed_once_the_first_is_sent_or_given_up(store):
    with store.begin() as work:
        work.outbox.post_all([an_outgoing(f"{chat}{n}", f"{chat}:1") for n in (1, 2) for chat in "ab"], NOON)
        first, other = work.outbox.claim(NOON, 10, until=after(seconds=25), channels=("a", "b"), pushes=False)
        work.outbox.mark_sent(first.id, NOON, "17")
        work.outbox.retry(other.id, after(seconds=5), "timed out")

        assert claim(work) == ["a2"]
        assert claim(work, after(seconds=5)) == ["b1"]


def test_a_claim_takes_messages_of_its_channels_alone(store):
    with store.begin() as work:
        work.outbox.post(an_outgoing("one", "a:1"), after(minutes=-1))
        work.outbox.post(an_outgoing("two", "ab:1"), NOON)

        assert work.outbox.next_at(["ab"]) == NOON
        assert work.outbox.next_at(["a"]) == after(minutes=-1)
        assert claim(work, channels=("ab",)) == ["two"]
        assert claim(work, channels=("b",)) == []


def test_messages_posted_together_are_each_kept_once(store):
    with store.begin() as work:
        work.outbox.post(an_outgoing("k", "a:1"), NOON)
        work.outbox.post_all([an_outgoing("k", "a:1", text="another"), an_outgoing("k", "b:1")], NOON)
        work.outbox.post_all([], NOON)

        assert [(w.outgoing.chat, w.outgoing.text) for w in work.outbox.waiting(NOON)] == [
            ("a:1", "Noted."),
            ("b:1", "Noted."),
        ]


def test_what_was_sent_or_given_up_long_ago_is_forgotten_and_nothing_else(store):
    with store.begin() as work:
        work.outbox.post_all([an_outgoing("k", f"a:{n}") for n in range(5)], NOON)
        sent, sent_later, given_up, given_up_later, _waiting = work.outbox.waiting(NOON)
        work.outbox.mark_sent(sent.id, NOON, "17")
        work.outbox.mark_sent(sent_later.id, after(days=3), "18")
        work.outbox.give_up(given_up.id, NOON, "blocked")
        work.outbox.give_up(given_up_later.id, after(days=3), "blocked")

        assert work.outbox.prune(after(days=3), after(days=3)) == 2
        assert [work.outbox.post(an_outgoing("k", f"a:{n}"), NOON) for n in range(5)] == [
            True,
            False,
            True,
            False,
            False,
        ]


def to(chat):
    return lambda outgoing: msgspec.structs.replace(outgoing, chat=chat, text=outgoing.text + " Moved.")


def test_what_waits_for_a_chat_goes_to_another_in_its_order_and_as_it_was_changed(store):
    with store.begin() as work:
        for number in (1, 2, 3):
            work.outbox.post(an_outgoing(f"k{number}", "a:1"), NOON)
        work.outbox.post(an_outgoing("other", "a:9"), NOON)
        work.outbox.mark_sent(find(work, "k1"), NOON, "17")
        work.outbox.retry(find(work, "k2"), after(minutes=5), "no connection")
        work.outbox.redirect("a:1", after(minutes=1), to("a:2"))

    with store.begin() as work:
        waiting = [entry for entry in work.outbox.waiting(after(minutes=1)) if entry.outgoing.chat == "a:2"]
        assert keys(waiting) == ["k2", "k3"]
        assert {entry.outgoing.text for entry in waiting} == {"Noted. Moved."}
        assert [entry.tries for entry in waiting] == [1, 0]
        assert [entry.post_at for entry in waiting] == [NOON, NOON]
        assert keys(work.outbox.waiting(NOON)) == ["other"]
        assert not work.outbox.post(an_outgoing("k2", "a:2"), NOON)
        assert not work.outbox.post(an_outgoing("k1", "a:1"), NOON)


@pytest.mark.parametrize("is_sent", [False, True])
def test_what_was_posted_to_the_other_chat_already_is_not_posted_twice(store, is_sent):
    with store.begin() as work:
        work.outbox.post(an_outgoing("k", "a:2"), NOON)
        if is_sent:
            work.outbox.mark_sent(find(work, "k"), NOON, "17")
        work.outbox.post(an_outgoing("k", "a:1"), NOON)
        work.outbox.redirect("a:1", NOON, to("a:2"))

        assert [entry.outgoing.text for entry in work.outbox.waiting(after(days=1))] == ([] if is_sent else ["Noted."])


def test_a_claim_takes_what_leaves_by_itself_or_the_rest(store):
    with store.begin() as work:
        work.outbox.post(an_outgoing("push", "a:1", is_push=True), NOON)
        work.outbox.post(an_outgoing("reply behind it", "a:1"), NOON)
        work.outbox.post(an_outgoing("reply", "b:1"), NOON)
        work.outbox.post(an_outgoing("push behind it", "b:1", is_push=True), NOON)

        assert claim(work) == ["reply"]
        assert claim(work, pushes=True) == ["push"]
        assert claim(work) == claim(work, pushes=True) == []
