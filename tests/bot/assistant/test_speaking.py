"""Which language somebody is answered in."""

import pytest

from bot.assistant import speaking
from bot.ports.stores import Chat, Member
from core.farm.farm import Person
from core.journal.kinds import Role
from tests.builders import a_farm, settings


def farm_of(farms=None, **chosen):
    people = {name: Person(name=name, role=Role.HAND, language=code) for name, code in chosen.items()}
    return a_farm(people=people, settings=settings(language=farms))


def a_member(name, role=Role.HAND, language=""):
    return Member(address=f"chat:{name}", farm=1, name=name, role=role, language=language)


@pytest.mark.parametrize(
    ("chosen", "told", "farms", "spoken"),
    [
        ("es", "en-US", "en", "es"),
        ("en", "es-MX", "es", "en"),
        (None, "es-MX", "en", "es"),
        (None, "ES_mx", None, "es"),
        (None, "fr", "es", "es"),
        (None, "", "es", "es"),
        (None, None, None, "en"),
        ("fr", "es", None, "es"),
        (None, "fr", "de", "en"),
    ],
)
def test_the_choice_comes_before_the_service_and_that_before_the_farm(chosen, told, farms, spoken):
    assert speaking.of_person(farm_of(farms, Noor=chosen), "Noor", told) == spoken


def test_a_stranger_is_spoken_to_as_their_service_says():
    assert [speaking.of_stranger(told) for told in ("es-419", "fr", None)] == ["es", "en", "en"]


def test_a_chat_of_one_person_is_in_theirs():
    chat = Chat(address="chat:Tomas", farm=1, is_group=False)
    people = [a_member("Noor", Role.OWNER), a_member("Tomas", language="es")]

    assert speaking.of_chat(farm_of(), chat, people) == "es"
    assert speaking.of_chat(farm_of(Tomas="en"), chat, people) == "en"
    assert speaking.of_chat(farm_of("es"), Chat(address="chat:nobody", farm=1, is_group=False), people) == "es"


def test_a_group_is_in_the_farms_or_else_in_the_owners():
    group = Chat(address="chat:group", farm=1, is_group=True)
    people = [a_member("Tomas"), a_member("Noor", Role.OWNER, "es")]

    assert speaking.of_chat(farm_of("en"), group, people) == "en"
    assert speaking.of_chat(farm_of(), group, people) == "es"
    assert speaking.of_chat(farm_of(Noor="en"), group, people) == "en"
    assert speaking.of_chat(farm_of(Tomas="es"), group, [a_member("Tomas")]) == "en"
