"""The species table."""

import msgspec
import pytest

from core.science.figures import Figure
from core.science.species import SpeciesName, UnknownSpeciesError, species


def figures_of(record):
    """All figures of a record and of those in it."""
    if isinstance(record, Figure):
        yield record
    elif isinstance(record, msgspec.Struct):
        for value in msgspec.structs.astuple(record):
            yield from figures_of(value)


@pytest.mark.parametrize("name", SpeciesName)
def test_every_name_has_a_species_whose_figures_have_sources(name):
    kind = species(name)

    figures = list(figures_of(kind))

    assert kind.name is name
    assert len(figures) >= 30
    assert all(figure.source and figure.unit for figure in figures)


def test_the_house_cricket_borrows_nothing_but_what_heat_does_to_eggs():
    house = species(SpeciesName.HOUSE)
    borrowed = {name for name in house.egg.__struct_fields__ if getattr(getattr(house.egg, name), "is_borrowed", False)}

    assert borrowed == {"cutoff_c", "falls_from_c", "upper_limit_c", "tested_from_c"}
    assert not any(figure.is_borrowed for part in (house.nymph, house.adult) for figure in figures_of(part))
    assert not house.hatch_success.is_borrowed


@pytest.mark.parametrize("name", [name for name in SpeciesName if name is not SpeciesName.HOUSE])
def test_other_species_say_that_their_adults_are_borrowed(name):
    assert all(figure.is_borrowed for figure in figures_of(species(name).adult))


@pytest.mark.parametrize("name", ["house", "House Cricket", "  acheta   DOMESTICUS "])
def test_a_species_is_found_by_any_of_its_names(name):
    assert species(name).name is SpeciesName.HOUSE


def test_an_unknown_species_is_refused_with_the_names_there_are():
    with pytest.raises(UnknownSpeciesError, match="'locust', must be one of: house, banded, two-spotted, jamaican"):
        species("locust")
