"""Checks of what is told of people: somebody who does chores is of the farm and may do them."""

from collections.abc import Iterator

from core.farm.farm import Farm
from core.farm.faults import Fault, Finding
from core.journal.event import Event
from core.journal.kinds import Role
from core.journal.wants import Away, Duty


def workers(farm: Farm, entry: Event) -> Iterator[Finding]:
    """Find duties of somebody who is not of the farm, or who only looks on."""
    match entry.body:
        case Duty(name=name) | Away(name=name):
            person = farm.people.get(name)
            if person is None:
                yield Finding(fault=Fault.NO_SUCH_PERSON, subject=name)
            elif person.role is Role.LOOKER_ON:
                yield Finding(fault=Fault.LOOKS_ON, subject=name)
        case _:
            return
