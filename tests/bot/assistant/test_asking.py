"""One question for the one thing that is missing."""

import pytest

from bot.assistant import buttons
from bot.assistant.asking import MOST_CANDIDATES
from bot.assistant.dialog import KEPT
from core.journal import wants
from core.journal.facts import Remark
from core.journal.kinds import Addable
from core.units import TemperatureUnit
from tests.bot.assistant.talk import Talk
from tests.builders import after


@pytest.mark.parametrize(
    ("kind", "slots", "needs", "told"),
    [
        ("tray_in", {}, "bin", "Which bin gets the tray?"),
        ("chirp", {}, "bin", "Which bin is chirping?"),
        ("tray_out", {}, "bin", "Which bin did the tray come from?"),
        ("hatch", {}, "tub", "Which tub has hatched?"),
        ("reading", {"temp_c": 32.2, "rh": 60}, "place", "90°F, 60 % humidity: which place?"),
        ("placed", {"tubs": ["T1"]}, "place", "Where does tub 1 stand?"),
        ("set", {"what": "lay_hours"}, "to", "What shall the lay time in hours be?"),
        ("order", {"count": 500, "size": "1/2in"}, "due", "By what day?"),
        ("rename", {"new": "nursery"}, "old", None),
        ("remind", {"text": "x"}, "when", "When?"),
    ],
)
def test_a_question_names_what_it_is_about(talk, kind, slots, needs, told):
    answer = talk.tells("Noor", kind, slots, needs=(needs,))

    assert answer.text == told if told else answer.text.endswith((".", "?"))


def test_the_likelier_bins_come_first(talk):
    talk.tells("Noor", "tray_in", bin="B2")

    assert talk.tells("Noor", "tray_out", needs=("bin",)).labels == ("Bin 2", "Bin 1", "Bin 3")
    talk.tells("Noor", "adults", bin="B3")
    assert talk.tells("Noor", "tray_in", needs=("bin",)).labels == ("Bin 3", "Bin 1", "Bin 2")


def test_only_as_many_candidates_as_a_thumb_can_choose_from():
    talk = Talk(*(wants.Add(what=Addable.BIN, name=f"B{n}") for n in range(1, 20)))

    assert len(talk.tells("Noor", "chirp", needs=("bin",)).labels) == MOST_CANDIDATES


def test_a_press_completes_what_was_said_at_its_own_time(talk):
    talk.tells("Noor", "chirp", needs=("bin",))
    asked_at = talk.clock.now()
    talk.clock.forward(hours=2)

    talk.press("Noor", "Bin 3")

    assert talk.farm.bins["B3"].chirped_at == asked_at


def test_a_time_that_was_said_with_it_stays(talk):
    talk.tells("Noor", "chirp", needs=("bin",), at=after(days=-2))

    talk.press("Noor", "Bin 3")

    assert talk.farm.bins["B3"].chirped_at == after(days=-2)


@pytest.mark.parametrize("typed", ["3", "B3"])
def test_a_typed_answer_completes_it(talk, typed):
    talk.tells("Noor", "chirp", needs=("bin",))

    assert talk.say("Noor", typed).lines[0] == "Bin 3: first chirp."


def test_a_complete_message_is_never_taken_for_an_answer(talk):
    talk.tells("Noor", "chirp", needs=("bin",))

    talk.tells("Noor", "tray_in", bin="B3")

    assert talk.farm.bins["B3"].chirped_at is None
    assert talk.press("Noor", "Bin 1").lines[0] == "Bin 1: first chirp."


def test_a_question_is_answered_once(talk):
    talk.tells("Noor", "chirp", needs=("bin",))
    talk.press("Noor", "Bin 1")
    before = talk.last_number

    told = talk.press("Noor", "Bin 2")

    assert told.text == "That question is answered or too old. Say it in words, for example: tray in bin 3"
    assert talk.last_number == before


