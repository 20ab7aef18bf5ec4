"""Which language somebody is answered in; nowhere else is that decided.

What a person chose on the farm comes first, then what their messaging service says, then the farm's own setting.
"""

from collections.abc import Iterable

from bot.ports.messages import DEFAULT_LANGUAGE
from bot.ports.stores import Chat, Member
from bot.replies.languages import languages
from core.farm.farm import Farm
from core.journal.kinds import Role


def code_of(told: str | None) -> str:
    """Give the bare code of a language as a service tells it, es of es-MX; empty where it tells none."""
    return (told or "").replace("_", "-").split("-")[0].lower()


def of_person(farm: Farm, name: str, told: str | None) -> str:
    """Give the language for a person of a farm; `told` is what their service says."""
    person = farm.people.get(name)
    return _first_spoken((person.language if person is not None else None, code_of(told), farm.settings.language))


def of_stranger(told: str | None) -> str:
    """Give the language for somebody of whom only the service tells."""
    return _first_spoken((code_of(told),))


def of_chat(farm: Farm, chat: Chat, people: Iterable[Member]) -> str:
    """Give the language for what is sent to a chat unasked: its person's, in a group the farm's or its owner's."""
    known = list(people)
    if not chat.is_group:
        found = next((m for m in known if m.address == chat.address), None)
        return of_person(farm, found.name, found.language) if found is not None else _of_farm(farm)
    owner = next((m for m in known if m.role is Role.OWNER), None)
    if farm.settings.language in languages() or owner is None:
        return _of_farm(farm)
    return of_person(farm, owner.name, owner.language)


def _of_farm(farm: Farm) -> str:
    return _first_spoken((farm.settings.language,))


def _first_spoken(codes: Iterable[str | None]) -> str:
    return next((code for code in codes if code in languages()), DEFAULT_LANGUAGE)
