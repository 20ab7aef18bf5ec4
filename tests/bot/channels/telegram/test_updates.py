"""An update becomes our own record."""

import datetime as dt

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.channels.telegram import updates
from bot.ports.messages import LONGEST_TEXT, Incoming, Sender
from tests.bot.channels.telegram import junk
from tests.bot.channels.telegram.conftest import NOW

BOT = "farm_test_bot"
NOOR = {"id": 7, "is_bot": False, "first_name": "Noor", "last_name": "Aziz", "language_code": "es-MX"}
PRIVATE = {"id": 7, "type": "private", "first_name": "Noor"}
GROUP = {"id": -100, "type": "supergroup", "title": "Farm"}
WRITTEN_AT = dt.datetime(2026, 3, 1, 8, 30, tzinfo=dt.UTC)


def read(raw):
    taken = updates.taken(raw, BOT, NOW)
    return taken and taken.incoming


def a_message(chat=PRIVATE, sender=NOOR, **content):
    return {"message_id": 17, "date": int(WRITTEN_AT.timestamp()), "chat": chat, "from": sender} | content


def an_update(kind="message", **fields):
    return {"update_id": 42, kind: a_message(**fields)}


def test_a_private_text():
    incoming = read(an_update(text="tub 3 watered"))

    assert incoming.key == "telegram:update:42"
    assert incoming.chat == "telegram:7"
    assert incoming.sender == Sender(address="telegram:7", name="Noor Aziz", language="es-MX")
    assert incoming.sent_at == WRITTEN_AT
    assert incoming.text == "tub 3 watered"
    assert incoming.message == "telegram:7:17"
    assert (incoming.is_edit, incoming.is_group, incoming.is_addressed) == (False, False, True)


def test_an_edit_names_the_same_message():
    incoming = read(an_update("edited_message", text="tub 4 watered", edit_date=int(NOW.timestamp())))

    assert incoming.is_edit
    assert incoming.message == "telegram:7:17"
    assert incoming.sent_at == WRITTEN_AT


def test_a_caption_is_a_text():
    photo = [{"file_id": "f", "file_unique_id": "u", "width": 1, "height": 1}]

    assert read(an_update(photo=photo, caption="mold in tub 2")).text == "mold in tub 2"


def test_a_picture_or_voice_without_words_gets_an_answer_in_private():
    voice = {"file_id": "f", "file_unique_id": "u", "duration": 3}

    assert read(an_update(voice=voice)).text == ""
    assert read(an_update(voice=voice, chat=GROUP)) is None


def test_a_location():
    assert read(an_update(location={"latitude": 39.7, "longitude": -105.0})).location == (39.7, -105.0)


def test_a_press():
    raw = {
        "update_id": 43,
        "callback_query": {
            "id": "990",
            "from": NOOR,
            "chat_instance": "1",
            "data": "1:w:3",
            "message": a_message(GROUP, {"id": 1, "is_bot": True, "first_name": "Farm"}, text="due"),
        },
    }

    taken = updates.taken(raw, BOT, NOW)

    assert taken.callback_query == "990"
    incoming = taken.incoming
    assert (incoming.key, incoming.press, incoming.text, incoming.message) == ("telegram:update:43", "1:w:3", "", "")
    assert (incoming.chat, incoming.sender.address, incoming.is_group) == ("telegram:-100", "telegram:7", True)
    assert incoming.sent_at == NOW


def test_a_press_under_a_message_that_telegram_no_longer_has():
    raw = {
        "update_id": 43,
        "callback_query": {
            "id": "990",
            "from": NOOR,
            "chat_instance": "1",
            "data": "1:w:3",
            "message": {"chat": PRIVATE, "message_id": 5, "date": 0},
        },
    }

    assert read(raw).press == "1:w:3"


