"""Whatever cannot be so is refused in a clear sentence."""

import pytest

from bot.ports.messages import plain
from bot.replies.refusals import no_such_tub, refusal
from bot.replies.voice import Voice
from core.farm.faults import Fault, Finding
from core.journal.kinds import Setting
from tests.bot.replies.records import the_farm
from tests.builders import NOON, a_farm

SUBJECTS = {
    Fault.NO_TRAY: "B2",
    Fault.BEFORE_TRAY: "B1",
    Fault.TRAY_ALREADY_IN: "B1",
    Fault.NO_SUCH_TUB: "T40",
    Fault.TUB_GONE: "T1",
    Fault.TUB_TAKEN: "T1",
    Fault.BEFORE_PULL: "T1",
    Fault.BAD_SETTING: Setting.UNITS,
    Fault.EMPTY_BIN: "B2",
    Fault.TOO_MANY: "B2",
    Fault.SAME_BIN: "B2",
    Fault.SHRUNK: "B2",
    Fault.HELD: "B2",
    Fault.NO_SUCH_PERSON: "Walt",
    Fault.LOOKS_ON: "Dana",
}
WORDS = {Fault.SHRUNK: "1/2in", Fault.DUE_PAST: "2026-05-03"}


def refused(fault, subject=None):
    finding = Finding(fault=fault, subject=subject or SUBJECTS.get(fault), figure=480.0, at=NOON, word=WORDS.get(fault))
    return plain(refusal(Voice(the_farm(), NOON), finding))


@pytest.mark.parametrize("fault", Fault)
def test_every_fault_has_its_sentence(fault):
    told = refused(fault)

    assert told[0].isupper() or told[0].isdigit()
    assert told.endswith((".", "?"))
    assert not set(told) & set("{}_!")
    assert len(told) < 200


@pytest.mark.parametrize("what", [s for s in Setting if s is not Setting.NAME])
def test_every_setting_that_cannot_be_says_what_can(what):
    assert refused(Fault.BAD_SETTING, what).endswith(".")


def test_a_bin_without_a_tray_names_the_bin_that_has_one():
    assert refused(Fault.NO_TRAY) == (
        "Bin 2 has no tray in it, so I wrote nothing down.\nBin 1 has one since Sun May 3 12 pm."
    )


def test_a_tub_that_is_not_there_names_the_newest():
    assert "Your newest is tub 2" in no_such_tub(Voice(the_farm(), NOON), "T40")
    assert no_such_tub(Voice(a_farm(), NOON), "T40") == "There is no tub 40 yet. Say: add tub 40, to start it."
