"""What is unwise or can hurt: warnings by figure, and safety words at the step where the hand is.

Warnings come whenever something is off; safety words come the first time only. Not for what cannot be so: that is
core.farm.checks. The words themselves are bot.replies' business.
"""

import datetime as dt
from collections.abc import Callable, Iterator
from enum import StrEnum

import msgspec

from core.farm.farm import Bin, Farm, Tub
from core.journal import facts, wants
from core.journal.event import Event
from core.rules.laying import LONG_LAY
from core.rules.space import crowd, is_crowded

COOL_BIN_C = (80.0 - 32.0) / 1.8  # F to C; under it few eggs are laid: common practice, no source
HOT_PLACE_C = (95.0 - 32.0) / 1.8  # eggs are at risk above it: common practice, no source
ONE_AGE = dt.timedelta(days=3)  # pinheads further apart in age do not mix: common practice, no source
FIRST_WEEKS = dt.timedelta(days=14)  # in which older ones eat younger ones most: common practice, no source
DRY_AIR_RH = 70.0  # uncovered tubs dry out under it: common practice, no source


class Concern(StrEnum):
    """Something is off now."""

    COOL_BIN = "cool_bin"
    HOT_PLACE = "hot_place"
    DRY_AIR = "dry_air"
    LONG_LAY = "long_lay"
    MIXED_AGES = "mixed_ages"
    CROWDED = "crowded"


class Safety(StrEnum):
    """Work that can hurt someone."""

    LAMP = "lamp"  # fire
    PEAT = "peat"  # dry peat in a microwave, and lime dust
    MOLD = "mold"  # spores
    WATER = "water"  # water and electricity
    ALLERGY = "allergy"  # cricket dust
    HARVEST = "harvest"  # carbon dioxide and frost, and how crickets die
    FOOD = "food"  # crickets that people or animals eat
    LIFTING = "lifting"  # heavy bins, and work in a hot room


class Caution(msgspec.Struct, frozen=True, kw_only=True):
    """One warning or safety word."""

    topic: Concern | Safety
    subject: str | None = None
    figure: float | None = None  # C, percent, hours, days or crickets, by topic


def warnings(before: Farm, after: Farm, entry: Event) -> tuple[Caution, ...]:
    """Give what is off after an event; `before` is the farm without it."""
    return tuple(caution for rule in _WARNINGS for caution in rule(before, after, entry))


def safety_words(after: Farm, entry: Event) -> tuple[Safety, ...]:
    """Give the safety words that an event calls for and that this farm was not shown yet."""
    return tuple(word for word in _called_for(after, entry) if word not in after.cautioned)


def _cool_bin(_before: Farm, after: Farm, entry: Event) -> Iterator[Caution]:
    match entry.body:
        case facts.Reading(bin=str(name), temp_c=float(temp_c)):
            house = after.bins.get(name)
            if house is not None and house.tray is not None and temp_c < COOL_BIN_C:
                yield Caution(topic=Concern.COOL_BIN, subject=name, figure=temp_c)
        case facts.TrayIn(bin=name):
            house = after.bins.get(name)
            last = next((r for r in reversed(house.readings.warm) if r.temp_c is not None), None) if house else None
            is_recent = last is not None and entry.happened_at - last.at < dt.timedelta(days=1)
            if last is not None and last.temp_c is not None and is_recent and last.temp_c < COOL_BIN_C:
                yield Caution(topic=Concern.COOL_BIN, subject=name, figure=last.temp_c)
        case _:
            return


def _hot_place(_before: Farm, _after: Farm, entry: Event) -> Iterator[Caution]:
    body = entry.body
    if isinstance(body, facts.Reading) and body.bin is None:
        hottest = max((t for t in (body.temp_c, body.high_c) if t is not None), default=None)
        if hottest is not None and hottest > HOT_PLACE_C:
            yield Caution(topic=Concern.HOT_PLACE, subject=body.place or body.tub, figure=hottest)


