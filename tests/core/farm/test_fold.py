"""The fold: every kind has its place, by the time of what happened, in one go or one by one."""

import datetime as dt

import pytest

from core.farm import fold as folding
from core.farm.fold import FarmFold, fold
from core.journal import codec, facts, notices, wants
from core.journal.kinds import Addable, Chore, Role, Setting, Trouble, Weekday
from core.units import SizeGrade
from tests.builders import NOON, a_journal, after, an_event

ONE_OF_EACH = [
    facts.Chirp(bin="B1"),
    facts.TrayIn(bin="B1"),
    facts.TrayOut(bin="B1"),
    facts.Placed(tubs=("T1",), place="attic"),
    facts.Covered(tubs=("T1",), on=True),
    facts.Reading(place="attic", temp_c=29.0),
    facts.Watered(all=True),
    facts.Mold(tubs=("T1",), removed=False),
    facts.Dry(tubs=("T1",)),
    facts.Hatch(tub="T1"),
    facts.Stocked(bin="B2"),
    facts.Fed(all=True),
    facts.Dead(bin="B1"),
    facts.Moved(from_="B1", to="B2"),
    facts.Sized(bin="B2", size=SizeGrade.HALF),
    facts.Adults(bin="B2"),
    facts.Cleaned(bins=("B1",)),
    facts.Harvested(bin="B2"),
    facts.Sold(),
    facts.Bought(item="coir"),
    facts.Discarded(tub="T1"),
    facts.Problem(what=Trouble.SMELL),
    facts.Cleared(bin="B1"),
    facts.Counted(bin="B1", count=600),
    facts.Remark(text="rain"),
    wants.Order(count=1, size=SizeGrade.ADULT, due=dt.date(2026, 6, 1)),
    wants.Remind(text="feed", when=NOON),
    wants.Add(what=Addable.BIN),
    wants.Rename(old="attic", new="loft"),
    wants.Set(what=Setting.UNITS, to="C"),
    wants.Pause(),
    wants.Resume(),
    wants.Done(chore=Chore.WATER),
    wants.Skip(chore=Chore.WATER),
    wants.Snooze(),
    wants.Undo(),
    wants.Fix(of=1, slots={"bin": "B3"}),
    wants.Joined(name="Ines", role=Role.OWNER),
    wants.Left(name="Ines"),
    wants.Cancel(order=1),
    wants.Plan(bins=("B1",), days=(NOON.date(),)),
    wants.Duty(name="Ines", days=(Weekday.SAT,)),
    wants.Away(name="Ines"),
    notices.Asked(chore=Chore.WATER, due=NOON),
    notices.Cautioned(topic="lamp"),
    notices.Summed(at=NOON),
]


@pytest.mark.parametrize("body", ONE_OF_EACH, ids=codec.kind_of)
def test_every_kind_is_folded(body):
    assert fold([an_event(body)]).last_number == 1


def test_no_kind_is_left_out_above():
    assert {codec.kind_of(body) for body in ONE_OF_EACH} == set(codec.RECORDS)


def test_no_events_make_an_empty_farm():
    farm = fold([])

    assert (farm.last_number, farm.known_since, farm.last_said) == (0, None, ())


def test_what_is_told_late_lands_where_it_belongs():
    journal = a_journal(
        (facts.TrayOut(bin="B1", tub="T1", place="attic"), after(days=1)),
        (facts.Placed(tubs=("T1",), place="garage"), after(days=3)),
        (facts.Placed(tubs=("T1",), place="closet"), after(days=2)),
        (facts.TrayIn(bin="B1"), NOON),
    )

    tub = fold(journal).tubs["T1"]

    assert (tub.place, tub.laid_for) == ("garage", dt.timedelta(days=1))


def test_a_farm_is_known_since_the_first_event_was_said_and_counts_all_of_them():
    journal = a_journal((facts.Chirp(bin="B1"), after(days=2)), facts.Chirp(bin="B2"), wants.Undo(of=(2,)))

    farm = fold(journal[::-1])

    assert (farm.known_since, farm.last_number) == (after(days=2), 3)


