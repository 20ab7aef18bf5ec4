"""The reader: what a message means on a farm, and whether it answers an open question.

Nothing here raises on any text, and the same text on the same farm always means the same.
Not for keeping anything: the assistant does.
"""

import datetime as dt
from collections.abc import Sequence
from typing import Any

from msgspec.structs import replace

from bot.ports.intents import ASK, Intent, Understanding
from bot.ports.messages import DEFAULT_LANGUAGE
from bot.reader import (
    acts,
    answers,
    choices,
    clauses,
    echoes,
    fixes,
    frames,
    guesses,
    languages,
    nametable,
    readings,
    sharing,
    subjects,
)
from bot.reader import book as books
from bot.reader.acts import Act, Heap
from bot.reader.clauses import Sentence
from bot.reader.names import Group
from bot.reader.scene import Scene, View
from bot.reader.tokens import WORD, cleaned
from core.farm.farm import Farm

MOST_SENTENCES = 30
ENOUGH_TRADE_WORDS = 2  # so many make an unread message look like the farm


class Reader:
    """Reads messages by the phrasebooks."""

    def read(self, text: str, *, at: dt.datetime, farm: Farm, language: str = DEFAULT_LANGUAGE) -> Understanding:
        """Say what a message means."""
        scene = scene_of(text, at, farm, language)
        tokens = clauses.chunked(scene.text, scene.book, scene.table)
        sentences = clauses.sentences(tokens, scene.book)[:MOST_SENTENCES]
        fix = fixes.read(sentences, scene)
        if fix is not None:
            return Understanding(intents=(fix,), language=scene.book.language)
        heap = Heap(before=scene.last_kind)
        for number, sentence in enumerate(sentences):
            acts.gather(heap, sentence, number, scene.book, is_alone=len(sentences) == 1)
        heap.unread.extend(heap.held)
        heap.acts = sharing.subjects(heap.acts, scene.book)
        intents = tuple(_intents(heap, scene))
        if intents:
            return Understanding(intents=intents, language=scene.book.language, unread=_unread(heap, scene))
        echo = echoes.read(sentences, scene)
        if echo is not None:
            return Understanding(intents=(echo,), language=scene.book.language)
        if not heap.is_denied:
            guessed = _guessed(sentences, heap, scene)
            if guessed.intents or guessed.alternatives:
                return guessed
        is_farm = not heap.is_denied and _looks_like_farm(heap, scene)
        unread = scene.text.strip() if is_farm else ""
        return Understanding(is_farm_talk=is_farm, language=scene.book.language, unread=unread)

    def answer(
        self,
        text: str,
        *,
        slot: str,
        farm: Farm,
        at: dt.datetime,
        candidates: Sequence[str] = (),
        language: str = DEFAULT_LANGUAGE,
    ) -> Any | None:  # noqa: ANN401
        """Read the answer to an open question for one slot; None where it is none."""
        scene = scene_of(text, at, farm, language)
        tokens = clauses.chunked(scene.text, scene.book, scene.table)
        return answers.read(tokens, scene, slot, tuple(candidates))


def _guessed(sentences: list[Sentence], heap: Heap, scene: Scene) -> Understanding:
    """Say what a message that no pattern takes may mean."""
    language = scene.book.language
    several = choices.read(heap.unread, scene)
    if several:
        return Understanding(alternatives=several, language=language)
    tokens = [t for s in sentences for t in s.tokens]
    is_question = any(s.is_question for s in sentences)
    intent, several = guesses.guess(tokens, scene, is_question=is_question)
    return Understanding(intents=(intent,) if intent else (), alternatives=several, language=language)


def scene_of(text: str, at: dt.datetime, farm: Farm, language: str) -> Scene:
    """Set the scene for reading a message."""
    plain = cleaned(text)
    if plain.lstrip().startswith("/"):
        command, _, rest = plain.lstrip()[1:].partition(" ")
        plain = f"{command.partition('@')[0].replace('_', ' ')} {rest}"
    book = books.book(language)
    spoken = languages.spoken(plain, language, nametable.table(farm, book))
    book = book if spoken == book.language else books.book(spoken)
    return Scene(farm=farm, at=at, book=book, table=nametable.table(farm, book), text=plain)


