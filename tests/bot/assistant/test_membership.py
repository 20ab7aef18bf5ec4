"""Who may speak for which farm."""

import datetime as dt

import pytest

from bot.assistant import membership
from bot.ports.messages import Incoming, Sender
from bot.ports.stores import Chat, Invite, Member
from core.journal import facts
from core.journal.kinds import Role
from tests.builders import NOON, after, an_event
from tests.memory import MemoryStore

TOKEN = "AAAA_bbbb-cc0123"  # noqa: S105 - as ours look


@pytest.fixture
def uow():
    """One farm of Noor's, and a group of it."""
    with MemoryStore().begin() as work:
        farm = work.farms.found(NOON)
        work.people.put(Member(address="chat:Noor", farm=farm, name="Noor", role=Role.OWNER))
        work.people.put_chat(Chat(address="chat:Noor", farm=farm, is_group=False))
        yield work


def says(text="hi", who="Lupe", **fields):
    sender = Sender(address=f"chat:{who}", name=who, **({"language": "es-MX"} if who == "Lupe" else {}))
    return Incoming(**({"key": "k", "chat": f"chat:{who}", "sender": sender, "sent_at": NOON, "text": text} | fields))


def a_chat(name, *, is_group=False):
    return Chat(address=f"chat:{name}", farm=1, is_group=is_group)


def arrive(uow, incoming, *, owners=("chat:Noor",), now=NOON):
    return membership.arrive(uow, incoming, now, lambda address: not owners or address in owners)


def invited(uow, now=NOON):
    return membership.invite(uow, uow.people.member("chat:Noor"), now)


def test_one_of_the_farm_is_known(uow):
    arrival = arrive(uow, says(who="Noor"))

    assert (arrival.member.name, arrival.is_new, arrival.is_founder, arrival.is_new_chat) == (
        "Noor",
        False,
        False,
        False,
    )


def test_whoever_may_founds_a_farm(uow):
    arrival = arrive(uow, says(), owners=())

    assert (arrival.is_founder, arrival.is_new) == (True, True)
    assert (arrival.member.farm, arrival.member.role, arrival.member.language) == (2, Role.OWNER, "es")
    assert [c.address for c in uow.people.chats(2)] == ["chat:Lupe"]


def test_the_press_of_a_button_founds_no_farm(uow):
    for pressed in (says("", press="2|bond|s|help"), in_group("Lupe", "", press="2|bond|s|help")):
        assert arrive(uow, pressed, owners=()).reason == "press.elsewhere"
    assert uow.farms.ids() == [1]


def test_who_presses_a_button_in_the_farms_group_is_of_the_farm(uow):
    arrive(uow, in_group("Noor"))

    assert arrive(uow, in_group("Lupe", "", press="2|bond|s|help")).member.farm == 1


def test_a_stranger_is_turned_away_and_kept_nowhere(uow):
    assert arrive(uow, says()).reason == "refused.not_invited"
    assert uow.people.member("chat:Lupe") is None
    assert uow.people.chat("chat:Lupe") is None
    assert uow.farms.ids() == [1]


def test_an_invite_lets_one_person_in_as_a_hand(uow):
    token = invited(uow)

    arrival = arrive(uow, says(f"/start {token}"))

    assert (arrival.member.farm, arrival.member.role, arrival.is_new) == (1, Role.HAND, True)
    assert arrive(uow, says(f"/start {token}", who="Otis")).reason == "refused.bad_invite"


def test_an_invite_is_good_for_a_week(uow):
    token = invited(uow)

    late = arrive(uow, says(f"/start {token}"), now=after(days=7))

    assert late.reason == "refused.bad_invite"


class Deaf:
    """People of whom no invite may be asked for."""

    def __init__(self, people):
        self.members, self.member, self.chat = people.members, people.member, people.chat


@pytest.mark.parametrize(
    "token",
    ["nonsense", "' or 1=1 --", "\u202e", "x" * 500, "x" * 15, "x" * 17, "x" * 15 + "é", "x" * 15 + "\u0661", "%" * 16],
)
def test_what_does_not_look_like_an_invite_is_not_even_looked_up(uow, token):
    uow.people = Deaf(uow.people)

    assert arrive(uow, says(f"/start {token}")).reason == "refused.bad_invite"


def test_an_invite_that_nobody_made_is_looked_up_and_lets_nobody_in(uow):
    assert arrive(uow, says(f"/start {TOKEN}")).reason == "refused.bad_invite"


def test_an_owners_own_invite_stays_good_for_somebody_else(uow):
    token = invited(uow)

    assert arrive(uow, says(f"/start {token}", who="Noor"), owners=()).member.role is Role.OWNER
    assert arrive(uow, says(f"/start {token}")).member.farm == 1


def test_a_hand_who_opens_an_invite_of_the_same_farm_stays_who_they_are(uow):
    arrive(uow, says(f"/start {invited(uow)}"))

    token = invited(uow)
    again = arrive(uow, says(f"/start {token}"))

    assert (again.member.name, again.is_new) == ("Lupe", False)
    assert arrive(uow, says(f"/start {token}", who="Otis")).member.farm == 1


def test_a_hand_may_move_to_another_farm_by_its_invite(uow):
    arrive(uow, says(f"/start {invited(uow)}"))
    other = uow.farms.found(NOON)
    uow.people.put_invite(Invite(token=TOKEN, farm=other, role=Role.HAND, expires_at=after(days=1)))

    assert arrive(uow, says(f"/start {TOKEN}")).member.farm == other