@pytest.mark.parametrize(
    ("text", "expected", "is_addressed"),
    [
        ("pulled the tray", "pulled the tray", False),
        ("@farm_test_bot pulled the tray", "pulled the tray", True),
        ("@Farm_Test_Bot, pulled the tray", "pulled the tray", True),
        ("what is due @farm_test_bot?", "what is due ?", True),
        ("hi @farm_test_bot2", "hi @farm_test_bot2", False),
        ("mail me@farm_test_bot", "mail me@farm_test_bot", False),
        ("@farm_test_bot", "", True),
        ("/due", "/due", True),
        ("/due@farm_test_bot", "/due", True),
        ("/start@farm_test_bot  PAYLOAD_-1", "/start PAYLOAD_-1", True),
    ],
)
def test_in_a_group_the_bots_name_is_taken_out(text, expected, is_addressed):
    incoming = read(an_update(chat=GROUP, text=text))

    assert (incoming.text, incoming.is_addressed, incoming.is_group) == (expected, is_addressed, True)


def test_a_reply_to_the_bot_is_addressed_to_it():
    theirs = a_message(GROUP, {"id": 1, "is_bot": True, "first_name": "Farm", "username": BOT}, text="due")
    anyones = a_message(GROUP, NOOR, text="due")
    topic = theirs | {"forum_topic_created": {"name": "Tubs", "icon_color": 7322096}}

    assert read(an_update(chat=GROUP, text="done", reply_to_message=theirs)).is_addressed
    assert not read(an_update(chat=GROUP, text="done", reply_to_message=anyones)).is_addressed
    assert not read(an_update(chat=GROUP, text="done", reply_to_message=topic)).is_addressed


def test_a_start_with_payload_passes_as_text():
    assert read(an_update(text="/start join-A1b2")).text == "/start join-A1b2"


@pytest.mark.parametrize(
    "raw",
    [
        an_update(sticker={"file_id": "f", "file_unique_id": "u", "width": 1, "height": 1, "type": "regular"}),
        an_update(chat=GROUP, new_chat_members=[NOOR]),
        an_update(sender={"id": 9, "is_bot": True, "first_name": "Other"}, text="hi"),
        an_update(chat=GROUP, text="/due@other_bot"),
        an_update("channel_post", chat={"id": -5, "type": "channel", "title": "News"}, text="hi"),
        an_update("edited_message", location={"latitude": 1, "longitude": 2}),
        {"update_id": 42},
        {"update_id": 42, "thought": {"of": "something new"}},
        {"update_id": 42, "message": {"text": "no head"}},
        {"update_id": 42, "message": "nonsense"},
        {"update_id": 42, "message": {"date": 2**62, "message_id": 1, "chat": PRIVATE, "from": NOOR, "text": "late"}},
        {"update_id": 42, "callback_query": {"id": "1", "from": NOOR, "chat_instance": "1", "data": "x"}},
    ],
    ids=str,
)
def test_what_is_no_message_for_us_is_passed_over(raw):
    assert read(raw) is None


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("tub\x00 3\x07 \x02wet\x03\x9f", "tub 3 wet"),
        ("one\r\ntwo\rthree\nfour\u2028five", "one\ntwo\nthree\nfour\nfive"),
        ("tub\t3", "tub 3"),
        ("\u202etub\u202c \u200f3\u2066\u2069", "tub 3"),
        ("\ud83dtub 3", "tub 3"),
        ("\U0001f469\u200d\U0001f33e", "\U0001f469\u200d\U0001f33e"),
        ("\x00\u202e", ""),
    ],
)
def test_what_nobody_sees_is_taken_out(text, expected):
    assert read(an_update(text=text)).text == expected


def test_a_name_without_letters_falls_back_to_something():
    blank = NOOR | {"first_name": "\u202e\u200b", "last_name": "", "username": "noor7"}

    assert read(an_update(sender=blank, text="x")).sender.name == "noor7"
    assert read(an_update(sender=blank | {"username": None}, text="x")).sender.name == "7"


