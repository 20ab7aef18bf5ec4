"""Fills the slots that hold words of the message: feed, item, container, reason, who, and the like.

Not for what the words mean: they are kept as the person typed them.
"""

import itertools
from collections.abc import Iterable

from bot.reader.names import Group
from bot.reader.scene import View
from bot.reader.tokens import CHUNK, NUMBER, WORD, Token


def loose_words(view: View, *, never: Iterable[str] = ()) -> str | None:
    """Give the longest run of words that nothing else in the clause has taken: "chick starter"."""
    used = set(view.act.reading.match.used) if len(view.tokens) >= len(view.clause.tokens) else set()
    runs: list[list[Token]] = [[]]
    for i, token in enumerate(view.tokens):
        free = token.kind == WORD and not (i in used and _is_trigger(view, token)) and token.text not in never
        if free and (runs[-1] or not _is_plain(view, token)):
            runs[-1].append(token)
        elif runs[-1]:
            runs.append([])
    trimmed = [_trimmed(view, run) for run in runs]
    best = max(trimmed, key=lambda run: sum(not _is_plain(view, t) for t in run), default=[])
    return view.original(best) or None


def _is_trigger(view: View, token: Token) -> bool:
    return bool(token.tags & {"@buy", "@fed", "@give", "@put", "@spend"}) and "@about" not in token.tags - {"feed"}


def _is_plain(view: View, token: Token) -> bool:
    return token.text in view.book.little or bool(token.tags & {"@not"})


def _trimmed(view: View, run: list[Token]) -> list[Token]:
    while run and _is_plain(view, run[-1]):
        run = run[:-1]
    for i, token in enumerate(run):
        if token.text in view.book.word_sets["ends_words"] and i:
            return _trimmed(view, run[:i])
    return run


def feed(view: View) -> str | None:
    """Fill `feed`."""
    words = _measured(view) or loose_words(view, never=view.book.no_feed)
    if words is None:
        return None
    head, _, tail = words.partition(" ")
    of, _, rest = tail.partition(" ")
    return rest if rest and of.lower() in view.book.word_sets["of"] and head.lower() in view.book.measures else words


def item(view: View) -> str | None:
    """Fill the `item` of something bought."""
    named = [
        t
        for t in view.tokens
        if isinstance(t.value, Group) and t.value.how != "named" and t.value.sort in ("bin", "tub")
    ]
    return _measured(view) or loose_words(view) or (view.original(named[:1]) if named else None)


def _measured(view: View) -> str | None:
    """Give what there is so much of: "25 pounds of chick feed"."""
    for i, token in enumerate(view.tokens[:-1]):
        is_amount = not token.tags.isdisjoint(("<mass>", "<volume>"))
        if is_amount and view.tokens[i + 1].text in view.book.word_sets["of"]:
            run = list(itertools.takewhile(lambda t: t.kind == WORD, view.tokens[i + 2 :]))
            return view.original(_trimmed(view, run)) or None
    return None


def asked_item(view: View) -> str | None:
    """Fill the `item` of a question."""
    run = [t for t in view.captured("item") if t.kind == WORD]
    while run and (_is_plain(view, run[-1]) or "@left" in run[-1].tags or "@stockword" in run[-1].tags):
        run.pop()
    while run and _is_plain(view, run[0]):
        run.pop(0)
    if len(run) > 2 and run[0].text in view.book.measures and run[1].text in view.book.word_sets["of"]:
        run = run[2:]
    return view.original(run) or None


def container(view: View) -> str | None:
    """Fill `container`: "salad tub", "deli cup"."""
    for i, token in enumerate(view.tokens):
        is_tub = isinstance(token.value, Group) and token.value.how in ("the", "one") and token.value.sort == "tub"
        if not ("@container" in token.tags or is_tub) or "@tray" in token.tags or "@bin" in token.tags:
            continue
        if i + 1 < len(view.tokens) and "@container" in view.tokens[i + 1].tags:
            continue
        start = i
        while start and _describes(view, view.tokens[start - 1]):
            start -= 1
        is_vessel = is_tub and not view.book.word_sets.get("vessels", frozenset()).isdisjoint(token.text.split())
        if start < i or not is_tub or is_vessel:
            words = view.original(view.tokens[start : _end_of_container(view, i + 1)])
            first, _, rest = words.partition(" ")
            return rest if rest and first.lower() in view.book.word_sets["articles"] else words
    return None


def _end_of_container(view: View, end: int) -> int:
    """Take what the container once held too, where that stands behind it: "vaso de yogur"."""
    if not view.book.writing.has_head_first or end + 1 >= len(view.tokens):
        return end
    held = view.tokens[end + 1]
    is_held = view.tokens[end].text in view.book.word_sets["of"] and held.kind == WORD and held.tags == {held.text}
    return end + 2 if is_held else end


