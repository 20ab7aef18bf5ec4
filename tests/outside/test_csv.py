"""The files that are handed out, against RFC 4180 (Common Format and MIME Type for Comma-Separated Values, 2005)."""

import re

from hypothesis import given
from hypothesis import strategies as st

from bot.replies.records import written

# RFC 4180, section 2, as a grammar: file = record *(CRLF record) [CRLF]; record = field *("," field);
# field = DQUOTE *(TEXTDATA / COMMA / CR / LF / 2DQUOTE) DQUOTE. Exact.
_FIELD = r'"(?:[^"]|"")*"'
_RECORD = rf"{_FIELD}(?:,{_FIELD})*"
FILE = re.compile(rf"{_RECORD}(?:\r\n{_RECORD})*(?:\r\n)?")
TEXT = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=12)


@given(st.lists(st.tuples(TEXT, TEXT, TEXT), max_size=5))
def test_a_table_is_of_the_grammar_with_as_many_fields_in_each_line(rows):
    table = written(("one", "two", "three"), rows)

    assert FILE.fullmatch(table)
    records = re.findall(rf"{_RECORD}(?=\r\n|$)", table)
    assert len(records) == len(rows) + 1
    assert {len(re.findall(_FIELD, record)) for record in records} == {3}
