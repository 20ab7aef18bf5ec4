"""Size grades as shares of the development."""

import math

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.grades import GROWN, INCHES, length_mm, starts_at
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species
from core.units import MM_PER_INCH, SizeGrade

INSTARS = species(SpeciesName.HOUSE).instars


def test_every_grade_has_its_place():
    assert {SizeGrade.PINHEAD, *INCHES, *GROWN} == set(SizeGrade)


def test_grades_come_in_their_order():
    starts = [starts_at(grade, INSTARS) for grade in SizeGrade]

    assert starts == sorted(starts)
    assert len(set(starts)) == len(starts) - 1  # an inch and adult are one
    assert (starts[0], starts[-2], starts[-1]) == (0.0, 1.0, 1.0)


@pytest.mark.parametrize("grade", INCHES)
def test_a_cricket_that_reaches_a_grade_has_its_length(grade):
    assert length_mm(starts_at(grade, INSTARS), INSTARS) == pytest.approx(INCHES[grade] * MM_PER_INCH)


@pytest.mark.parametrize("instar", INSTARS, ids=lambda instar: str(instar.number))
def test_an_instar_starts_with_its_length(instar):
    assert length_mm(instar.starts_at, INSTARS) == pytest.approx(instar.length_mm)


@given(shares=st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)))
def test_a_cricket_never_shrinks(shares):
    assert length_mm(min(shares), INSTARS) <= length_mm(max(shares), INSTARS) * (1 + 1e-12)


def test_a_grade_longer_than_the_grown_cricket_is_reached_with_the_last_moult():
    small = [msgspec.structs.replace(instar, length_mm=instar.length_mm / 2) for instar in INSTARS]

    assert starts_at(SizeGrade.THREE_QUARTERS, small) == 1.0


def test_a_cricket_that_hatches_longer_than_a_grade_has_it_at_once():
    large = [msgspec.structs.replace(instar, length_mm=instar.length_mm * 2) for instar in INSTARS]

    assert starts_at(SizeGrade.EIGHTH, large) == 0.0


@pytest.mark.parametrize("share", [-0.1, 1.1, math.nan])
def test_an_absurd_share_is_refused(share):
    with pytest.raises(OutOfRangeError, match="share of the development"):
        length_mm(share, INSTARS)
