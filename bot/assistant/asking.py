"""Questions: ask for the one thing that is missing, with the likely answers as buttons, and take the answer.

Not for reading the answer's words: the reader does that.
"""

from collections.abc import Sequence
from typing import Any

from bot.assistant import buttons
from bot.assistant.dialog import Question
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.replies.languages import languages, typed_words, wording
from bot.replies.recorded import reading_parts
from core.farm.farm import Farm
from core.journal.facts import Remark
from core.journal.kinds import Holds, Setting

TRAITS = "traits"  # the slot that asks whether a place has a lamp or a humidifier
TRAIT_SLOTS: dict[str, dict[str, bool]] = {
    "lamp": {"lamp": True, "humidifier": False},
    "humidifier": {"lamp": False, "humidifier": True},
    "neither": {"lamp": False, "humidifier": False},
}
LISTS = frozenset({"tubs", "bins"})  # slots that take a list of names
MOST_CANDIDATES = 8
BARE = 2  # words of an answer with nothing around it: tub 7, lamp shelf
TUBS = frozenset({"tub", "tubs"})

# A farm that has told of no place yet is offered these; their names are in wording.
STARTER_PLACES: dict[str, dict[str, bool]] = {
    "lamp_shelf": TRAIT_SLOTS["lamp"],
    "humid_room": TRAIT_SLOTS["humidifier"],
    "open_rack": TRAIT_SLOTS["neither"],
}


def starter_place(name: str) -> dict[str, bool]:
    """Give what a place has that is called as one of those offered to a new farm, in any language; else nothing."""
    found = (traits for key, traits in STARTER_PLACES.items() if name in typed_words(f"start.{key}"))
    return next(found, {})


def ask(turn: Turn, intent: Intent, slot: str) -> None:
    """Ask for a slot of an intent, which waits in the dialog meanwhile."""
    question = waiting(turn, intent, slot, _candidates(turn, intent, slot))
    put(turn, question, _sentence(turn, intent, slot), [_label(turn, slot, c) for c in question.candidates])


def waiting(turn: Turn, intent: Intent, slot: str, candidates: tuple[str, ...]) -> Question:
    """Make the question for a slot of an intent."""
    return Question(
        id=0,
        kind=intent.kind,
        slots=dict(intent.slots),
        slot=slot,
        candidates=candidates,
        at=intent.at,
        said_at=turn.said_at,
        message=turn.message,
        text=turn.incoming.text,
    )


def put(turn: Turn, question: Question, sentence: str, labels: Sequence[str]) -> None:
    """Put a question, with a button for each of its candidates."""
    turn.dialog, dropped = turn.dialog.open(question)
    turn.has_asked = True
    if dropped is not None and dropped.text:
        turn.record(turn.event(Remark(text=dropped.text, unread=True), dropped.said_at))
        turn.say("ask.kept", text=dropped.text)
    turn.lines.append(sentence)
    number = turn.dialog.next_id - 1
    for choice, label in enumerate(labels):
        turn.button(label, buttons.Answer(number, choice))


def _sentence(turn: Turn, intent: Intent, slot: str) -> str:
    voice, slots = turn.voice, intent.slots
    if slot == TRAITS:
        return voice.say("ask.climate", place=voice.place(slots["name"]))
    if slot == "place" and intent.kind == "reading":
        figures = reading_parts(voice, *(slots.get(name) for name in ("temp_c", "low_c", "high_c", "rh")))
        return voice.say("ask.place_reading", figures=", ".join(figures))
    if slot == "place" and intent.kind == "placed" and slots.get("tubs"):
        return voice.say("ask.place_tub", tub=voice.tubs(slots["tubs"]))
    if slot == "to" and intent.kind == "set":
        return voice.say("ask.to", what=voice.say(f"setting.{slots['what']}"))
    key = "ask.to_bin" if slot == "to" else f"ask.{slot}"
    if key not in voice.words:
        return voice.say("ask.other", slot=slot)
    what = f"ask.{intent.kind}"
    return voice.say(key, what=voice.say(what) if what in voice.words else "")


