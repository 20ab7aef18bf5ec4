"""Sequences and mappings that share what they have in common with the version before."""

from bisect import bisect_left

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.farm.series import CHUNK, Layers, Series

SLICES = [
    slice(None),
    slice(3),
    slice(100, 300),
    slice(-5, None),
    slice(300, 100),
    slice(CHUNK, 2 * CHUNK),
    slice(0, 9, 2),
]


class TestSeries:
    @given(st.lists(st.integers(0, 3 * CHUNK), max_size=5))
    def test_what_is_added_piece_by_piece_is_the_same_in_one_go(self, pieces):
        known, plain = Series(), []
        for count in pieces:
            news = range(len(plain), len(plain) + count)
            known, before = known.extended(news), known
            assert list(before) == plain
            plain += news

        assert known == Series(plain)
        assert hash(known) == hash(Series(plain))
        assert (list(known), list(reversed(known)), len(known)) == (plain, plain[::-1], len(plain))

    @pytest.mark.parametrize("at", SLICES, ids=str)
    @pytest.mark.parametrize("length", [0, 5, CHUNK, CHUNK + 1, 400])
    def test_a_part_of_it_is_a_tuple(self, at, length):
        assert Series(range(length))[at] == tuple(range(length))[at]

    def test_each_item_is_found_by_its_place(self):
        known = Series(range(400))

        assert [known[i] for i in range(-400, 400)] == [*range(400), *range(400)]
        assert bisect_left(known, 300) == 300
        for beyond in (400, -401):
            with pytest.raises(IndexError):
                known[beyond]

    def test_two_that_differ_are_not_equal(self):
        assert Series(range(300)) != Series(range(301))
        assert Series(range(300)) != Series([*range(10), 0, *range(11, 300)])
        assert Series() != ()


class TestLayers:
    @given(st.lists(st.dictionaries(st.sampled_from("abcdefghij"), st.integers(), max_size=4), max_size=12))
    def test_what_is_changed_piece_by_piece_is_the_same_in_one_go(self, pieces):
        known, plain = Layers(), {}
        for changes in pieces:
            known, before = known.with_changes(changes), known
            assert dict(before) == plain
            added = [name for name in changes if name not in plain]
            plain |= changes
            assert known.names_not_in(before) == added

        assert known == Layers(plain) == plain
        assert (list(known), len(known)) == (list(plain), len(plain))

    def test_there_are_few_layers_to_look_through(self):
        known = Layers()
        for number in range(1000):
            known = known.with_changes({f"T{number}": number})

        assert len(known._layers) <= 10
        assert (known["T0"], known["T999"], known.find("T1000")) == (0, 999, None)

    def test_a_name_that_is_not_there_is_an_error_where_it_must_be(self):
        with pytest.raises(KeyError):
            Layers({"T1": 1})["T2"]
