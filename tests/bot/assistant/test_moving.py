"""A group that becomes a supergroup."""

from bot.assistant import buttons, moving
from bot.ports.intents import Intent
from bot.ports.messages import Button, Incoming, Sender
from tests.builders import NOON
from tests.contracts.records import an_outgoing

OLD, NEW = "chat:the group", "chat:the supergroup"


def told(talk, number=1, old=OLD, new=NEW):
    """Have the channel tell that a chat moved, as it does for both of its addresses."""
    incoming = Incoming(
        key=f"chat:moved:{number}",
        chat=new,
        sender=Sender(address=new, name=""),
        sent_at=talk.clock.now(),
        is_group=True,
        moved_from=old,
    )
    talk.desk.take(incoming)
    talk.desk.work()
    return talk._drain()


def test_the_farm_is_reminded_at_the_new_address_and_nothing_is_said_about_it(talk):
    talk.says("Noor", "hello", group=True)
    talk.tells("Noor", "tray_in", bin="B1")

    assert told(talk) == []
    assert told(talk, 2) == []

    (push,) = talk.pass_until(NOON.replace(day=NOON.day + 1))
    assert push.outgoing.chat == NEW


def test_what_was_asked_in_the_old_group_is_answered_in_the_new_one(talk):
    talk.means("tray", Intent(kind="tray_in", slots={}, needs=("bin",)))
    talk.says("Noor", "tray", group=True)
    told(talk)

    talk._in("Noor", text="B2", message="chat:x", chat=NEW, group=True)

    assert talk.farm.bins["B2"].tray is not None


def test_a_button_that_was_on_its_way_works_where_it_arrives(talk):
    talk.says("Noor", "hello", group=True)
    bond = buttons.bond(talk.farm_id, OLD)
    row = (
        (Button(label="Help", data=buttons.write(buttons.Say("help"), bond)), Button(label="Site", data="", url="x")),
    )
    with talk.store.begin() as work:
        work.outbox.post(an_outgoing("k", OLD, buttons=row), talk.clock.now())
        moving.move_chat(work, OLD, NEW, talk.clock.now())
        (waiting,) = work.outbox.waiting(talk.clock.now())

    help_, site = waiting.outgoing.buttons[0]
    assert waiting.outgoing.chat == NEW
    assert buttons.read(help_.data, buttons.bond(talk.farm_id, NEW)) == buttons.Say("help")
    assert site.data == ""


def test_a_group_that_is_no_farms_moves_without_becoming_one(talk):
    told(talk, old="chat:others", new="chat:other supergroup")

    with talk.store.begin() as work:
        assert work.people.chat("chat:other supergroup") is None
        assert work.farms.ids() == [talk.farm_id]


def test_what_was_said_before_it_was_known_is_heard(talk):
    talk.says("Noor", "hello", group=True)
    talk.means("tray in 1", Intent(kind="tray_in", slots={"bin": "B1"}))

    talk._in("Noor", text="tray in 1", message="chat:x", chat=NEW, group=True)
    told(talk)

    with talk.store.begin() as work:
        assert [chat.address for chat in work.people.chats(talk.farm_id) if chat.is_group] == [NEW]
    assert talk.farm.bins["B1"].tray is not None