@given(st.text(max_size=60))
def test_any_text_comes_through_fit_to_store(text):
    incoming = read(an_update(text=text)) if text else None

    if incoming is not None:
        assert incoming.text.encode("utf-8") is not None  # no halves of characters
        assert not {"\x00", "\x02", "\x03"} & set(incoming.text)


def test_addresses_are_of_telegram_only():
    assert updates.chat_id(updates.address(-100)) == -100
    with pytest.raises(ValueError, match="terminal"):
        updates.chat_id("terminal:noor")


def test_a_group_that_became_a_supergroup_is_told_of_by_the_old_one_and_by_the_new_one():
    told_by_old = read(an_update(chat={"id": -5, "type": "group"}, migrate_to_chat_id=-1005))
    told_by_new = read(an_update(chat={"id": -1005, "type": "supergroup"}, migrate_from_chat_id=-5))

    for told in (told_by_old, told_by_new):
        assert (told.chat, told.moved_from, told.text) == ("telegram:-1005", "telegram:-5", "")


def test_of_a_huge_text_no_more_is_kept_than_shows_that_it_is_too_long():
    incoming = read(an_update(text="tub 3 watered " * 80_000))

    assert len(incoming.text) <= LONGEST_TEXT + 1
    assert len(read(an_update(text="🦗" * LONGEST_TEXT)).text) == LONGEST_TEXT
    assert len(read(an_update(text="x" * 10_000)).text) > LONGEST_TEXT


def test_of_a_huge_name_a_piece_is_kept():
    sender = read(
        an_update(sender=NOOR | {"first_name": "N" * 1_000_000, "language_code": "e" * 1000}, text="x")
    ).sender

    assert len(sender.name) == 128
    assert len(sender.language) == 35


@pytest.mark.parametrize(
    "changed",
    [
        {"chat": {"id": "7", "type": "private"}},
        {"chat": {"id": 2**70, "type": "private"}},
        {"sender": NOOR | {"id": True}},
        {"sender": NOOR | {"language_code": 5}},
        {"sender": NOOR | {"language_code": "\ud83e"}},
        {"text": 5},
        {"text": ["tub 3"]},
        {"date": None},
        {"date": 0},
        {"date": 10**20},
        {"location": {"latitude": "north", "longitude": 1}},
        {"location": {"latitude": float("nan"), "longitude": 1.0}},
    ],
    ids=str,
)
def test_what_could_not_be_kept_and_read_again_is_passed_over(changed, caplog):
    date = changed.pop("date", 1772353800)

    assert read({"update_id": 42, "message": a_message(**({"text": "tub 3"} | changed)) | {"date": date}}) is None
    assert "passed over" in caplog.text
    assert "tub 3" not in caplog.text


@pytest.mark.parametrize("number", [None, "42", 4.2, True, 2**63, [], {}])
def test_an_update_without_a_number_is_passed_over(number):
    assert read(an_update(text="tub 3") | {"update_id": number}) is None
    assert updates.update_id({"update_id": number}) is None


def test_data_of_no_button_of_ours_is_passed_over():
    query = {"id": "9", "from": NOOR, "chat_instance": "1", "message": a_message(text="due")}

    assert read({"update_id": 42, "callback_query": query | {"data": "d" * 64}}).press == "d" * 64
    assert read({"update_id": 42, "callback_query": query | {"data": "d" * 65}}) is None


@given(junk.JUNK)
@settings(max_examples=300, deadline=None)
def test_whatever_comes_is_a_record_that_can_be_kept_or_nothing(raw):
    incoming = read(raw | {"update_id": 42} if isinstance(raw, dict) else raw)

    if incoming is not None:
        assert msgspec.json.decode(msgspec.json.encode(incoming), type=Incoming) == incoming
        assert len(incoming.text) <= LONGEST_TEXT + 1
        assert "\x00" not in incoming.text + incoming.sender.name + incoming.chat + (incoming.press or "")
        assert updates.chat_id(incoming.chat) == int(incoming.chat.partition(":")[2])