def test_a_question_is_asked_of_one_person_only(talk):
    talk.tells("Noor", "chirp", needs=("bin",))
    bond = buttons.bond(talk.farm_id, "chat:Tomas")

    (told,) = talk.presses_data("Tomas", buttons.write(buttons.Answer(1, 0), bond))

    assert told.text.startswith("That question is answered or too old.")


def test_in_a_group_anyone_may_answer_and_nobody_answers_another_question(talk):
    talk.tells("Tomas", "hatch", needs=("tub",))  # has number 1 in the chat with Tomas
    talk.means("chirp?", *talk.reader.known["hatch 0"].intents)
    talk.says("Noor", "chirp?", group=True)
    talk.tells("Noor", "add", what="tub", name="T1")

    (told,) = talk.presses_data(
        "Tomas", buttons.write(buttons.Answer(1, 0), buttons.bond(1, "chat:the group")), group=True
    )

    assert told.text.startswith("That question is answered or too old.")


def test_a_question_that_falls_out_is_kept_as_a_note(talk):
    for _ in range(KEPT + 1):
        told = talk.tells("Noor", "chirp", needs=("bin",))

    assert told.lines[0] == "I kept your earlier note: chirp 0"
    (note,) = [e.body for e in talk.fold.in_force if isinstance(e.body, Remark)]
    assert note == Remark(text="chirp 0", unread=True)


def test_a_farm_without_places_is_offered_the_usual_ones_and_makes_the_one_it_chooses():
    talk = Talk(is_open=False)
    talk.open_farm()
    talk.tells("Noor", "tray_in", bin="B1")
    assert talk.tells("Noor", "tray_out", bin="B1").labels[:3] == ("Lamp shelf", "Humid room", "Open rack")

    talk.press("Noor", "Open rack")

    rack = talk.farm.places["open rack"]
    assert (rack.lamp, rack.humidifier) == (False, False)


@pytest.mark.parametrize(
    ("typed", "lamp", "humidifier"),
    [
        ("it has a heat lamp", True, False),
        ("Humidifier", False, True),
        ("neither", False, False),
        ("no lamp", False, False),
        ("neither lamp nor humidifier", False, False),
        ("a lamp, no humidifier", True, False),
        ("no humidifier, just a lamp", True, False),
        ("tiene lámpara", True, False),
        ("sin lámpara pero con humidificador", False, True),
        ("ninguno", False, False),
    ],
)
def test_what_a_place_is_like_is_asked_once_and_taken_in_words(talk, typed, lamp, humidifier):
    talk.tells("Noor", "reading", place="attic", temp_c=30.0)

    told = talk.say("Noor", typed)

    assert told.lines[0].startswith("Attic: added, ")
    assert (talk.farm.places["attic"].lamp, talk.farm.places["attic"].humidifier) == (lamp, humidifier)
    assert "What is" not in talk.tells("Noor", "reading", place="attic", temp_c=30.0).text


def test_a_language_that_was_not_said_is_asked_for_with_those_there_are(talk):
    told = talk.tells("Noor", "set", what="language", needs=("to",))
    assert told.labels == ("English", "Español")

    assert talk.press("Noor", "Español").lines == ["Desde ahora te hablo en español."]
    assert talk.farm.people["Noor"].language == "es"


def test_never_mind_drops_the_question_and_nothing_else(talk):
    talk.tells("Noor", "chirp", bin="B1")
    talk.clock.forward(minutes=5)
    talk.tells("Noor", "tray_in", needs=("bin",))

    told = talk.tells("Noor", "undo")

    assert told.text == "Dropped: I ask no more about that and wrote nothing down."
    assert talk.farm.bins["B1"].chirped_at is not None
    assert talk.tells("Noor", "undo").text == "Taken back: Bin 1: first chirp."


def test_the_unit_may_be_chosen_after_a_question(talk):
    talk.tells("Noor", "set", what="units", needs=("to",))
    talk.tells("Noor", "set", what="units", to="C")

    assert talk.farm.settings.units is TemperatureUnit.CELSIUS
