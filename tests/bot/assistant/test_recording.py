"""A fact or a want is completed, checked, recorded and answered."""

import pytest

from bot.ports.intents import Intent
from core.journal import facts, wants
from core.journal.kinds import Role
from core.journal.notices import Cautioned
from tests.bot.assistant.talk import Talk, one
from tests.builders import after


def bodies(talk, *kinds):
    return [e.body for e in talk.fold.in_force if isinstance(e.body, kinds)]


def test_what_is_recorded_is_said_first_and_can_be_taken_back(talk):
    told = talk.tells("Noor", "chirp", bin="B2")

    assert told.lines[0] == "Bin 2: first chirp."
    assert told.labels == ("Prepare a tray", "Undo")
    assert told.outgoing.about.events == [{"kind": "chirp", "bin": "B2"}]


def test_what_happened_earlier_lands_there(talk):
    talk.tells("Noor", "chirp", bin="B2", at=after(days=-3))

    assert talk.farm.bins["B2"].chirped_at == after(days=-3)


def test_what_lacks_something_is_asked_for_and_not_recorded(talk):
    before = talk.last_number

    told = talk.tells("Noor", "tray_in", needs=("bin",))

    assert told.lines == ["Which bin gets the tray?"]
    assert talk.last_number == before


def test_what_cannot_be_so_is_refused_and_not_recorded(talk):
    before = talk.last_number

    told = talk.tells("Noor", "tray_out", bin="B2")

    assert told.text == "Bin 2 has no tray in it, so I wrote nothing down."
    assert told.outgoing.about.events == []
    assert talk.last_number == before


def test_a_refusal_offers_what_may_have_been_meant_and_its_buttons_say_it(talk):
    talk.tells("Noor", "tray_in", bin="B1")
    told = talk.tells("Noor", "tray_out", bin="B2")
    assert told.labels == ("It was bin 1", "Add a tray to bin 2")

    talk.means("pulled the tray from bin 1", Intent(kind="tray_out", slots={"bin": "B1"}))

    assert talk.press("Noor", "It was bin 1").lines[0].startswith("Tub 1: pulled from bin 1")


def test_a_bin_with_a_very_long_name_is_refused_as_well(talk):
    name = "the big grey tote behind the boiler ↑↑"
    talk.tells("Noor", "add", what="bin", name=name)

    told = talk.tells("Noor", "tray_out", bin=name)

    assert told.lines[0].endswith("has no tray in it, so I wrote nothing down.")
    assert told.labels == (f"Add a tray to {name}",)


def test_a_slot_that_makes_no_record_is_a_sentence_and_no_error(talk):
    told = talk.tells("Noor", "reading", place="rack", temp_c="warm")

    assert told.text == "I could not make a note of that: temp_c did not fit. Say it again in other words."


def test_a_tub_without_a_number_gets_the_next_one_for_good(talk):
    talk.pull("B1")
    talk.pull("B2")

    assert [body.tub for body in bodies(talk, facts.TrayOut)] == ["T1", "T2"]


@pytest.mark.parametrize(
    ("name", "lamp", "humidifier", "told"),
    [
        ("heat shelf", True, None, "New place: heat shelf, heat lamp."),
        ("repisa de lámpara", True, False, "New place: repisa de lámpara, heat lamp."),
        ("estante abierto", False, False, "New place: estante abierto, no lamp or humidifier."),
        ("mesa con calor", True, None, "New place: mesa con calor, heat lamp."),
        ("carpa húmeda", None, True, "New place: carpa húmeda, humidifier."),
        ("humid tent", None, True, "New place: humid tent, humidifier."),
        ("attic", None, None, "New place: attic."),
    ],
)
def test_a_place_that_is_new_is_made_and_said_after_what_was_recorded(talk, name, lamp, humidifier, told):
    answer = talk.tells("Noor", "reading", place=name, temp_c=31.0)

    assert answer.lines[1] == told
    assert (talk.farm.places[name].lamp, talk.farm.places[name].humidifier) == (lamp, humidifier)
    assert ("Neither" in answer.labels) is (lamp is None and humidifier is None)


def test_a_place_is_the_same_in_other_letters(talk):
    talk.tells("Noor", "reading", place="Lamp Shelf", temp_c=31.0)

    assert "Lamp Shelf" not in talk.farm.places


def test_what_is_added_is_said_once(talk):
    assert talk.tells("Noor", "add", what="tub").text.count("tub 1") + talk.told[-1].text.count("Tub 1") == 1
    assert [body.name for body in bodies(talk, wants.Add)][-1] == "T1"


def test_a_pulled_tray_without_a_place_asks_where_it_stands(talk):
    told = talk.pull(place=None)

    assert told.lines[-1] == "Where does tub 1 stand?"
    assert told.labels == ("Lamp shelf", "Humid room", "Rack", "Undo")


def test_a_pulled_tray_with_a_place_states_its_hatch(talk):
    told = talk.pull(place="lamp shelf")

    assert [stated["tub"] for stated in told.outgoing.about.forecast] == ["T1"]
    assert [label for label in told.labels if label.startswith("Why ")]
    assert "Cover it" in told.labels


def test_a_reading_states_the_hatches_that_it_moves(talk):
    talk.pull(place="rack")

    moved = talk.tells("Noor", "reading", place="rack", temp_c=32.0)
    same = talk.tells("Noor", "reading", place="rack", temp_c=32.1)

    assert [stated["tub"] for stated in moved.outgoing.about.forecast] == ["T1"]
    assert same.outgoing.about.forecast == []


def test_a_safety_word_is_shown_once_a_farm(talk):
    first, second = talk.tells("Noor", "chirp", bin="B1"), talk.tells("Tomas", "chirp", bin="B2")

    assert "microwave" in first.text
    assert "microwave" not in second.text
    assert [body.topic for body in bodies(talk, Cautioned)] == ["peat"]


def test_a_warning_comes_whenever_something_is_off(talk):
    talk.pull(place="rack")

    for _ in range(2):
        assert "too hot for eggs" in talk.tells("Noor", "reading", place="rack", temp_c=40.0).text


def test_a_city_is_as_good_as_a_time_zone(talk):
    told = talk.tells("Noor", "set", what="timezone", to="Melbourne")

    assert told.lines[0].startswith("Clock set to Australia/Melbourne")
    assert talk.farm.settings.timezone == "Australia/Melbourne"


def test_a_looker_on_records_nothing():
    talk = Talk(is_open=False)
    talk.open_farm(people=(("Noor", Role.OWNER), ("Greta", Role.LOOKER_ON)))
    before = talk.last_number

    told = [
        talk.tells("Greta", kind, **slots) for kind, slots in (("chirp", {"bin": "B1"}), ("undo", {}), ("skip", {}))
    ]
    told.append(talk.say("Greta", "something about a tray"))
    talk.means("bins", is_farm_talk=True)
    told.append(talk.say("Greta", "bins"))

    assert talk.last_number == before
    assert [t.text.startswith("You can look") for t in told] == [True, True, True, False, True]


def test_an_answer_of_several_intents_takes_them_in_order(talk):
    both = [Intent(kind="tray_in", slots={"bin": "B1"}), Intent(kind="chirp", slots={"bin": "B2"})]
    talk.means("both", *both)

    told = one(talk.says("Noor", "both"))

    assert [e["kind"] for e in told.outgoing.about.events] == ["tray_in", "chirp"]
    assert talk.press("Noor", "Undo").lines == ["Taken back: Bin 1: lay tray in.", "Bin 2: first chirp."]
