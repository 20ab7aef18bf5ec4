"""People who were turned away lately."""

import datetime as dt

from bot.assistant import strangers
from bot.assistant.strangers import TRIES, Strangers
from tests.bot.assistant.talk import Talk, one
from tests.builders import NOON

HOUR, DAY = dt.timedelta(hours=1), dt.timedelta(days=1)


def test_each_reason_is_told_once_a_day():
    known = Strangers()

    told = [
        known.tells("a", "refused.not_invited", at) for at in (NOON, NOON, NOON + DAY - HOUR, NOON + DAY, NOON + DAY)
    ]

    assert told == [True, False, False, True, False]
    assert known.tells("a", "refused.bad_invite", NOON)
    assert known.tells("b", "refused.not_invited", NOON)


def test_after_some_tries_a_person_waits_for_an_hour():
    known = Strangers()
    for _ in range(TRIES):
        assert known.may_try("a", NOON)
        known.note_try("a", NOON)

    assert not known.may_try("a", NOON + HOUR - dt.timedelta(seconds=1))
    assert known.may_try("b", NOON)
    assert known.may_try("a", NOON + HOUR)


def test_only_so_much_is_remembered(monkeypatch):
    monkeypatch.setattr(strangers, "MOST", 100)
    known = Strangers()

    for number in range(1000):
        known.note_try(f"telegram:{number}", NOON)
        known.tells(f"telegram:{number}", "refused.bad_invite", NOON)

    assert len(known) == 200
    assert not known.tells("telegram:999", "refused.bad_invite", NOON)


def test_a_stranger_who_guesses_is_answered_once_and_the_right_guess_comes_too_late():
    talk = Talk(owners=frozenset({"chat:Noor"}))
    link = talk.say("Noor", "/invite").lines[-1]

    told = [talk.says("Lupe", f"/start {number:016}") for number in range(TRIES)]

    assert [[t.text for t in texts] for texts in told] == [
        ["That invite is used up or too old. Ask the owner for a new one."], *([[]] * (TRIES - 1)),
    ]  # fmt: skip
    assert talk.says("Lupe", link) == []
    assert "Lupe" not in talk.farm.people
    assert one(talk.says("Otis", link)).text.startswith("You're on the farm now")

    talk.clock.forward(hours=1)
    later = talk.say("Noor", "/invite").lines[-1]
    assert one(talk.says("Lupe", later)).text.startswith("You're on the farm now")


def test_one_of_the_farm_is_never_taken_for_a_stranger():
    talk = Talk(owners=frozenset({"chat:Noor"}))

    for number in range(TRIES + 2):
        assert one(talk.says("Tomas", f"/start {number:016}")).text.startswith("You're on the farm.")
