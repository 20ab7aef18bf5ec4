"""Messages out, over HTTP, by the real client."""

import datetime as dt

import pytest

from bot.channels.telegram.channel import TelegramChannel
from bot.ports.messages import Attachment, Button, bold
from bot.ports.sending import SendError, Trouble
from tests.bot.channels.telegram.conftest import NOW, an_outgoing
from tests.botapi.faults import Drop, Garbage, HalfAnswer, Refuse, Wait, broken, too_many

ROW = ((Button(label="Watered", data="1:w"), Button(label="In an hour", data="1:h")),)


@pytest.fixture
def channel(account):
    return TelegramChannel(account)


@pytest.fixture
def noor(server):
    return server.person("Noor")


async def test_a_message_arrives_as_it_was_meant(server, channel, noor):
    reference = await channel.send(an_outgoing(noor, f"{bold('Tub <3>')} & 2 more\nare due."))

    (sent,) = server.sent(noor)
    assert sent.text == "Tub <3> & 2 more\nare due."
    assert sent.bold == ["Tub <3>"]
    assert reference == f"telegram:{noor.id}:{sent.message_id}"


async def test_buttons_stand_under_the_last_part_only(server, channel, noor):
    await channel.send(an_outgoing(noor, "a" * 4000 + "\n\n" + "b" * 200, buttons=ROW))

    first, last = server.sent(noor)
    assert (first.text, last.text) == ("a" * 4000, "b" * 200)
    assert first.labels == []
    assert last.labels == ["Watered", "In an hour"]
    assert last.data("In an hour") == "1:h"


async def test_a_button_may_lead_to_an_address(server, channel, noor):
    await channel.send(an_outgoing(noor, buttons=((Button(label="Join", data="", url="https://t.me/x?start=a"),),)))

    assert server.sent(noor)[0].buttons == [[{"text": "Join", "url": "https://t.me/x?start=a"}]]


async def test_data_that_is_too_long_costs_the_buttons_and_not_the_message(server, channel, noor):
    await channel.send(an_outgoing(noor, f"{bold('a')} < b", buttons=((Button(label="x", data="d" * 65),),)))

    (sent,) = server.sent(noor)
    assert (sent.text, sent.labels) == ("a < b", [])


async def test_a_private_chat_may_share_its_location_and_then_the_button_goes(server, channel, noor):
    await channel.send(an_outgoing(noor, "Where?", asks_location=True))
    await channel.send(an_outgoing(noor, "Thanks.", key="k2"))
    await channel.send(an_outgoing(noor, "Next.", key="k3"))

    where, thanks, following = server.sent(noor)
    assert where.markup["keyboard"][0][0]["request_location"] is True
    assert thanks.markup == {"remove_keyboard": True}
    assert following.markup == {}


async def test_buttons_and_location_come_as_two_messages(server, channel, noor):
    await channel.send(an_outgoing(noor, "Where?", asks_location=True, location_label="Aquí estoy", buttons=ROW))

    asked, location = server.sent(noor)
    assert asked.labels == ["Watered", "In an hour"]
    assert location.markup["keyboard"][0][0]["text"] == location.text == "Aquí estoy"


async def test_a_group_is_not_asked_for_its_location(server, channel):
    group = server.group("Farm")

    await channel.send(an_outgoing(group, "Where?", asks_location=True))

    assert server.sent(group)[0].markup == {}


async def test_a_late_message_has_the_text_that_the_wording_gives_it(server, account, noor):
    channel = TelegramChannel(account, late=lambda outgoing, since: f"{outgoing.text} (due {since:%H:%M})")

    await channel.send(an_outgoing(noor), late_since=NOW - dt.timedelta(hours=1))
    await channel.send(an_outgoing(noor, key="k2"))

    assert [sent.text for sent in server.sent(noor)] == ["Tub 3 is due. (due 11:00)", "Tub 3 is due."]


