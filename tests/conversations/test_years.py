"""A farm of years: no message may walk all that it has ever had, or it would cost more each month."""

import datetime as dt

import pytest

from core.farm.series import Layers, Series
from core.journal import facts, wants
from core.journal.event import Event
from core.journal.kinds import Addable, HatchStage
from core.journal.notices import Asked
from tests.builders import NOON
from tests.conversations.stage import Stage

PAST_TUBS = 400
A_FEW = 300  # readings: those of the last months

MESSAGES = (
    "watered the lamp shelf",
    "pinheads in tub 402",
    "lamp shelf 88",
    "tray in bin 1 with peat",
    "pulled the tray from bin 1, lots of eggs, lamp shelf",
    "pulled the tray from bin 1",
    "how long on tub 7?",
    "how long on tub 900?",
    "what's due",
    "undo",
    "watered the lamp shelf at 8 this morning",
    "no, the humid room",
    "how's bin 1 doing",
    "status",
    "how is the lamp shelf",
    "when did I last water the lamp shelf",
    "who pulled the tray",
    "why tub 402",
    "tub 401 is dry",
    "nice weather today",
)


class WalkedError(BaseException):
    """All of something was walked; not an Exception, since the desk would go on after one."""


def _told():
    """What was told over 400 days: a tub a day that hatches and is thrown out, and readings without humidity."""
    start = NOON - dt.timedelta(days=PAST_TUBS + 4)
    yield wants.Set(what="name", to="Ocotillo Flats"), start
    yield wants.Add(what=Addable.PLACE, name="lamp shelf", lamp=True), start
    yield wants.Add(what=Addable.PLACE, name="humid room", humidifier=True), start
    for day in range(1, PAST_TUBS + 3):
        at = start + dt.timedelta(days=day)
        yield facts.TrayIn(bin="B1"), at
        yield facts.TrayOut(bin="B1", tub=f"T{day}", place="lamp shelf"), at + dt.timedelta(hours=20)
        for hour in (6, 12, 18):
            yield facts.Reading(place="lamp shelf", temp_c=30.0 + day % 3), at + dt.timedelta(hours=hour)
        if day > PAST_TUBS:
            continue
        yield facts.Hatch(tub=f"T{day}"), at + dt.timedelta(days=1)
        yield facts.Hatch(tub=f"T{day}", stage=HatchStage.DONE), at + dt.timedelta(days=1, hours=1)


@pytest.fixture
def years(reader):
    stage = Stage(reader, NOON)
    stage.open_farm()
    with stage.store.begin() as work:
        number = len(work.journal.since(stage.farm_id))
        work.journal.append(
            stage.farm_id,
            [
                Event(number=number + n, said_at=at, happened_at=at, by="Noor", message=f"old:{n}", body=body)
                for n, (body, at) in enumerate(_told(), start=1)
            ],
        )
    stage.says("Noor", "watered the lamp shelf")
    return stage


@pytest.fixture
def _no_walking(monkeypatch):
    """Walking all tubs is an error, and so is walking all of many readings."""

    def refused(mapping):
        raise WalkedError(f"all {len(mapping)} are walked")

    walked = Series.__iter__

    def refused_if_long(series):
        return refused(series) if len(series) > A_FEW else walked(series)

    monkeypatch.setattr(Layers, "__iter__", refused)
    monkeypatch.setattr(Series, "__iter__", refused_if_long)
    monkeypatch.setattr(Series, "__reversed__", lambda series: (series[i] for i in range(len(series) - 1, -1, -1)))


@pytest.mark.usefixtures("_no_walking")
def test_no_message_walks_all_that_a_farm_has_ever_had(years):
    known = years.farm.last_number

    answers = [years.says("Noor", text) for text in MESSAGES]

    assert all(told.text for (told,) in answers)
    assert {"watered", "reading", "tray_out", "undo", "fix", "dry"} <= set(years.kinds_since(known))


@pytest.mark.usefixtures("_no_walking")
def test_nor_does_a_reminder(years):
    pushed = years.pass_until(NOON + dt.timedelta(days=2))

    assert pushed
    assert any(isinstance(entry.body, Asked) for entry in years.fold.events)


@pytest.mark.usefixtures("_no_walking")
def test_walking_is_noticed(years):
    with pytest.raises(WalkedError):
        list(years.fold.farm.tubs.values())
    with pytest.raises(WalkedError):
        list(years.fold.farm.places["lamp shelf"].readings)
