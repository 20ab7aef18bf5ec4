"""What the doctor looks at."""

import datetime as dt

import pytest

from bot.channels import checkup
from bot.channels.checkup import Finding, Look, OtherClock
from tests.fakes import FakeClock

SOUND = Look()


def looked(tmp_path, *, clock=None, database=SOUND, account=None):
    found = checkup.findings(
        clock=clock or FakeClock(),
        folder=tmp_path / "not" / "there",
        database=lambda: database,
        account=None if account is None else lambda: account,
    )
    return {finding.text: finding.is_well for finding in found}


def ahead(whose="Telegram's", **span):
    return OtherClock(whose=whose, ahead=dt.timedelta(**span))


def test_a_sound_set_up_is_well(tmp_path):
    found = looked(tmp_path)

    assert all(found.values())
    assert len(found) == 6


def test_trouble_says_what_to_do(tmp_path, monkeypatch):
    monkeypatch.setattr(checkup, "LEAST_FREE_MB", 10**12)
    clock = FakeClock(dt.datetime(1970, 1, 1, tzinfo=dt.UTC))

    found = looked(tmp_path, clock=clock, database=Look(trouble="run migrate."), account=Look(trouble="see the token."))

    assert [text for text, is_well in found.items() if not is_well] == [
        "database: run migrate.",
        next(text for text in found if text.startswith("disk: only ")),
        "Telegram: see the token.",
        "clock: it says 1970-01-01; set it, or reminders come at wrong times.",
    ]


def test_zones_that_are_not_there_are_told(tmp_path, monkeypatch):
    monkeypatch.setattr(checkup, "ZONES", ("Nowhere/Land",))

    assert looked(tmp_path)["time zones: the data are missing; install the package tzdata."] is False


def test_a_folder_that_takes_nothing_is_told(tmp_path, monkeypatch):
    def refuse(**_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(checkup.tempfile, "TemporaryFile", refuse)

    (told,) = (text for text, is_well in looked(tmp_path).items() if not is_well)

    assert told.startswith(f"disk: nothing can be written to {tmp_path} (No space left on device); make room")


@pytest.mark.parametrize(
    ("other", "told"),
    [
        (ahead(seconds=61), "it is 61 seconds behind Telegram's"),
        (ahead(seconds=-61), "it is 61 seconds ahead of Telegram's"),
        (ahead(minutes=-5, seconds=-20), "it is 5 minutes ahead of Telegram's"),
        (ahead(hours=2), "it is 2 hours behind Telegram's"),
        (ahead(days=400), "it is 400 days behind Telegram's"),
    ],
)
def test_a_clock_that_is_off_is_told_by_how_much_and_what_to_do(tmp_path, other, told):
    (trouble,) = (text for text, is_well in looked(tmp_path, account=Look(clock=other)).items() if not is_well)

    assert trouble == (
        f"clock: {told}, so reminders come at wrong times; turn on time synchronization: `timedatectl set-ntp true`."
    )


@pytest.mark.parametrize("span", [{}, {"seconds": 60}, {"seconds": -60}])
def test_a_clock_within_a_minute_is_well(tmp_path, span):
    found = looked(tmp_path, account=Look(clock=ahead(**span)))

    assert found["clock, within a minute of Telegram's"] is True


def test_without_an_answer_from_telegram_the_databases_clock_counts(tmp_path):
    database = Look(clock=ahead(whose="the database server's", minutes=3))

    for account in (None, Look(trouble="no answer.")):
        found = looked(tmp_path, database=database, account=account)
        (told,) = (text for text in found if text.startswith("clock: "))
        assert told.startswith("clock: it is 3 minutes behind the database server's")


def test_what_else_was_seen_is_told(tmp_path):
    seen = Finding(is_well=False, text="messages: they go elsewhere.")

    assert looked(tmp_path, account=Look(more=(seen,)))[seen.text] is False


def test_whoever_may_found_a_farm_is_told():
    assert "whoever finds the bot may" in checkup.founders(0).text
    assert checkup.founders(2) == Finding(is_well=True, text="owners: 2 may found a farm")