def test_an_owner_keeps_the_farm_whatever_link_is_opened(uow):
    other = uow.farms.found(NOON)
    uow.people.put_invite(Invite(token=TOKEN, farm=other, role=Role.HAND, expires_at=after(days=1)))

    uow.journal.append(1, [an_event(facts.Chirp(bin="B1"), 1, by="Noor")])

    assert arrive(uow, says(f"/start {TOKEN}", who="Noor")).member.farm == 1


def test_who_said_hello_before_opening_an_invite_comes_to_the_farm_of_the_invite(uow):
    other = uow.farms.found(NOON)
    uow.people.put_invite(Invite(token=TOKEN, farm=other, role=Role.HAND, expires_at=after(days=1)))

    arrival = arrive(uow, says(f"/start {TOKEN}", who="Noor"))

    assert arrival.member.farm == other
    assert uow.people.chat(arrival.member.address).farm == other


def test_names_are_unique_on_a_farm(uow):
    arrive(uow, says(f"/start {invited(uow)}"))
    same = says(f"/start {invited(uow)}", who="Otis")
    sender = Sender(address="chat:Otis", name="  Lupe ")

    assert (
        arrive(uow, Incoming(key="k", chat=same.chat, sender=sender, sent_at=NOON, text=same.text)).member.name
        == "Lupe 2"
    )
    nameless = Sender(address="chat:x", name="")
    text = f"/start {invited(uow)}"
    assert (
        arrive(uow, Incoming(key="k", chat="chat:x", sender=nameless, sent_at=NOON, text=text)).member.name == "Someone"
    )


def in_group(who, text="hi", *, addressed=True, **fields):
    return says(text, who=who, chat="chat:group", is_group=True, is_addressed=addressed, **fields)


def test_a_group_becomes_the_farms_when_one_of_its_people_speaks_to_the_assistant_there(uow):
    assert not arrive(uow, in_group("Noor", addressed=False)).is_new_chat
    assert arrive(uow, in_group("Noor")).is_new_chat
    assert not arrive(uow, in_group("Noor")).is_new_chat


@pytest.mark.parametrize("role", [Role.HAND, Role.LOOKER_ON])
def test_nobody_but_the_owner_brings_the_assistant_into_a_group(uow, role):
    uow.people.put(Member(address="chat:Lupe", farm=1, name="Lupe", role=role))

    for addressed in (True, False):
        assert arrive(uow, in_group("Lupe", addressed=addressed)).reason == "refused.group_owner"
    assert uow.people.chat("chat:group") is None


def test_one_of_another_farm_is_not_heard_in_a_farms_group(uow):
    arrive(uow, in_group("Noor"))
    arrive(uow, says(who="Ines"), owners=())

    for text in ("status", f"/start {invited(uow)}"):
        assert arrive(uow, in_group("Ines", text)).reason == "refused.other_group"
    assert uow.people.member("chat:Ines").farm == 2


def test_an_invite_to_another_farm_is_not_opened_in_a_farms_group(uow):
    arrive(uow, in_group("Noor"))
    other = uow.farms.found(NOON)
    uow.people.put_invite(Invite(token=TOKEN, farm=other, role=Role.HAND, expires_at=after(days=1)))

    assert arrive(uow, in_group("Lupe", f"/start {TOKEN}")).member.farm == 1


def test_who_is_in_the_farms_group_is_of_the_farm(uow):
    assert arrive(uow, in_group("Lupe", addressed=False)).reason == "refused.not_invited"
    arrive(uow, in_group("Noor"))

    arrival = arrive(uow, in_group("Lupe", addressed=False))

    assert (arrival.member.role, arrival.member.farm) == (Role.HAND, 1)


def test_the_language_that_a_service_tells_first_is_kept(uow):
    arrive(uow, says(f"/start {invited(uow)}"))
    arrive(uow, says(sender=Sender(address="chat:Lupe", name="Lupe", language="en")))
    assert uow.people.member("chat:Lupe").language == "es"

    arrive(uow, says(who="Noor"))
    assert uow.people.member("chat:Noor").language == ""

    arrive(uow, says(sender=Sender(address="chat:Noor", name="Noor", language="en-US")))
    assert uow.people.member("chat:Noor").language == "en"


def test_talk_in_a_group_that_is_nobodys_founds_no_farm(uow):
    assert arrive(uow, in_group("Lupe", addressed=False), owners=()).reason == "refused.not_invited"
    assert arrive(uow, in_group("Lupe"), owners=()).is_founder


def test_reminders_go_to_the_groups_or_else_to_each_person(uow):
    arrive(uow, says(f"/start {invited(uow)}"))
    assert membership.reminder_chats(uow.people.chats(1)) == [a_chat("Lupe"), a_chat("Noor")]

    arrive(uow, in_group("Noor"))

    assert membership.reminder_chats(uow.people.chats(1)) == [a_chat("group", is_group=True)]


@pytest.mark.parametrize(
    ("text", "payload"),
    [
        ("/start", ""),
        ("/start abc", "abc"),
        ("/start@bot abc ", "abc"),
        ("start abc", None),
        ("", None),
        ("/starter", None),
    ],
)
def test_the_payload_is_what_stands_behind_start(text, payload):
    assert membership.start_payload(says(text)) == payload


def test_a_token_is_long_and_fits_a_link(uow):
    tokens = {invited(uow) for _ in range(20)}

    assert len(tokens) == 20
    assert all(16 <= len(t) <= 64 and t.replace("-", "").replace("_", "").isalnum() for t in tokens)
    assert dt.timedelta(days=7) == membership.INVITE_GOOD_FOR
