"""What is said of feed and other stock."""

import pytest

from bot.ports.messages import plain
from bot.replies.stock import in_stock, to_buy
from bot.replies.voice import Voice
from core.farm.fold import fold
from core.journal import facts
from tests.builders import NOON, a_journal, after

STOCKED = (facts.Stocked(bin="B4", tubs=("T1",), count=3000), NOON)
ASSUMED = "I assume 1.5 kg for each kg they grow, and the usual losses."
FEED = (facts.Bought(item="chick starter", mass_g=1000.0), NOON)


def told(*journal, item=None, days=1, language="en"):
    return plain(in_stock(Voice(fold(a_journal(*journal)), after(days=days), language), item))


def test_feed_is_told_with_its_day_and_what_was_assumed():
    assert told(STOCKED, FEED, item="feed", days=30).splitlines() == [
        "Feed: about 840 g left by my count.",
        "It lasts until about Wed Jun 24; they eat about 19 g a day now.",
        f"{ASSUMED} Weigh what you feed for some days and I'll go by that.",
    ]


def test_a_kind_of_feed_is_told_as_feed():
    assert told(STOCKED, FEED, item="chick starter") == told(STOCKED, FEED, item="feed")


def test_what_is_used_up_is_said_and_nothing_is_owed():
    lines = told(STOCKED, FEED, item="feed", days=60).splitlines()

    assert lines[0] == "Feed: by my count it is used up since Wed Jun 24. Tell me what you bought since."
    assert "-" not in lines[0]


def test_much_feed_lasts_long():
    plenty = (facts.Bought(item="feed", mass_g=50_000.0), NOON)

    assert "It lasts more than two months" in told(STOCKED, plenty)


def test_feed_that_was_weighed_goes_before_the_figures():
    fed = [(facts.Fed(all=True, mass_g=30.0), after(days=20 + n)) for n in range(8)]

    assert "By what you weighed as you fed." in told(STOCKED, FEED, *fed, days=30)


def test_bins_that_are_not_counted_in_are_named():
    adults = (facts.Adults(bin="B1"), NOON)

    assert "Not counted in: bin 1." in told(STOCKED, FEED, adults)


@pytest.mark.parametrize(
    ("journal", "item", "line"),
    [
        ([], None, "No feed in my book. Say it like: bought 5 kg chick starter."),
        ([], "lime", "No lime in my book."),
        ([], "bulbs", "No bulbs in my book."),
        ([FEED], "feed", "How long it lasts I can say once I know how many crickets there are"),
        ([(facts.Bought(item="feed", count=2), NOON)], "feed", "Say how much it weighs"),
        ([(facts.Bought(item="feed"), NOON)], None, "Feed: bought Mon May 4 6 pm, how much I was not told."),
        ([(facts.Bought(item="coir", count=2), NOON)], "coir", "Coir: for about 12 more trays, at 1.5 L a tray."),
        (
            [(facts.Bought(item="peat", count=2), NOON)],
            "peat",
            "Peat: bought Mon May 4 6 pm, how much I was not told.",
        ),
        (
            [(facts.Bought(item="peat", volume_ml=1500.0), NOON)],
            "peat",
            "Peat: for about 1 more tray, at 1.5 L a tray.",
        ),
        ([(facts.Bought(item="lime", mass_g=100.0), NOON)], None, "Lime: for about 20 more trays, at 5 g a tray."),
        ([(facts.Bought(item="egg flats", count=16), NOON)], None, "Egg flats: for about 2 more bins to clean"),
        ([(facts.Bought(item="heat bulbs", count=2), NOON)], "heat bulb", "Heat bulbs: bought 2, Mon May 4 6 pm."),
        ([(facts.Bought(item="heat bulbs", count=2), NOON)], None, "Heat bulbs: bought 2, Mon May 4 6 pm."),
    ],
)
def test_other_stock_is_told_by_what_is_known_of_it(journal, item, line):
    assert line in told(*journal, item=item)


def test_the_pace_of_the_last_weeks_tells_until_when():
    coir = (facts.Bought(item="coir", count=1), NOON)
    trays = [(facts.TrayIn(bin="B1"), after(days=7 * n)) for n in (1, 2, 3, 4)]

    assert "At your pace that is until about" in told(coir, *trays, item="coir", days=28)


@pytest.mark.parametrize(
    ("journal", "days", "lines"),
    [
        ([STOCKED, FEED], 49, ["Feed: lasts until about Wed Jun 24 by my count. Time to buy.", "About "]),
        ([STOCKED, FEED], 55, ["Feed: by my count it is used up since Wed Jun 24.", "About "]),
        ([], 1, ["Feed: time to buy."]),
    ],
)
def test_the_reminder_says_why_now_and_how_much(journal, days, lines):
    found = plain("\n".join(to_buy(Voice(fold(a_journal(*journal)), after(days=days))))).splitlines()

    assert [line[: len(start)] for line, start in zip(found, lines, strict=True)] == lines


def test_it_is_told_in_the_language_of_the_person():
    assert "Alimento: quedan unos 840 g según mi cuenta." in told(STOCKED, FEED, days=30, language="es")
