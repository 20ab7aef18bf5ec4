"""Wants: which slots each kind cannot do without."""

import pytest

from core.journal import codec
from core.journal.record import missing


@pytest.mark.parametrize(
    ("kind", "needs"),
    [
        ("order", ("count", "size", "due")),
        ("remind", ("text", "when")),
        ("add", ("what",)),
        ("rename", ("old", "new")),
        ("set", ("what", "to")),
        ("pause", ()),
        ("resume", ()),
        ("done", ("chore",)),
        ("skip", ("chore",)),
        ("snooze", ()),
        ("undo", ()),
        ("fix", ("slots",)),
        ("joined", ("name", "role")),
        ("left", ("name",)),
        ("cancel", ()),
    ],
)
def test_what_a_want_cannot_do_without(kind, needs):
    assert missing(codec.RECORDS[kind], {}) == needs


def test_a_fix_of_the_time_alone_is_enough():
    assert missing(codec.RECORDS["fix"], {"at": "2026-05-04T12:00Z"}) == ()
