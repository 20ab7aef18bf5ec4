"""What the doctor looks at."""

import datetime as dt

from bot.channels import checkup
from tests.fakes import FakeClock


def looked(tmp_path, *, clock=None, database=None, account=None):
    found = checkup.findings(
        clock=clock or FakeClock(), folder=tmp_path / "not" / "there", database=lambda: database, account=account
    )
    return {finding.text: finding.is_well for finding in found}


def test_a_sound_set_up_is_well(tmp_path):
    found = looked(tmp_path)

    assert all(found.values())
    assert len(found) == 6


def test_trouble_says_what_to_do(tmp_path, monkeypatch):
    monkeypatch.setattr(checkup, "LEAST_FREE_MB", 10**12)
    clock = FakeClock(dt.datetime(1970, 1, 1, tzinfo=dt.UTC))

    found = looked(tmp_path, clock=clock, database="run migrate.", account=lambda: "check the token.")

    assert [text for text, is_well in found.items() if not is_well] == [
        "database: run migrate.",
        next(text for text in found if text.startswith("disk: only ")),
        "clock: it says 1970-01-01; set it, or reminders come at wrong times.",
        "Telegram: check the token.",
    ]


def test_zones_that_are_not_there_are_told(tmp_path, monkeypatch):
    monkeypatch.setattr(checkup, "ZONES", ("Nowhere/Land",))

    assert looked(tmp_path)["time zones: the data are missing; install the package tzdata."] is False
