"""Updates that Telegram would not send: anything may be missing, of another type, or beyond all bounds."""

import copy

from hypothesis import strategies as st

NOOR = {"id": 7, "is_bot": False, "first_name": "Noor", "language_code": "en"}
PRIVATE = {"id": 7, "type": "private", "first_name": "Noor"}
BOT = {"id": 1, "is_bot": True, "first_name": "Farm"}
WRITTEN_AT = 1772353800


def a_message(**content):
    """Write a message as Telegram does."""
    return {"message_id": 17, "date": WRITTEN_AT, "chat": PRIVATE, "from": NOOR} | content


WHOLE = [
    {"message": a_message(text="tub 3 watered")},
    {"edited_message": a_message(text="tub 3 watered", edit_date=WRITTEN_AT + 60)},
    {"message": a_message(location={"latitude": 39.7, "longitude": -105.0})},
    {"message": a_message(photo=[{"file_id": "f", "file_unique_id": "u", "width": 1, "height": 1}], caption="mold")},
    {"message": a_message(chat={"id": -100, "type": "supergroup", "title": "Farm"}, text="@farm_test_bot hello")},
    {"message": a_message(reply_to_message=a_message(text="due", **{"from": BOT}), text="done")},
    {"message": a_message(migrate_to_chat_id=-1001)},
    {"callback_query": {"id": "9", "from": NOOR, "chat_instance": "1", "data": "1:w", "message": a_message(text="x")}},
    {
        "my_chat_member": {
            "chat": PRIVATE,
            "from": NOOR,
            "date": WRITTEN_AT,
            "old_chat_member": {},
            "new_chat_member": {},
        }
    },
    {"message_reaction": {"chat": PRIVATE, "message_id": 17, "date": WRITTEN_AT}},
    {"of_tomorrow": {"what": "ever"}},
]

SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.sampled_from([0, -1, 2**31, 2**52, 2**63, 2**64, 10**30, -(10**30)]),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(["", "\x00", "\ud83e", "\u202e", "x" * 5000, "🦗" * 3000]),
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


@st.composite
def spoiled(draw):
    """Draw an update of which one to three values are taken out or replaced."""
    update = copy.deepcopy(draw(st.sampled_from(WHOLE)))
    for _ in range(draw(st.integers(1, 3))):
        _spoil(draw, update)
    return update


def _spoil(draw, value):
    """Go down a path by chance, and spoil what is at its end."""
    while True:
        keys = list(value) if isinstance(value, dict) else list(range(len(value)))
        if not keys:
            return
        key = draw(st.sampled_from(keys))
        if isinstance(value[key], dict | list) and value[key] and draw(st.integers(0, 3)):
            value = value[key]
            continue
        if draw(st.booleans()):
            del value[key]
        else:
            value[key] = draw(VALUES)
        return


JUNK = spoiled() | VALUES | st.dictionaries(st.sampled_from(["message", "callback_query", "x"]), VALUES, max_size=2)