class TestAdding:
    def test_nothing_new_changes_nothing(self):
        known = FarmFold(a_journal(facts.Chirp(bin="B1")))

        assert known.add([]) is known.farm

    @pytest.mark.parametrize(
        "news",
        [
            pytest.param(an_event(facts.TrayIn(bin="B1"), 3, after(hours=2)), id="later"),
            pytest.param(an_event(facts.TrayIn(bin="B1"), 3, after(hours=-2)), id="back-dated"),
            pytest.param(
                an_event(facts.Reading(place="Attic", temp_c=28.0), 3, after(hours=-2)),
                id="back-dated, spelled otherwise",
            ),
            pytest.param(an_event(wants.Undo(of=(1,)), 3, after(hours=2)), id="undo"),
            pytest.param(an_event(wants.Fix(of=2, slots={"place": "loft"}), 3, after(hours=2)), id="fix"),
            pytest.param(an_event(wants.Rename(old="attic", new="loft"), 3, after(hours=2)), id="rename"),
            pytest.param(an_event(facts.Chirp(bin="B9"), 3, after(hours=2), message="chat:2"), id="same message"),
            pytest.param(an_event(facts.Chirp(bin="B9"), 3, after(hours=2), message="chat:1"), id="older message"),
            pytest.param(
                an_event(notices.Asked(chore=Chore.WATER, due=NOON), 3, after(hours=2), by="", message=""), id="notice"
            ),
        ],
    )
    def test_news_make_the_same_farm_as_all_in_one_go(self, news):
        journal = a_journal(facts.Chirp(bin="B1"), (facts.Reading(place="attic", temp_c=29.0), after(hours=1)))
        known = FarmFold(journal)

        assert known.add([news]) == fold([*journal, news])

    def test_readings_go_on_from_those_that_are_known(self):
        known = FarmFold(a_journal((facts.Reading(place="attic", temp_c=29.0), NOON)))

        farm = known.add([an_event(facts.Reading(place="attic", temp_c=30.0), 2, after(hours=1))])

        assert [r.temp_c for r in farm.places["attic"].readings] == [29.0, 30.0]


COUNT = 3000
YEARS = [
    an_event(facts.Reading(place="attic", temp_c=20.0 + number % 9), number, after(hours=number))
    for number in range(1, COUNT + 1)
]


class TestMarks:
    """How much is folded again, of a farm of years."""

    @pytest.fixture
    def folded(self, monkeypatch):
        """The events that are folded, as they are."""
        seen, apply = [], folding.apply

        def noted(ledger, entry):
            seen.append(entry)
            apply(ledger, entry)

        monkeypatch.setattr(folding, "apply", noted)
        return seen

    @pytest.mark.parametrize("back", [0, 1, 40, 300, 1500])
    @pytest.mark.parametrize("is_read", [True, False], ids=["read from the store", "grown"])
    def test_what_is_taken_back_or_told_late_folds_what_came_after_it(self, folded, back, is_read):
        known = FarmFold(YEARS if is_read else ())
        for entry in [] if is_read else YEARS:
            known.add([entry])
        news = [wants.Undo(of=(COUNT - back,)), facts.Reading(place="attic", temp_c=30.0)]
        times = [after(hours=COUNT), after(hours=COUNT - back)]

        for number, (body, happened_at) in enumerate(zip(news, times, strict=True), start=COUNT + 1):
            folded.clear()
            known.add([an_event(body, number, happened_at)])
            assert len(folded) <= back * (1 + 2 / folding.THINNED) + 2 * folding.APART

    def test_a_name_that_is_given_folds_all(self, folded):
        known = FarmFold(YEARS)
        folded.clear()

        known.add([an_event(wants.Rename(old="attic", new="loft"), COUNT + 1, after(hours=COUNT))])

        assert len(folded) == COUNT + 1
        assert list(known.farm.places) == ["loft"]

    def test_there_are_few_marks(self):
        known = FarmFold()
        for entry in YEARS:
            known.add([entry])

        assert len(known._marks) < 40
