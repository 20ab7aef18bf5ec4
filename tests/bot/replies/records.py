"""One full example of each kind of record, and a farm on which each makes sense."""

import datetime as dt

from core.journal import facts, notices, wants
from core.journal.kinds import (
    Addable,
    Chore,
    Density,
    HatchStage,
    MoldLevel,
    Role,
    Setting,
    Trouble,
    Weekday,
)
from core.units import SizeGrade
from tests.builders import NOON, a_bin, a_farm, a_place, a_tub, an_asked

LATER = NOON + dt.timedelta(hours=3)

FACTS = (
    facts.Chirp(bin="B1"),
    facts.TrayIn(bin="B2", container="salad tub", substrate="peat"),
    facts.TrayOut(bin="B1", tub="T9", place="lamp shelf", cover=True, density=Density.MANY),
    facts.Placed(tubs=("T1", "T2"), place="garage"),
    facts.Covered(on=True, tubs=("T1",)),
    facts.Reading(place="lamp shelf", low_c=10.0, high_c=26.7, rh=55.0),
    facts.Watered(tubs=("T1",)),
    facts.Mold(tubs=("T1",), removed=False, level=MoldLevel.TRACE),
    facts.Dry(tubs=("T1",)),
    facts.Hatch(tub="T1", count=400, stage=HatchStage.STARTED),
    facts.Stocked(bin="B3", tubs=("T1",), count=1200),
    facts.Fed(bins=("B1", "B2"), feed="chick starter", mass_g=150.0),
    facts.Dead(bin="B1", count=12, mass_g=4.0),
    facts.Moved(from_="B1", to="B2", count=300, size=SizeGrade.HALF),
    facts.Sized(bin="B1", size=SizeGrade.HALF),
    facts.Counted(bin="B1", count=600, size=SizeGrade.ADULT),
    facts.Adults(bin="B1"),
    facts.Cleaned(bins=("B1",)),
    facts.Harvested(bin="B1", count=500, mass_g=1500.0, size=SizeGrade.ADULT),
    facts.Sold(who="Delia", count=500, size=SizeGrade.ADULT, bin="B1", price=20.0, price_each=0.04),
    facts.Bought(item="peat", count=2, mass_g=5000.0, volume_ml=1000.0, price=12.5),
    facts.Discarded(tub="T1", reason="all mold"),
    facts.Problem(what=Trouble.FRUIT_FLIES, bin="B1"),
    facts.Cleared(bin="B1"),
    facts.Remark(text="the fan is loud"),
)  # fmt: skip

WANTS = (
    wants.Order(who="Delia", count=500, size=SizeGrade.HALF, due=dt.date(2026, 5, 9), every="week"),
    wants.Remind(text="call the vet", when=LATER),
    wants.Add(what=Addable.PLACE, name="attic", lamp=True, humidifier=True),
    wants.Rename(old="B1", new="nursery"),
    wants.Set(what=Setting.UNITS, to="C"),
    wants.Pause(what=Chore.WATER, until=LATER),
    wants.Resume(what=Chore.WATER),
    wants.Done(chore=Chore.WATER, of=(1,)),
    wants.Skip(chore=Chore.WATER, of=(1,)),
    wants.Snooze(minutes=60, of=(1,)),
    wants.Joined(name="Tomas", role=Role.HAND),
    wants.Left(name="Tomas"),
    wants.Cancel(order=1, who="Delgado"),
    wants.Plan(bins=("B1",), days=(NOON.date(),), count=500, size=SizeGrade.HALF, every="week"),
    wants.Duty(name="Tomas", days=(Weekday.SAT, Weekday.SUN)),
    wants.Away(name="Tomas", start=NOON, until=LATER),
)

UNTOLD = (  # told by what they change, or not at all
    wants.Undo(of=(1,)),
    wants.Fix(of=1, slots={"bin": "B3"}),
    notices.Asked(chore=Chore.WATER, due=NOON, place="lamp shelf", tubs=("T1",)),
    notices.Cautioned(topic="peat"),
    notices.Summed(at=NOON),
)

MORE = (  # other ways to say the same kinds
    facts.TrayIn(bin="B2"),
    facts.TrayOut(bin="B1"),
    facts.TrayOut(bin="B9", cover=False, density=Density.NONE),
    facts.Placed(all=True, place="attic"),
    facts.Covered(on=False, place="garage"),
    facts.Covered(on=True, all=True),
    facts.Reading(bin="B1", temp_c=31.0),
    facts.Reading(tub="T1", rh=80.0),
    facts.Reading(place="garage", low_c=10.0),
    facts.Watered(place="lamp shelf"),
    facts.Watered(bins=("B1",)),
    facts.Watered(all=True),
    facts.Mold(place="garage", removed=True),
    facts.Mold(all=True, removed=False),
    facts.Hatch(tub="T1"),
    facts.Hatch(tub="T1", stage=HatchStage.DONE),
    facts.Stocked(bin="B3"),
    facts.Fed(all=True),
    facts.Dead(bin="B1"),
    facts.Moved(from_="B1", to="B2"),
    facts.Harvested(bin="B1"),
    facts.Sold(count=500),
    facts.Discarded(bin="B1"),
    *(facts.Problem(what=what) for what in Trouble),
    *(facts.Mold(tubs=("T1",), removed=False, level=level) for level in MoldLevel),
    *(facts.TrayOut(bin="B1", density=density) for density in Density),
    wants.Order(count=500, size=SizeGrade.ADULT, due=dt.date(2026, 5, 9)),
    wants.Add(what=Addable.BIN, name="B4"),
    wants.Add(what=Addable.TUB, name="T12"),
    wants.Add(what=Addable.PLACE, name="attic"),
    wants.Add(what=Addable.PLACE, name="attic", lamp=False, humidifier=False),
    wants.Rename(old="lamp shelf", new="hot shelf"),
    wants.Set(what=Setting.NAME, to="Ocotillo Flats"),
    wants.Set(what=Setting.UNITS, to="F"),
    wants.Set(what=Setting.TIMEZONE, to="America/Denver"),
    wants.Set(what=Setting.WATER_TIMES, to="06:30,19:00"),
    wants.Set(what=Setting.QUIET_HOURS, to="22:00-06:00"),
    wants.Set(what=Setting.QUIET_HOURS, to="off"),
    wants.Set(what=Setting.LAY_HOURS, to="36"),
    wants.Set(what=Setting.LANGUAGE, to="en"),
    wants.Duty(name="Tomas", days=tuple(Weekday), on=False),
    wants.Duty(name="Tomas", days=()),
    wants.Away(name="Tomas"),
    wants.Away(name="Tomas", start=NOON),
    wants.Away(name="Tomas", until=LATER),
    wants.Away(name="Tomas", on=False),
    wants.Pause(),
    wants.Pause(until=LATER),
    wants.Pause(what=Chore.FEED),
    wants.Resume(),
    wants.Snooze(until=LATER),
    *(wants.Done(chore=chore) for chore in Chore),
    *(wants.Skip(chore=chore) for chore in Chore),
)


def the_farm(**fields):
    """Make a farm of what the records speak of."""
    return a_farm(
        a_place("lamp shelf", lamp=True),
        a_place("garage"),
        a_bin("B1", tray_in_at=NOON - dt.timedelta(hours=24)),
        a_bin("B2"),
        a_tub("T1", NOON - dt.timedelta(days=3), place="lamp shelf"),
        a_tub("T2", NOON - dt.timedelta(days=2), place="garage"),
        an_asked(place="lamp shelf", tubs=("T1",)),
        **fields,
    )
