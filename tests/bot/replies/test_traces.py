"""A lot in words and as a table."""

import csv
import io

from bot.ports.messages import plain
from bot.replies import traces
from bot.replies.voice import Voice
from core.farm import lineage
from core.farm.fold import FarmFold
from core.journal import facts
from tests.builders import NOON, a_journal, after
from tests.core.farm.test_lineage import GROWN, LAID, SOLD

WEIGHED = (facts.Bought(item="=SUM(A1:A9)", mass_g=20_000.0, price=30.0), after(days=-9))
FED = (facts.Fed(bins=("B4",), feed="chick starter", mass_g=500.0), after(days=-8))


def shown(*journal, language="en"):
    fold = FarmFold(a_journal(*journal))
    voice = Voice(fold.farm, NOON, language)
    found = lineage.of_sale(fold.farm, fold.in_force, fold.farm.sales[-1])
    return fold, voice, found


def rows(text):
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_a_sale_is_traced_a_line_a_step():
    _, voice, found = shown(*LAID, *GROWN, SOLD)

    assert plain(traces.told(voice, found)).split("\n") == [
        "Bins 4 and 5: they grew up there since Sat Apr 25.",
        "Fed once: oats.",
        "Found dead meanwhile: 9.",
        "Bin 5: mites, Fri May 1.",
        "Tub 1: laid in bin 1, pulled Tue Apr 14, stood on the lamp shelf, hatched Fri Apr 24.",
        "88°F, by 1 reading.",
    ]


def test_of_two_tubs_it_says_that_it_may_be_either():
    second = (facts.Stocked(bin="B5", tubs=("T2",), count=300), after(days=-7))
    _, voice, found = shown(*LAID, *GROWN, second, SOLD)

    assert "They hatched in one or more of tubs 1 and 2." in plain(traces.told(voice, found))


def test_where_nobody_told_the_tub_it_says_so():
    _, voice, found = shown((facts.Stocked(bin="B4", count=50), after(days=-3)), (facts.Sold(count=5, bin="B4"), NOON))

    assert "Nobody told me in which tub they hatched." in plain(traces.told(voice, found))


def test_the_table_has_a_row_for_each_thing_told():
    _, voice, found = shown(*LAID, *GROWN, SOLD)

    table = rows(traces.table(voice, found))

    assert [row["kind"] for row in table] == [
        "tray_in", "tray_out", "reading", "hatch", "stocked", "fed", "moved", "dead", "problem",
    ]  # fmt: skip
    assert table[4]["happened_at"] == "2026-04-25T18:00:00+00:00"
    assert table[4]["by"] == "Ines"


def test_sales_are_a_table():
    fold, voice, _ = shown(*LAID, *GROWN, (facts.Sold(who="Pete", count=50, bin="B4", price_each=0.1), NOON))

    (row,) = rows(traces.sales_table(voice, list(fold.newest_first(facts.Sold))))

    assert (row["customer"], row["crickets"], row["bin"], row["price"], row["currency"]) == (
        "Pete",
        "50",
        "B4",
        "5",
        "USD",
    )
    assert row["may_be_of_tubs"] == "T1"


def test_what_came_in_and_was_used_is_a_table_that_no_spreadsheet_reckons_with():
    fold, voice, _ = shown(*LAID, *GROWN, WEIGHED, FED, SOLD)
    entries = list(fold.newest_first(facts.Bought, facts.Fed))[::-1]

    table = rows(traces.stores_table(voice, entries))

    assert table[0]["item"] == "'=SUM(A1:A9)"
    assert [(row["what"], row["mass_g"]) for row in table if row["mass_g"]] == [("bought", "20000"), ("fed", "500")]