def _dry_air(_before: Farm, after: Farm, entry: Event) -> Iterator[Caution]:
    match entry.body:
        case facts.Reading(place=str(place), rh=float(rh)) if rh < DRY_AIR_RH:
            if any(_is_open_in(tub, place) for tub in after.incubating()):
                yield Caution(topic=Concern.DRY_AIR, subject=place, figure=rh)
        case facts.Placed(place=place) | facts.TrayOut(place=str(place)):
            where = after.places.get(place)
            last = where.readings.humid[-1] if where and where.readings.humid else None
            is_dry = last is not None and last.rh is not None and last.rh < DRY_AIR_RH
            if last is not None and is_dry and any(_is_open_in(tub, place) for tub in after.incubating()):
                yield Caution(topic=Concern.DRY_AIR, subject=place, figure=last.rh)
        case _:
            return


def _is_open_in(tub: Tub, place: str) -> bool:
    return tub.place == place and not tub.is_covered


def _long_lay(before: Farm, _after: Farm, entry: Event) -> Iterator[Caution]:
    match entry.body:
        case facts.TrayOut(bin=name) if name in before.bins:
            tray = before.bins[name].tray
            if tray is not None and entry.happened_at - tray.put_in_at > LONG_LAY:
                lay = (entry.happened_at - tray.put_in_at) / dt.timedelta(hours=1)
                yield Caution(topic=Concern.LONG_LAY, subject=name, figure=lay)
        case facts.TrayIn(bin=name):
            lay = (entry.said_at - entry.happened_at) / dt.timedelta(hours=1)
            if lay > LONG_LAY / dt.timedelta(hours=1):
                yield Caution(topic=Concern.LONG_LAY, subject=name, figure=lay)
        case _:
            return


def _came_into(after: Farm, entry: Event) -> Bin | None:
    """Give the bin that crickets were put into."""
    match entry.body:
        case facts.Stocked(bin=name) | facts.Moved(to=name):
            return after.bins.get(name)
        case _:
            return None


def _mixed_ages(before: Farm, after: Farm, entry: Event) -> Iterator[Caution]:
    house = _came_into(after, entry)
    if house is None or (house.name in before.bins and before.bins[house.name].cohorts == house.cohorts):
        return
    hatched = [cohort.hatched_at for cohort in house.cohorts if cohort.hatched_at is not None]
    if len(hatched) > 1 and entry.happened_at - max(hatched) < FIRST_WEEKS and max(hatched) - min(hatched) > ONE_AGE:
        days = (max(hatched) - min(hatched)) / dt.timedelta(days=1)
        yield Caution(topic=Concern.MIXED_AGES, subject=house.name, figure=days)


def _crowded(_before: Farm, after: Farm, entry: Event) -> Iterator[Caution]:
    house = _came_into(after, entry)
    if house is not None and is_crowded(house, entry.happened_at):
        yield Caution(topic=Concern.CROWDED, subject=house.name, figure=crowd(house, entry.happened_at))


_WARNINGS: tuple[Callable[[Farm, Farm, Event], Iterator[Caution]], ...] = (
    _cool_bin,
    _hot_place,
    _dry_air,
    _long_lay,
    _mixed_ages,
    _crowded,
)


def _called_for(after: Farm, entry: Event) -> Iterator[Safety]:  # noqa: C901 - one case a kind
    match entry.body:
        case facts.Chirp():
            yield Safety.PEAT
        case facts.Mold():
            yield Safety.MOLD
        case facts.Placed(place=place) | facts.TrayOut(place=str(place)) if _has_lamp(after, place):
            yield Safety.LAMP
            yield Safety.WATER
        case wants.Add(lamp=True):
            yield Safety.LAMP
        case facts.Hatch() | facts.Adults():
            yield Safety.ALLERGY
        case facts.Harvested():
            yield Safety.HARVEST
        case facts.Sold():
            yield Safety.FOOD
        case facts.Cleaned() | facts.Moved():
            yield Safety.LIFTING
        case _:
            return


def _has_lamp(farm: Farm, place: str) -> bool:
    return place in farm.places and bool(farm.places[place].lamp)