def _describes(view: View, token: Token) -> bool:
    return (
        token.kind == WORD
        and not token.tags & {"@put", "@wet", "@give", "@substrate", "@and"}
        and token.text not in view.book.plain
    )


def substrate(view: View) -> str | None:
    """Fill `substrate` with its usual name."""
    names: dict[str, str] = view.book.data["substrates"]
    usual = {word: name for name, words in names.items() for word in words.split("|")}
    said = [token.text for token in view.chunks("@substrate")]
    return next((usual[word] for word in said if word in usual), said[0] if said else None)


def density(view: View) -> str | None:
    """Fill `density`."""
    found = view.says("density")
    return found if found and (view.chunks("@eggs") or found != "some") else None


def cover(view: View) -> bool | None:
    """Fill the `cover` of a pulled tray."""
    found = view.says("cover")
    return None if found is None else found == "yes"


def level(view: View) -> str | None:
    """Fill the `level` of mold."""
    return view.says("level")


def stage(view: View) -> str | None:
    """Fill the `stage` of a hatch."""
    return view.says("stage")


def removed(view: View) -> bool:
    """Fill `removed`: whether mold was taken out, in this act or in what adds to it."""
    return bool(view.fixed("removed")) or any("@remove" in t.tags for t in view.act.extras)


def reason(view: View) -> str | None:
    """Fill the `reason` for throwing something out."""
    opens = view.book.word_sets["reason_opens"]
    extras = list(view.act.extras)
    if not extras:
        at = next((i for i, t in enumerate(view.tokens) if t.text in view.book.word_sets["because"]), None)
        extras = list(view.tokens[at:]) if at is not None else []
    while extras and extras[0].text in opens | view.book.word_sets["of_reason"]:
        extras.pop(0)
    return view.original(extras) or None


def who(view: View) -> str | None:
    """Fill `who`: a person known to the farm, or the words in a person's place."""
    people = [t for t in view.chunks("<person>") if not _is_of_farm(view, t)]
    if people:
        return str(people[0].value)
    said = _words_of_who(view, view.captured("who"))
    if said is not None:
        return said
    leads = view.book.word_sets["order_from" if view.act.kind == "order" else "sold_to"]
    for at, token in enumerate(view.tokens):
        said = _words_of_who(view, view.tokens[at + 1 :]) if token.kind == WORD and token.text in leads else None
        if said is not None:
            return said
    said = _words_of_who(view, _name_behind_verb(view))
    if said is not None:
        return said
    return view.scene.who if view.book.word_sets["refers"] & {t.text for t in view.tokens} else None


def _name_behind_verb(view: View) -> tuple[Token, ...]:
    """Give the words that can only be a name: with a capital, or a single unknown one right before a number."""
    behind = _behind_verb(view)
    names = tuple(itertools.takewhile(lambda t: "<name>" in t.tags, behind))
    if names or len(behind) < len(("name", "number")) or behind[1].kind != NUMBER:
        return names
    return behind[:1] if behind[0].kind == WORD and behind[0].text not in view.book.words else ()


def _behind_verb(view: View) -> tuple[Token, ...]:
    """Give what follows the word for selling or ordering: "sold Kyle 200", "new order: Kyle, 150"."""
    at = next((i for i, t in enumerate(view.tokens) if not t.tags.isdisjoint(("@sell", "@order"))), len(view.tokens))
    return view.tokens[at + 1 :]


def _is_of_farm(view: View, token: Token) -> bool:
    """Say whether a person is one of the farm who did the selling."""
    before = view.before(token)
    return token.value in view.scene.farm.people and (
        before is None or before.text not in view.book.word_sets["leads_who"]
    )


def _words_of_who(view: View, tokens: tuple[Token, ...]) -> str | None:
    run: list[Token] = []
    for token in tokens:
        stops = (
            token.kind == NUMBER
            or (token.kind == CHUNK and "<newplace>" not in token.tags)
            or token.text in view.book.word_sets["ends_words"]
            or "@want" in token.tags
            or "@sell" in token.tags
        )
        if stops:
            break
        run.append(token)
    never = view.book.word_sets["never"]
    while run and run[0].text in never:
        run.pop(0)
    while run and run[-1].text in view.book.word_sets["of"]:
        run.pop()
    if not run:
        return None
    words = view.original(run)
    name, _, behind = words.rpartition("'")
    words = name if name and behind in view.book.word_sets["possessive"] else words  # rosa's order
    return words.title() if len(run) == 1 and words.islower() else words
