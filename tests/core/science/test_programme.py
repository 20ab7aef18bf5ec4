import numpy as np
import pytest

from core.science.programme import Programme, UnsolvedError


def test_whole_columns_take_whole_values():
    programme = Programme()
    tray, bag = programme.column(9, is_whole=True), programme.column()
    programme.row({tray: 2.0, bag: 1.0}, lower=5.0)

    found = programme.solved({tray: 1.0, bag: 0.8})

    assert found.values.tolist() == [2.0, 1.0]
    assert found.cost == pytest.approx(2.8)


def test_relaxed_they_take_any_and_cost_no_more():
    programme = Programme()
    tray = programme.column(9, is_whole=True)
    programme.row({tray: 2.0}, lower=5.0)

    assert programme.solved({tray: 1.0}, is_relaxed=True).cost == pytest.approx(2.5)
    assert programme.solved({tray: 1.0}).cost == pytest.approx(3.0)


def test_a_row_of_nothing_is_left_out():
    programme = Programme()
    programme.column(1.0)
    programme.row({}, lower=3.0)

    assert programme.size == (1, 0, 0)


def test_no_values_at_all_are_told():
    programme = Programme()
    tray = programme.column(1.0, is_whole=True)
    programme.row({tray: 1.0}, lower=2.0)

    with pytest.raises(UnsolvedError):
        programme.solved({tray: 1.0})


def test_the_same_programme_gets_the_same_values():
    def found():
        programme = Programme()
        columns = [programme.column(3.0, is_whole=True) for _ in range(12)]
        for at in range(10):
            programme.row({c: 1.0 + (c * 7 + at) % 5 for c in columns[at : at + 3]}, lower=6.5)
        return programme.solved(dict.fromkeys(columns, 1.0)).values

    assert np.array_equal(found(), found())
