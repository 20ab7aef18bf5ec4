"""Farms that plans are made for, for tests."""

import datetime as dt

from core.journal import facts, wants
from core.journal.kinds import Addable
from core.units import SizeGrade
from tests.builders import Notebook, at

START = at("04-01 07:00")
NOW = at("05-04 08:00")
TODAY = dt.date(2026, 5, 4)


def a_notebook(bins=6):
    """A farm with empty bins and a lamp shelf."""
    book = Notebook(start=START)
    for number in range(1, bins + 1):
        book.write(wants.Add(what=Addable.BIN, name=f"B{number}"))
    book.add_place("lamp shelf", lamp=True)
    return book


def a_laying_farm(**kind):
    """A farm with a bin that lays now and nobody has counted."""
    book = a_notebook(**kind)
    book.write(facts.Chirp(bin="B1"), at("04-25 08:00"))
    return book


def ordered(book, count=300, size=SizeGrade.HALF, due="2026-07-03", who="Delgado", every=None):
    book.write(wants.Order(who=who, count=count, size=size, due=dt.date.fromisoformat(due), every=every), NOW)
    return book