def _intents(heap: Heap, scene: Scene) -> list[Intent]:
    out: list[Intent] = []
    sentence = -1
    for act in heap.acts:
        view = View(act, scene)
        intent = frames.intent(view)
        subjects.speak(view)
        scene.who = intent.slots.get("who", scene.who)
        out.extend(_one_each(intent, view))
        if act.sentence == sentence:
            _merge_repeat(out)
        sentence = act.sentence
        if act.reading.row.also:
            out.append(_second(act, scene))
    return out


def _merge_repeat(out: list[Intent]) -> None:
    """Make one of the last two where the one only says part of the other: "huge die-off, B4 is dying"."""
    if len(out) < 2 or out[-1].kind != out[-2].kind or out[-1].kind not in frames.FACTS:
        return
    first, second = out[-2:]
    less, more = (first, second) if len(first.slots) <= len(second.slots) else (second, first)
    is_part = all(more.slots.get(name) == value for name, value in less.slots.items())
    if is_part and (first.at is None or second.at in (None, first.at)):
        out[-2:] = [replace(more, at=first.at or second.at)]


def _one_each(intent: Intent, view: View) -> list[Intent]:
    """Make one intent for each bin or tub, where the kind is of one: "T5 and T6 hatched"."""
    if intent.kind == ASK:
        return _asked_of_each(intent, view)
    sort = next((s for s in ("bin", "tub") if s in intent.slots), None)
    if sort is None or intent.kind not in view.book.word_sets["one_each"]:
        return [intent]
    named = [t.value.names for t in view.groups(sort) if t.value.how == "named" and t.value.sort == sort]
    if len(named) != 1 or len(named[0]) < 2:
        return [intent]
    return [replace(intent, slots={**intent.slots, sort: name}) for name in named[0]]


def _asked_of_each(intent: Intent, view: View) -> list[Intent]:
    """Make a question of two subjects two questions."""
    sort = next((s for s in ("tub", "bin", "place") if s in intent.slots), None)
    if sort is None or intent.slots["topic"] not in view.book.word_sets["asks_each"]:
        return [intent]
    groups = [t.value for t in view.tokens if isinstance(t.value, Group) and t.value.how == "named"]
    others = groups if intent.slots["topic"] in view.book.word_sets["asks_any"] else ()
    subjects_of = [(g.sort, name) for g in groups if g.sort == sort or g in others for name in g.names]
    slots = {name: value for name, value in intent.slots.items() if name != sort}
    return [replace(intent, slots={**slots, of: name}) for of, name in dict.fromkeys(subjects_of)] or [intent]


def _second(act: Act, scene: Scene) -> Intent:
    """Make the other intent of words that mean two: trays swapped are one out and one in."""
    also = act.reading.row.also or {}
    row = next(r for r in scene.book.rows if r.kind == also["kind"])
    reading = readings.Reading(row, act.reading.match, act.reading.clause, act.reading.score)
    return frames.intent(View(Act(reading, act.clause, extras=act.extras, shared=act.shared), scene))


def _unread(heap: Heap, scene: Scene) -> str:
    for piece in heap.unread:
        if any(isinstance(t.value, Group) and t.value.how == "named" for t in piece.tokens) and len(piece.tokens) > 1:
            return scene.text[piece.tokens[0].start : piece.tokens[-1].end]
    return ""


def _looks_like_farm(heap: Heap, scene: Scene) -> bool:
    tokens = [t for piece in heap.unread for t in piece.tokens]
    if any(isinstance(t.value, Group) and t.value.how == "named" and t.value.sort != "place" for t in tokens):
        return len(tokens) > 1
    trade = {t.text for t in tokens if t.kind == WORD and not t.tags.isdisjoint(_TRADE)}
    return len(trade) >= ENOUGH_TRADE_WORDS


_TRADE = frozenset(("@tray", "@pinheads", "@mold", "@chirp", "@substrate", "@fruit_flies", "@mites", "@humidifier"))
