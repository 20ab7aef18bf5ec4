"""A message as clauses: sentences cut into pieces, each with its tokens and what patterns may call them.

Not for what a clause says (readings) nor for how pieces belong together (acts).
"""

from collections.abc import Sequence

import msgspec

from bot.reader import clitics, courtesies, figures, halves, names, newplaces, repairs, spelling, times
from bot.reader.book import Book, Compounds
from bot.reader.nametable import Table
from bot.reader.tokens import MARK, NUMBER, WORD, Token, tokenize

EXIST = "exist"  # what "there" becomes in "there is"
MOST_TOKENS = 48  # of one clause; a longer one is nonsense or a story


class Clause(msgspec.Struct):
    """A piece of a message that may say one thing."""

    tokens: tuple[Token, ...]  # without marks
    is_question: bool = False
    is_alone: bool = False  # it is the whole message
    joint: str = ""  # how it hangs on the piece before: "and", ","
    tags: tuple[frozenset[str], ...] = ()
    all_tags: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        """Collect the tags."""
        self.tags = tuple(t.tags for t in self.tokens)
        self.all_tags = frozenset().union(*self.tags)


class Sentence(msgspec.Struct):
    """One sentence: its tokens with marks, and whether it ends in a question mark."""

    tokens: tuple[Token, ...]
    is_question: bool


def chunked(text: str, book: Book, table: Table) -> list[Token]:
    """Turn a cleaned text into tokens and chunks."""
    tokens = tokenize(text, book)
    empty = book.word_sets["definite"] | book.word_sets["fillers"]
    tokens = [t for t in tokens if t.text not in empty and not _is_hyphen(t, tokens)]
    tokens = clitics.parted(tokens, book)
    spelling.mend(tokens, book, table.words)
    for token in tokens:
        if token.kind == WORD and not token.tags:
            token.tags = book.tags(token.text)
        if token.kind == WORD and token.start and text[token.start].isupper() and not text.isupper():
            token.tags |= {"<name>"}
    clitics.pronouns(tokens, book)
    tokens = _compounds(tokens, book.writing.early, book)
    spelling.digits_as_words(tokens, book, table.place_words)
    tokens = clitics.nouns(figures.number_words(tokens, book), book)
    tokens = names.places_and_people(tokens, table, book)
    tokens = names.bins_and_tubs(tokens, book)
    tokens = [t for i, t in enumerate(tokens) if not _is_range(tokens, i)]
    tokens = _compounds(tokens, book.compounds, book)
    tokens = figures.quantities(halves.counted(tokens, book), book)
    new_places = newplaces.by_head if book.writing.has_head_first else names.new_places
    tokens = new_places(tokens, book)
    for i, token in enumerate(tokens):
        if token.text in book.word_sets["exists_before"] and _is_filler(tokens[i + 1 : i + 2]):
            token.text, token.tags = EXIST, frozenset((EXIST,))
    tokens = names.groups(tokens, book)
    tokens = [t for t in tokens if t.text not in book.word_sets["articles"]]
    tokens = [t for i, t in enumerate(tokens) if not _is_stop_of_month(tokens, i)]
    tokens = times.chunked(tokens, book)
    return repairs.repaired(
        courtesies.without([t for t in tokens if t.kind != WORD or t.text not in book.skipped], book), book
    )


def _is_hyphen(token: Token, tokens: Sequence[Token]) -> bool:
    """Say whether a mark is the hyphen of one word: "half-inch", but not the range "T5-T7"."""
    if token.text != "-" or not token.is_glued:
        return False
    after = next((t for t in tokens if t.start == token.end), None)
    return after is not None and after.kind == WORD and len(after.text) > 1


def _is_stop_of_month(tokens: Sequence[Token], i: int) -> bool:
    """Say whether a full stop only shortens the name of a month: "feb. 3"."""
    between = 0 < i < len(tokens) - 1 and tokens[i].text == "."
    return between and "@month" in tokens[i - 1].tags and tokens[i + 1].kind == NUMBER


def _is_filler(following: Sequence[Token]) -> bool:
    """Say whether "there" stands for no place: "there is mold"."""
    return bool(following) and "@exists" in following[0].tags


