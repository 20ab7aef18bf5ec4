"""Telegram's HTML, read as its documentation says: text and entities out, or the error that Telegram gives."""

import html
import re

TAGS = {
    "b": "bold",
    "strong": "bold",
    "i": "italic",
    "em": "italic",
    "u": "underline",
    "ins": "underline",
    "s": "strikethrough",
    "strike": "strikethrough",
    "del": "strikethrough",
    "code": "code",
    "pre": "pre",
    "a": "text_link",
    "blockquote": "blockquote",
    "tg-spoiler": "spoiler",
}
REFERENCE = re.compile(r"&(lt|gt|amp|quot|#\d+|#x[0-9a-fA-F]+);")  # all others stay as they are
TOKEN = re.compile(r"<(/?)([^\s>]*)[^>]*>|[^<]+|<", re.DOTALL)


class MarkupError(Exception):
    """The text is no HTML of Telegram's."""


def units(text):
    """Count UTF-16 code units, as Telegram counts lengths."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def read_html(source):
    """Give the text and its entities."""
    text, entities, opened = "", [], []
    for token in TOKEN.finditer(source):
        place = len(source[: token.start()].encode())
        closes, tag = token.group(1), (token.group(2) or "").lower()
        if token.group(2) is None and token.group() != "<":
            text += REFERENCE.sub(lambda found: html.unescape(found.group()), token.group())
        elif closes:
            _close(tag, opened, entities, text, place)
        elif tag in TAGS:
            opened.append((tag, units(text)))
        else:
            raise MarkupError(f'Unsupported start tag "{tag}" at byte offset {place}')
    if opened:
        raise MarkupError(f'Can\'t find end tag corresponding to start tag "{opened[-1][0]}"')
    return text, sorted(entities, key=lambda entity: (entity["offset"], -entity["length"]))


def _close(tag, opened, entities, text, place):
    if not opened:
        raise MarkupError(f"Unexpected end tag at byte offset {place}")
    expected, start = opened.pop()
    if tag != expected:
        raise MarkupError(f'Unmatched end tag at byte offset {place}, expected "</{expected}>", found "</{tag}>"')
    if units(text) > start:
        entities.append({"type": TAGS[tag], "offset": start, "length": units(text) - start})


def passages(text, entities, kind):
    """Give the passages of a text that entities of a kind mark."""
    encoded = text.encode("utf-16-le")
    return [
        encoded[entity["offset"] * 2 : (entity["offset"] + entity["length"]) * 2].decode("utf-16-le")
        for entity in entities
        if entity["type"] == kind
    ]