def _label(turn: Turn, slot: str, candidate: str) -> str:
    voice = turn.voice
    if slot == TRAITS:
        return voice.say(f"button.{candidate}")
    if slot == "to" and candidate in languages():
        return wording(candidate).text("language.name").capitalize()
    if slot in {"bin", "bins", "from", "to"}:
        name = voice.bin(candidate)
    elif slot in {"tub", "tubs"}:
        name = voice.tub(candidate)
    else:
        name = candidate
    return name[:1].upper() + name[1:]


def _candidates(turn: Turn, intent: Intent, slot: str) -> tuple[str, ...]:
    farm = turn.farm
    match slot:
        case "bin" | "bins" | "from" | "to" if intent.kind != "set":
            return _bins(farm, intent.kind)[:MOST_CANDIDATES]
        case "tub" | "tubs":
            return tuple(tub.name for tub in farm.incubating())[:MOST_CANDIDATES]
        case "to" if intent.slots.get("what") == Setting.LANGUAGE:
            return languages()
        case "place":
            starters = tuple(turn.voice.say(f"start.{key}") for key in STARTER_PLACES)
            return (tuple(farm.places) or starters)[:MOST_CANDIDATES]
        case "traits":
            return tuple(TRAIT_SLOTS)
        case _:
            return ()


def _bins(farm: Farm, kind: str) -> tuple[str, ...]:
    """Give the bins that fit a kind, the likelier first."""

    def unlikely(name: str) -> bool:
        house = farm.bins[name]
        match kind:
            case "tray_out":
                return house.tray is None
            case "tray_in":
                return house.tray is not None or house.holds is not Holds.ADULTS
            case "chirp":
                return house.chirped_at is not None or house.holds is Holds.NOTHING
            case _:
                return house.holds is Holds.NOTHING

    return tuple(sorted(farm.bins, key=lambda name: (unlikely(name), int(name[1:]) if name[1:].isdigit() else 0)))


def answered(question: Question, value: Any) -> Intent:  # noqa: ANN401 - a slot takes what its record says
    """Give the intent of a question with its answer in it."""
    slots = dict(question.slots)
    if question.slot == TRAITS:
        slots.update(TRAIT_SLOTS[value])
    else:
        slots[question.slot] = [value] if question.slot in LISTS and isinstance(value, str) else value
    return Intent(kind=question.kind, slots=slots, at=question.at)


def typed_answer(turn: Turn, question: Question) -> Any | None:  # noqa: ANN401 - as above
    """Read a message as the answer to a question; None where it is none.

    Once something else was said in between, only one of the answers that were offered counts, and nothing around it.
    """
    text = turn.incoming.text
    if question.slot == TRAITS:
        value = _typed_trait(turn)
    else:
        at = turn.local(turn.said_at)
        value = turn.reader.answer(
            text, slot=question.slot, farm=turn.farm, at=at, candidates=question.candidates, language=turn.language
        )  # fmt: skip
    named = value if isinstance(value, list) else [value]
    if value in (None, "", []) or (question.slot in TUBS and not all(name in turn.farm.tubs for name in named)):
        return None
    is_bare = len(text.split()) <= BARE and "?" not in text and all(name in question.candidates for name in named)
    return value if turn.dialog.is_fresh or is_bare else None


def _typed_trait(turn: Turn) -> str | None:
    """Read what a place has: a trait that is named and not after a "no", else "neither" where there is one."""
    said = turn.incoming.text.casefold().replace(",", " ").strip(" .!").split()
    no, only = typed_words("typed.no"), typed_words("typed.only")
    traits = {trait: typed_words(f"typed.{trait}") for trait in ("humidifier", "lamp")}
    if not said or not set(said) <= no | only | typed_words("typed.traits") | frozenset().union(*traits.values()):
        return None
    is_denied, named = False, set()
    for word in said:
        is_denied = (is_denied or word in no) and word not in only
        named |= {trait for trait, words in traits.items() if word in words and not is_denied}
    return next((trait for trait in traits if trait in named), "neither" if no & set(said) else None)