@pytest.mark.parametrize(
    ("fault", "trouble", "retry_after"),
    [
        (too_many(9), Trouble.FLOOD, 9),
        (broken(), Trouble.SERVER, None),
        (Garbage(), Trouble.SERVER, None),
        (Refuse(code=401, description="Unauthorized"), Trouble.SERVER, None),
        (Garbage(code=404), Trouble.SERVER, None),
        (Drop(), Trouble.NETWORK, None),
        (Garbage(code=200), Trouble.NETWORK, None),
        (Refuse(code=302, description="Found"), Trouble.NETWORK, None),
    ],
    ids=repr,
)
async def test_what_may_pass_is_to_be_tried_again(server, channel, noor, fault, trouble, retry_after):
    server.faults("sendMessage", fault)

    with pytest.raises(SendError) as caught:
        await channel.send(an_outgoing(noor))

    failure = caught.value
    assert (failure.trouble, failure.retry_after) == (trouble, retry_after)
    assert (failure.is_final, failure.chat_gone, failure.moved_to) == (False, False, None)
    assert server.token not in str(failure)
    assert server.sent(noor) == []


@pytest.mark.parametrize(
    ("code", "description"),
    [
        (403, "Forbidden: bot was blocked by the user"),
        (403, "Forbidden: bot was kicked from the group chat"),
        (403, "Forbidden: user is deactivated"),
        (400, "Bad Request: chat not found"),
        (400, "Bad Request: PEER_ID_INVALID"),
        (400, "Bad Request: group chat was upgraded to a supergroup chat"),
    ],
)
async def test_a_chat_that_is_no_more_is_named_as_such(server, channel, noor, code, description):
    server.faults("sendMessage", Refuse(code=code, description=description))

    with pytest.raises(SendError) as caught:
        await channel.send(an_outgoing(noor))

    assert (caught.value.is_final, caught.value.chat_gone) == (True, True)
    assert len(server.calls_of("sendmessage")) == 1


@pytest.mark.parametrize("is_done", [False, True])
async def test_no_answer_and_half_an_answer_are_of_the_network(server, channel, noor, is_done):
    server.faults("sendMessage", HalfAnswer() if is_done else Drop())

    with pytest.raises(SendError) as caught:
        await channel.send(an_outgoing(noor))

    assert caught.value.trouble is Trouble.NETWORK
    assert len(server.sent(noor)) == is_done


async def test_markup_that_is_refused_costs_neither_the_text_nor_the_buttons(server, channel, noor):
    server.faults("sendMessage", Refuse(code=400, description="Bad Request: can't parse entities: unexpected end tag"))

    await channel.send(an_outgoing(noor, f"{bold('a')} < b", buttons=ROW))

    (sent,) = server.sent(noor)
    assert (sent.text, sent.bold, sent.labels) == ("a < b", [], ["Watered", "In an hour"])


async def test_what_telegram_counts_as_too_long_goes_out_in_smaller_parts(server, channel, noor):
    server.faults("sendMessage", Refuse(code=400, description="Bad Request: message is too long"))

    await channel.send(an_outgoing(noor, "tub 1\n" * 300, buttons=ROW))

    sent = server.sent(noor)
    assert " ".join(part.text for part in sent).split() == ["tub", "1"] * 300
    assert [part.labels for part in sent] == [[]] * (len(sent) - 1) + [["Watered", "In an hour"]]
    assert len(sent) >= 2


async def test_what_is_too_long_however_short_it_is_made_is_given_up(server, channel, noor):
    server.faults("sendMessage", Refuse(code=400, description="Bad Request: message is too long"), times=50)

    with pytest.raises(SendError) as caught:
        await channel.send(an_outgoing(noor, "tub 1\n" * 600))

    assert caught.value.is_final
    assert len(server.calls_of("sendmessage")) <= 8


async def test_what_telegram_says_of_a_text_is_not_in_the_log(server, channel, noor, caplog):
    said = 'Bad Request: can\'t parse entities: unsupported start tag "tub 3"'
    server.faults("sendMessage", Refuse(code=400, description=said))

    await channel.send(an_outgoing(noor))

    assert "tub 3" not in caplog.text


