"""The invented farm."""

import datetime as dt

from bot.assistant.desk import Desk
from bot.channels import demo
from bot.channels.replay import Player, SimulatedClock, address, chats_of, people_of
from bot.reader.reader import Reader
from bot.storage.sql_store import SqlStore
from core.farm.fold import fold
from core.farm.opening import opening_events
from core.rules.forecasts import forecasts

NOW = dt.datetime(2026, 7, 14, 14, 10, tzinfo=dt.UTC)


def test_the_season_ends_now():
    farm, lines = demo.season(NOW, "UTC-06:00")

    assert lines[-1].at <= NOW < lines[-1].at + dt.timedelta(days=2)
    assert [line.at for line in lines] == sorted(line.at for line in lines)
    assert {line.sender for line in lines} == {person["name"] for person in farm["people"]}


def test_what_would_lie_ahead_of_now_is_left_out():
    early = NOW.replace(hour=7)

    assert len(demo.season(early, "UTC-06:00")[1]) < len(demo.season(NOW, "UTC-06:00")[1])


def test_the_farm_opens_before_the_first_message_in_the_zone_of_the_machine():
    description, lines = demo.season(NOW, "UTC+10:30")

    farm = fold(opening_events(description))

    assert farm.settings.timezone == "UTC+10:30"
    assert farm.known_since < lines[0].at
    assert list(farm.places) == ["lamp shelf", "humid room", "garage rack"]
    assert farm.people[demo.OWNER].role == "owner"


def test_every_message_is_understood_and_the_farm_is_in_mid_season():
    description, lines = demo.season(NOW, "UTC-06:00")
    clock, store = SimulatedClock(dt.datetime.fromisoformat(description["now"])), SqlStore("sqlite://")
    desk = Desk(store=store, reader=Reader(), clock=clock)
    people = people_of(description, address)
    number = desk.open_farm(opening_events(description), people, chats_of(people))

    said = list(Player(store, desk, clock, farm=number).play(lines, NOW))

    replies = [line for line in said if line["type"] == "reply"]
    assert [line["text"] for line in replies if "events" not in line] == []
    assert len(replies) == len(lines)
    with store.begin() as work:
        farm = fold(work.journal.since(number))
    assert [house.name for house in farm.bins_with_tray()] == ["B1"]
    assert {tub.place for tub in farm.incubating()} == {"lamp shelf", "humid room", "garage rack"}
    windows = [found.window for found in forecasts(farm).values()]
    assert any(window.earliest > NOW for window in windows)
    store.close()