def _is_range(tokens: Sequence[Token], i: int) -> bool:
    """Say whether a mark joins two figures: "79-91"."""
    if tokens[i].text != "-" or not tokens[i].is_glued or not 0 < i < len(tokens) - 1:
        return False
    return tokens[i - 1].kind == NUMBER and tokens[i + 1].kind == NUMBER and tokens[i + 1].is_glued


def _compounds(tokens: list[Token], table: Compounds, book: Book) -> list[Token]:
    if not table:
        return tokens
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        found = next((c for c in table.get(tokens[i].text, ()) if _are(tokens, i, c[0])), None)
        if found is None:
            out.append(tokens[i])
            i += 1
            continue
        parts, joined = found
        end = i + len(parts)
        tags = book.tags(joined)
        out.append(Token(joined, tokens[i].start, tokens[end - 1].end, WORD, tags, None, tokens[i].is_glued))
        i = end
    return out


def _are(tokens: Sequence[Token], i: int, parts: tuple[str, ...]) -> bool:
    return len(parts) <= len(tokens) - i and all(tokens[i + k].text == p for k, p in enumerate(parts))


def sentences(tokens: Sequence[Token], book: Book) -> list[Sentence]:
    """Cut at full stops, question marks and the like."""
    ends = book.word_sets["ends"]
    out: list[Sentence] = []
    current: list[Token] = []
    for token in tokens:
        if token.kind == MARK and (token.text in ends or token.text == "\n"):
            if current:
                out.append(Sentence(tuple(current), token.text == "?"))
            elif token.text == "?" and out:
                out[-1].is_question = True
            current = []
        else:
            current.append(token)
    if current:
        out.append(Sentence(tuple(current), is_question=False))
    return out


def pieces(sentence: Sentence, book: Book) -> list[Clause]:
    """Cut a sentence at commas and joining words."""
    joints, marks = book.word_sets["joints"], book.word_sets["marks"]
    parts: list[tuple[str, list[Token]]] = [("", [])]
    for token in sentence.tokens:
        is_joint = token.kind in (WORD, MARK) and token.text in joints
        if is_joint or (token.kind == MARK and token.text in marks):
            joint = token.text if is_joint else ","
            if parts[-1][1]:
                parts.append((joint, []))
            elif parts[-1][0] in ("", ","):
                parts[-1] = (joint, [])
        elif token.kind != MARK:
            parts[-1][1].append(token)
    parts = [(joint, _without_lead(tokens, book)) for joint, tokens in parts if tokens]
    last = len(parts) - 1
    return [
        clause(tokens, book, is_question=sentence.is_question and n == last, joint=joint, goes_on=n > 0)
        for n, (joint, tokens) in enumerate(parts)
    ]


def _without_lead(tokens: list[Token], book: Book) -> list[Token]:
    """Leave out "I'd like to know", "tell me" before a question."""
    polite, wanted = book.word_sets["polite"], book.word_sets["polite_wants"]
    if len(tokens) > 3 and tokens[0].text in polite and tokens[2].text in wanted:  # "could you add"
        return tokens[2:]
    lead, asks = book.word_sets["ask_lead"], book.word_sets["asks_begin"]
    at = next((i for i, t in enumerate(tokens) if t.text not in lead), len(tokens))
    return tokens[at:] if 0 < at < len(tokens) and tokens[at].text in asks else tokens


def clause(
    tokens: Sequence[Token], book: Book, *, is_question: bool = False, joint: str = "", goes_on: bool = False
) -> Clause:
    """Make a clause; a question is one that ends so, or begins with a word that asks: but not "T5 was dry, was wet"."""
    first = tokens[0] if tokens else None
    asks = first is not None and first.kind == WORD and "@asks" in first.tags
    asks = asks and not (goes_on and first is not None and "@exists" in first.tags)
    if first is not None and first.text in book.word_sets["asks_of"] and len(tokens) > 1:  # "did the watering" tells
        asks = tokens[1].text in book.word_sets["asked_of"] or "<person>" in tokens[1].tags
    if first is not None and first.text in book.data["preps"] and len(tokens) > 1:  # "at what size", "for how long"
        asks = asks or tokens[1].text in book.word_sets["asks_begin"]
    return Clause(tuple(tokens[:MOST_TOKENS]), is_question or asks, joint=joint)


def is_number(token: Token) -> bool:
    """Say whether a token is a bare number."""
    return token.kind == NUMBER and "<number>" in token.tags
