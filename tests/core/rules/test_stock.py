"""How much feed is left, until when, and when to buy more."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.journal import facts, notices, wants
from core.journal.kinds import Chore
from core.rules import hours
from core.rules.agenda import agenda
from core.rules.appetite import eaten_between, eaters_of
from core.rules.stock import AFTER_BUYING, GIVEN_UP, feed_left, feed_to_buy
from tests.builders import NOON, a_journal, after

STOCKED = (facts.Stocked(bin="B4", tubs=("T1",), count=3000), NOON)


def bought(mass_g=1000.0, item="chick starter", **span):
    return facts.Bought(item=item, mass_g=mass_g), after(**span)


def left(*journal, days):
    return feed_left(fold(a_journal(*journal)), after(days=days))


def to_buy(*journal, days):
    farm, now = fold(a_journal(*journal)), after(days=days)
    return list(feed_to_buy(farm, {}, now, now))


def test_what_is_left_is_what_was_bought_less_what_was_eaten():
    farm = fold(a_journal(STOCKED, bought()))
    eaten = eaten_between(eaters_of(farm), NOON, after(days=30))

    assert feed_left(farm, after(days=30)).left_g == pytest.approx(1000 - eaten)
    assert 0 < eaten < 1000


def test_it_is_used_up_on_the_day_that_was_said_before():
    before, then = left(STOCKED, bought(), days=5), left(STOCKED, bought(), days=70)

    assert abs(before.lasts_until - then.used_up_at) < dt.timedelta(hours=1)
    assert before.used_up_at is None
    assert then.lasts_until is None


@pytest.mark.parametrize("days", [1, 40, 60, 200])
def test_there_is_never_less_than_nothing(days):
    assert left(STOCKED, bought(50.0), days=days).left_g >= 0


def test_what_ran_out_is_not_owed_by_what_is_bought_later():
    found = left(STOCKED, bought(10.0), bought(2000.0, days=45), days=45)

    assert found.left_g == pytest.approx(2000.0)


def test_all_kinds_of_dry_feed_are_one_heap_and_nothing_else_is():
    one = left(STOCKED, bought(2000.0), days=9)
    two = left(STOCKED, bought(1000.0), bought(1000.0, "oats"), bought(900.0, "carrots"), bought(500.0, "coir"), days=9)

    assert two.left_g == pytest.approx(one.left_g)


def test_a_mass_of_feed_lasts_the_longer_the_fewer_eat():
    few, many = (left((facts.Stocked(bin="B4", count=n), NOON), bought(), days=1).lasts_until for n in (2000, 4000))

    assert many < few


@pytest.mark.parametrize(
    "journal",
    [
        pytest.param([STOCKED], id="none bought"),
        pytest.param([STOCKED, (facts.Bought(item="feed", count=2), NOON)], id="no mass told"),
        pytest.param([bought()], id="nobody eats"),
        pytest.param([bought(), (facts.Adults(bin="B1"), NOON)], id="nobody counted"),
    ],
)
def test_where_too_little_is_known_nothing_is_said(journal):
    assert left(*journal, days=5) is None
    assert to_buy(*journal, days=5) == []


class TestAppetite:
    def found(self, factor, *, until=30, unweighed=None):
        farm = fold(a_journal(STOCKED))
        eaters = eaters_of(farm)
        meals = [
            facts.Fed(all=True, mass_g=factor * eaten_between(eaters, after(days=n), after(days=n + 1)))
            for n in range(20, until)
        ]
        fed = [(meal, after(days=n)) for n, meal in enumerate(meals, start=20)]
        if unweighed is not None:
            fed.append((facts.Fed(all=True), after(days=unweighed)))
        return left(STOCKED, bought(), *fed, days=30)

    def test_weighed_feedings_tell_how_much_is_eaten(self):
        plain, hungry = left(STOCKED, bought(), days=30), self.found(1.4)

        assert hungry.is_weighed
        assert hungry.a_day_g == pytest.approx(1.4 * plain.a_day_g, rel=0.01)
        assert hungry.lasts_until < plain.lasts_until

    def test_figures_that_nobody_eats_are_not_believed(self):
        assert self.found(50.0).a_day_g == pytest.approx(self.found(2.0).a_day_g, rel=0.01)
        assert self.found(0.01).a_day_g == pytest.approx(self.found(0.6).a_day_g, rel=0.01)

    def test_a_few_or_some_that_were_not_weighed_tell_nothing(self):
        assert not self.found(1.4, until=22).is_weighed
        assert not self.found(1.4, unweighed=28.5).is_weighed


class TestReminder:
    def test_comes_three_days_before_the_feed_runs_out_in_the_morning(self):
        ends = left(STOCKED, bought(), days=5).lasts_until
        (chore,) = to_buy(STOCKED, bought(), days=5)
        local = hours.local(fold(a_journal(STOCKED)), chore.due)

        assert chore.chore is Chore.BUY_FEED
        assert local.time() == dt.time(8)
        assert (ends.date() - local.date()).days in {2, 3}  # 3 on the farm's own clock

    def test_comes_once_for_what_was_bought(self):
        (chore,) = to_buy(STOCKED, bought(), days=5)
        asked = (notices.Asked(chore=Chore.BUY_FEED, due=chore.due), chore.due)
        warmer = (facts.Reading(bin="B4", temp_c=31.0), chore.due)
        farm = fold(a_journal(STOCKED, bought(), asked, warmer))
        work = agenda(farm, chore.due + dt.timedelta(hours=1))

        assert [c.chore for c in work.open].count(Chore.BUY_FEED) == 1
        assert Chore.BUY_FEED not in {c.chore for c in work.to_ask}

    def test_is_over_when_somebody_has_it_on_the_list_or_bought_more(self):
        (chore,) = to_buy(STOCKED, bought(), days=5)
        now = chore.due + dt.timedelta(hours=1)
        asked = (notices.Asked(chore=Chore.BUY_FEED, due=chore.due), chore.due)
        done = (wants.Done(chore=Chore.BUY_FEED, of=(3,)), now)
        more = (facts.Bought(item="feed", mass_g=9000.0), now)

        for told in (done, more):
            work = agenda(fold(a_journal(STOCKED, bought(), asked, told)), now)
            assert Chore.BUY_FEED not in {c.chore for c in work.open}

    def test_comes_again_before_the_next_lot_runs_out(self):
        (chore,) = to_buy(STOCKED, bought(), days=5)
        asked = (notices.Asked(chore=Chore.BUY_FEED, due=chore.due), chore.due)
        more = (facts.Bought(item="feed", mass_g=500.0), chore.due + dt.timedelta(hours=1))
        farm = fold(a_journal(STOCKED, bought(), asked, more))
        (again,) = feed_to_buy(farm, {}, chore.due, chore.due)

        assert again.due > chore.due + dt.timedelta(days=2)

    def test_does_not_come_in_the_hour_of_buying(self):
        (chore,) = to_buy(STOCKED, bought(20.0, days=44), days=44)

        assert chore.due == after(days=44) + AFTER_BUYING

    def test_is_given_up_where_nobody_tells_of_purchases(self):
        ends = left(STOCKED, bought(), days=5).lasts_until
        farm = fold(a_journal(STOCKED, bought()))
        soon, late = ends + dt.timedelta(days=1), ends + GIVEN_UP + dt.timedelta(days=1)

        assert len(list(feed_to_buy(farm, {}, soon, soon))) == 1
        assert list(feed_to_buy(farm, {}, late, late)) == []
