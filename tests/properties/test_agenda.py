"""The rules stand whatever a farm tells: they do not raise, do not ask twice, and keep to the quiet hours."""

import datetime as dt

from hypothesis import given, settings
from hypothesis import strategies as st

from core.farm.fold import FarmFold
from core.journal.notices import Asked
from core.journal.wants import Snooze
from core.rules import hours
from core.rules.agenda import agenda, coming
from tests.builders import NOON, an_event
from tests.properties.strategies import bodies, corrections, journals, work

DAYS = 4
MOST_STEPS = 200  # more times to ask in four days than any small farm has


def ask_all(known, now):
    """Send what is to be asked for now; give what makes each reminder one of its own."""
    found = agenda(known.farm, now).to_ask
    for chore in found:
        slots = {"chore": chore.chore, "due": chore.due, "step": chore.step, "bin": chore.bin, "place": chore.place}
        asked = Asked(tubs=chore.tubs, bins=chore.bins, **slots)
        known.add([an_event(asked, known.farm.last_number + 1, now, by="", message="")])
    return [(chore.subject, chore.due, chore.step) for chore in found]


@settings(deadline=None, max_examples=60)
@given(journals(work | corrections), st.integers(0, 1440))
def test_nothing_is_asked_for_twice_nor_in_the_quiet_hours(journal, minute):
    known = FarmFold(journal)
    now, asked = NOON + dt.timedelta(minutes=minute), []
    for _ in range(MOST_STEPS):
        new = ask_all(known, now)
        assert not new or hours.after_quiet(known.farm, now) == now
        asked += new
        found = agenda(known.farm, now)
        assert found.to_ask == ()
        if found.next_at is None or found.next_at > NOON + dt.timedelta(days=DAYS):
            break
        assert found.next_at > now
        now = found.next_at
    else:
        raise AssertionError("the agenda asks without end")

    assert len(asked) == len(set(asked))


@settings(deadline=None, max_examples=60)
@given(journals(work), st.integers(0, 3000))
def test_what_is_snoozed_is_asked_for_once_more_and_not_before(journal, minutes):
    known = FarmFold(journal)
    ask_all(known, NOON)
    asked = known.farm.last_asked
    if asked is None:
        return
    until = NOON + dt.timedelta(minutes=minutes)
    known.add([an_event(Snooze(of=(asked.number,), until=until), known.farm.last_number + 1, NOON)])
    subject = (asked.chore, asked.bin, asked.place)

    before = agenda(known.farm, until - dt.timedelta(seconds=1)).to_ask
    then = agenda(known.farm, until).to_ask

    assert minutes == 0 or subject not in {chore.subject for chore in before}
    assert [chore.subject for chore in then].count(subject) <= 1


@settings(deadline=None)
@given(journals(bodies | work | corrections), st.integers(0, 60 * 24 * 60))
def test_the_rules_have_an_answer_for_any_farm_at_any_time(journal, minutes):
    farm = FarmFold(journal).farm
    now = NOON + dt.timedelta(minutes=minutes)

    found = agenda(farm, now)
    work_ahead = list(coming(farm, now, now + dt.timedelta(days=7)))

    assert all(chore.due <= now for chore in found.open)
    assert found.next_at is None or found.next_at > now
    assert len(work_ahead) == len({(chore.subject, chore.due) for chore in work_ahead})
