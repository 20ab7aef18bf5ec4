"""The week in words."""

import pytest

from bot.ports.messages import plain
from bot.replies.voice import Voice
from bot.replies.weekly import summary
from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Setting
from core.units import SizeGrade
from tests.builders import DENVER, a_journal, at

MONDAY = at("05-18 07:00")
STOCKED = (facts.Stocked(bin="B4", tubs=("T9",), count=900), at("05-02 08:00"))
SOLD = (facts.Sold(who="Delgado", count=150, size=SizeGrade.HALF, price=15.0), at("05-15 09:00"))
DEAD = (facts.Dead(bin="B4", count=12), at("05-12 08:00"))


def told(*journal, language="en"):
    named = (wants.Set(what=Setting.NAME, to="Ocotillo Flats"), at("05-01 08:00"))
    zone = (wants.Set(what=Setting.TIMEZONE, to=DENVER), at("05-01 08:00"))
    farm = fold(a_journal(named, zone, STOCKED, *journal))
    return plain(summary(Voice(farm, MONDAY, language), {}, MONDAY)).split("\n")


def test_a_week_is_told_a_line_a_thing():
    assert told(SOLD, DEAD) == [
        "Ocotillo Flats, Mon May 11 to Sun May 17",
        "Sold: 150 crickets, 15.00 USD.",
        "Found dead: 12.",
    ]


@pytest.mark.parametrize(("language", "words"), [("en", "A quiet week"), ("es", "Una semana tranquila")])
def test_a_week_without_anything_says_so(language, words):
    assert told(language=language)[1].startswith(words)
