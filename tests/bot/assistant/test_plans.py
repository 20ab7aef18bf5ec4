"""Plans are shown when asked for, and put into the chores by a button."""

import datetime as dt

import pytest

from core.journal import facts
from core.journal.kinds import Role
from core.units import SizeGrade
from tests.bot.assistant.talk import BINS, PLACES, Talk

PUT, DROP = "Put it in the chores", "Drop the old plan"


@pytest.fixture
def talk():
    found = Talk(facts.Chirp(bin="B1"))
    found.clock.forward(days=6)
    return found


def asks(talk, who="Noor", **slots):
    return talk.asks(who, "plan", **({"count": 200, "size": "1/2in", "every": "week"} | slots))


def test_a_plan_is_shown_and_nothing_is_recorded(talk):
    before = talk.last_number
    told = asks(talk)

    assert told.lines[0] == "200 of 1/2 in every week"
    assert PUT in told.labels
    assert talk.last_number == before


def test_what_was_shown_goes_into_the_chores(talk):
    shown = asks(talk)
    told = talk.press("Noor", PUT)
    days = talk.farm.plan.days["B1"]

    trays = f"{len(days)} tray{'s are' if len(days) > 1 else ' is'}"
    assert told.lines[0].startswith(f"200 of 1/2 in every week: {trays} in the chores. The first: bin 1,")
    assert sum(line.endswith(": bin 1") for line in shown.lines) == len(days)
    assert (talk.farm.plan.count, talk.farm.plan.size, talk.farm.plan.every) == (200, SizeGrade.HALF, "week")


def test_undo_takes_it_out_again(talk):
    asks(talk)
    talk.press("Noor", PUT)
    talk.press("Noor", "Undo")

    assert talk.farm.plan is None


def test_a_new_plan_takes_the_place_of_the_old_which_may_be_dropped(talk):
    asks(talk)
    talk.press("Noor", PUT)
    told = asks(talk, count=100)

    assert {PUT, DROP} <= set(told.labels)
    assert talk.press("Noor", DROP).lines == ["No trays are planned any more."]
    assert talk.farm.plan.days == {}


def test_a_plan_that_is_past_is_not_put_there_but_made_anew(talk):
    asks(talk)
    talk.clock.forward(days=4)
    told = talk.press("Noor", PUT)

    assert told.lines[0] == "The farm has changed since, so I wrote nothing down. This is the plan now."
    assert told.lines[1] == "200 of 1/2 in every week"
    assert talk.farm.plan is None


def test_a_plan_for_a_bin_that_was_emptied_is_not_put_there(talk):
    asks(talk)
    talk.tells("Noor", "discarded", bin="B1")
    told = talk.press("Noor", PUT)

    assert told.lines[0].startswith("The farm has changed since")
    assert talk.farm.plan is None


def test_without_figures_it_is_for_the_orders(talk):
    assert talk.asks("Noor", "plan").lines == [
        "No orders are open. Say what you want: I want 500 half inch every week."
    ]  # fmt: skip
    due = (talk.clock.now() + dt.timedelta(days=70)).date()
    talk.tells("Noor", "order", {"who": "Pete", "count": 100, "size": "1/2in", "due": due})

    assert talk.asks("Noor", "plan").lines[0] == "The open orders"


@pytest.mark.parametrize(
    ("slots", "said"),
    [
        ({"count": 0}, "0 is no plan. Say how many and what size: 500 half inch every week."),
        ({"count": -3}, "-3 is no plan. Say how many and what size: 500 half inch every week."),
        ({"count": 10**9}, "1,000,000,000 is past what I can plan: 100,000 at most. Say a smaller number."),
        ({"size": None}, "Which size? Say it like: I want 500 half inch every week."),
    ],
    ids=["none", "less than none", "too many", "no size"],
)
def test_what_cannot_be_planned_is_one_clear_sentence(talk, slots, said):
    before = talk.last_number

    assert asks(talk, **slots).lines == [said]
    assert talk.last_number == before


def test_what_nobody_could_meet_says_what_it_takes_and_what_there_is(talk):
    told = asks(talk, count=90_000)

    assert any(line.startswith("Each time: ") for line in told.lines)
    assert any("too few females lay then" in line for line in told.lines)


def test_a_farm_without_crickets_has_nothing_to_plan_with():
    assert asks(Talk()).lines[0].startswith("I know of no bin with crickets")


def test_where_it_is_too_cold_that_is_said(talk):
    talk.tells("Noor", "reading", place="lamp shelf", temp_c=10.0)

    assert asks(talk).lines == ["It is too cold for a plan: eggs or crickets would not grow where they stand."]


def test_a_looker_on_may_ask_but_not_decide():
    talk = Talk(is_open=False)
    talk.open_farm(*PLACES, *BINS, facts.Chirp(bin="B1"), people=(("Tomas", Role.LOOKER_ON), ("Noor", Role.OWNER)))
    talk.clock.forward(days=6)
    told = asks(talk, "Tomas")

    assert told.lines[0] == "200 of 1/2 in every week"
    assert PUT not in told.labels
