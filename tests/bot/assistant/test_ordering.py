"""Which order is called off, and what is asked first."""

import datetime as dt

import pytest

from core.journal import wants
from core.units import SizeGrade
from tests.bot.assistant.talk import Talk
from tests.builders import NOON

FRIDAY = NOON.date() + dt.timedelta(days=4)
HALF = SizeGrade.HALF
WEEKLY = wants.Order(who="Delgado", count=300, size=HALF, due=FRIDAY, every="week")
ONCE = wants.Order(who="Delgado", count=100, size=SizeGrade.ADULT, due=FRIDAY + dt.timedelta(days=14))
PETE = wants.Order(who="Pete", count=50, size=HALF, due=FRIDAY)


@pytest.fixture
def talk():
    return Talk(WEEKLY, ONCE, PETE)


def labels(told):
    return [label for label in told.labels if label != "Undo"]


def dues(talk):
    return [(o.who, len(o.off)) for o in talk.fold.farm.orders.open]


@pytest.mark.parametrize(
    ("slots", "words"),
    [
        pytest.param({"who": "Delgado", "day": FRIDAY}, "Delgado: the order of Fri May 8 is called off.", id="its day"),
        pytest.param({"who": "Delgado", "size": "adult"}, "Delgado: order called off.", id="its size"),
        pytest.param({"who": "pete"}, "Pete: order called off.", id="the only one"),
        pytest.param({"who": "Pete", "day": FRIDAY - dt.timedelta(days=1)}, "Pete: order called off.", id="a day off"),
        pytest.param({"who": "Pete", "day": dt.date(2026, 9, 1)}, "No order is due about Tue Sep 1.", id="no such day"),
        pytest.param({"who": "Rosa"}, "Rosa: no open order.", id="nobody's"),
    ],
)
def test_an_order_is_called_off(talk, slots, words):
    assert words in talk.tells("Noor", "cancel", slots).text.replace("*", "")


@pytest.mark.parametrize(
    ("slots", "offered"),
    [
        pytest.param({"who": "Delgado"}, 2, id="two of a customer"),
        pytest.param({}, 3, id="nobody named"),
        pytest.param({"who": "Delgado", "day": FRIDAY + dt.timedelta(days=14)}, 2, id="two of a day"),
    ],
)
def test_which_is_asked_where_several_may_be_meant(talk, slots, offered):
    told = talk.tells("Noor", "cancel", slots)

    assert "Which order?" in told.text
    assert len(labels(told)) == offered


def test_an_order_that_nobody_is_named_for_is_asked_about_even_where_it_is_the_only_one():
    assert "Which order?" in Talk(PETE).tells("Noor", "cancel").text


def test_an_order_for_a_day_that_is_past_is_offered_a_week_on():
    talk = Talk()
    told = talk.tells(
        "Noor", "order", {"who": "Pete", "count": 50, "size": "1/2in", "due": NOON.date() - dt.timedelta(days=3)}
    )

    assert "is past, so I took no order" in told.text
    assert labels(told) == ["Fri May 8"]
