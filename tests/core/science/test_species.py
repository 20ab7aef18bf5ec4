"""The species table."""

import msgspec
import pytest

from core.science.figures import Mark
from core.science.species import SpeciesName, UnknownSpeciesError, species


@pytest.mark.parametrize("name", SpeciesName)
def test_every_name_has_a_species_whose_figures_have_sources(name):
    kind = species(name)

    figures = msgspec.structs.astuple(kind.egg)
    assert kind.name is name
    assert all(figure.source and figure.unit for figure in figures)
    assert kind.egg.base_temp_c.value < kind.egg.too_cold_c.value < kind.egg.tested_from_c.value
    assert kind.egg.tested_from_c.value < kind.egg.cutoff_c.value


@pytest.mark.parametrize("name", ["house", "House Cricket", "  acheta   DOMESTICUS "])
def test_a_species_is_found_by_any_of_its_names(name):
    assert species(name).name is SpeciesName.HOUSE


def test_the_house_cricket_has_its_own_base_and_constant():
    egg = species(SpeciesName.HOUSE).egg

    assert (egg.base_temp_c.value, egg.thermal_constant.value) == (14.9, 167.0)
    assert not egg.base_temp_c.is_borrowed
    assert not egg.thermal_constant.is_borrowed


def test_a_base_taken_from_another_species_says_so():
    base = species(SpeciesName.BANDED).egg.base_temp_c

    assert base.is_borrowed
    assert base.mark is Mark.DERIVED
    assert "house cricket" in base.source


def test_an_unknown_species_is_refused_with_the_names_there_are():
    with pytest.raises(UnknownSpeciesError, match="'locust', must be one of: house, banded, two-spotted, jamaican"):
        species("locust")
