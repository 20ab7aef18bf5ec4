"""Figures and their marks."""

import msgspec
import pytest

from core.science.figures import Figure, Mark


def test_a_figure_does_not_change():
    figure = Figure(value=14.9, unit="C", mark=Mark.DERIVED, source="ours")

    with pytest.raises(AttributeError):
        figure.value = 15.0


def test_a_figure_keeps_its_mark_as_json():
    figure = Figure(value=14.9, unit="C", mark=Mark.GUESS, source="ours")

    assert msgspec.json.decode(msgspec.json.encode(figure), type=Figure) == figure