async def test_what_telegram_refuses_in_plain_text_too_is_given_up(server, channel, noor):
    server.faults("sendMessage", Refuse(code=400, description="Bad Request: not enough rights"), times=2)

    with pytest.raises(SendError) as caught:
        await channel.send(an_outgoing(noor))

    assert (caught.value.is_final, caught.value.chat_gone) == (True, False)
    assert len(server.calls_of("sendmessage")) == 2


async def test_a_person_who_blocked_and_came_back_is_written_to_again(server, channel, noor):
    server.blocks(noor)
    with pytest.raises(SendError, match="blocked"):
        await channel.send(an_outgoing(noor))

    server.unblocks(noor)
    await channel.send(an_outgoing(noor))

    assert len(server.sent(noor)) == 1


async def test_a_group_that_moved_says_where_to(server, channel):
    group = server.group("Farm", kind="group")
    new = server.upgrades(group)

    with pytest.raises(SendError) as caught:
        await channel.send(an_outgoing(group))

    assert caught.value.moved_to == f"telegram:{new.id}"
    assert not caught.value.chat_gone


async def test_a_group_that_moves_between_two_parts_gets_the_rest_at_its_new_address(server, channel):
    group = server.group("Farm", kind="group")
    new = server.group("Farm")
    moved = Refuse(code=400, description="Bad Request: group chat was upgraded", migrate_to=new.id)
    server.faults("sendMessage", Wait(seconds=0), moved)
    text = "a" * 4000 + "\n\n" + "b" * 200

    with pytest.raises(SendError):
        await channel.send(an_outgoing(group, text))
    await channel.send(an_outgoing(new, text))

    assert [sent.text[0] for sent in server.sent(group)] == ["a"]
    assert [sent.text[0] for sent in server.sent(new)] == ["b"]


async def test_after_a_failure_a_long_message_goes_on_where_it_broke_off(server, channel, noor):
    long = an_outgoing(noor, "\n\n".join(letter * 4000 for letter in "abc"))
    server.faults("sendMessage", None, too_many(1))
    with pytest.raises(SendError):
        await channel.send(long)

    await channel.send(long)

    assert [sent.text[0] for sent in server.sent(noor)] == ["a", "b", "c"]


async def test_an_address_of_another_channel_is_refused(channel, noor):
    with pytest.raises(SendError) as caught:
        await channel.send(an_outgoing(noor).__class__(key="k", chat="terminal:noor", text="x"))

    assert caught.value.is_final


FILE = Attachment(name="farm-records.csv", text='"number"\r\n"1"\r\n')


async def test_a_file_follows_its_message_as_a_document(server, channel, noor):
    reference = await channel.send(an_outgoing(noor, "Your records.", buttons=ROW, file=FILE))

    text, document = server.sent(noor)
    assert (text.text, text.labels, text.file) == ("Your records.", ["Watered", "In an hour"], None)
    assert (document.file.name, document.file.content) == (FILE.name, b"\xef\xbb\xbf" + FILE.text.encode())
    assert reference == f"telegram:{noor.id}:{document.message_id}"


async def test_after_a_failure_the_file_alone_is_sent_again(server, channel, noor):
    server.faults("sendDocument", broken())
    with pytest.raises(SendError):
        await channel.send(an_outgoing(noor, "Your records.", file=FILE))

    await channel.send(an_outgoing(noor, "Your records.", file=FILE))

    assert [sent.text for sent in server.sent(noor)] == ["Your records.", ""]


async def test_a_file_to_a_person_who_has_blocked_the_bot_is_a_chat_that_is_gone(server, channel, noor):
    server.faults("sendDocument", Refuse(code=403, description="Forbidden: bot was blocked by the user"))

    with pytest.raises(SendError) as refused:
        await channel.send(an_outgoing(noor, "Your records.", file=FILE))
    assert refused.value.chat_gone


async def test_what_need_not_wake_anybody_does_not(server, channel, noor):
    await channel.send(an_outgoing(noor, "a" * 4000 + "\n\n" + "b" * 200, is_silent=True))
    await channel.send(an_outgoing(noor, key="k2"))

    assert [call.params.get("disable_notification") for call in server.calls_of("sendmessage")] == [True, True, None]
