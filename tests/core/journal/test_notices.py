"""What the assistant remembers of itself."""

from core.journal import codec, notices
from core.journal.kinds import Chore
from core.journal.record import missing
from tests.builders import NOON


def test_a_reminder_needs_its_chore_and_its_time():
    assert missing(notices.Asked, {}) == ("chore", "due")


def test_a_reminder_keeps_when_the_work_is_due_and_which_tubs_it_named():
    asked = notices.Asked(chore=Chore.HATCH_CHECK, due=NOON, place="humid room", tubs=("T3", "T4"))

    kept = codec.decode(codec.encode(asked))

    assert (kept.due, kept.tubs) == (NOON, ("T3", "T4"))


def test_a_caution_is_kept_by_its_topic():
    assert codec.slots_of(notices.Cautioned(topic="lamp")) == {"topic": "lamp"}
