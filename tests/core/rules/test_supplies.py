"""What a thing that was bought is for."""

import pytest

from core.rules.supplies import Supply, supply_of


@pytest.mark.parametrize(
    ("item", "supply"),
    [
        ("chick starter", Supply.FEED),
        ("Fish Flakes", Supply.FEED),
        ("oats", Supply.FEED),
        ("pienso", Supply.FEED),
        ("coir", Supply.SUBSTRATE),
        ("fibra de coco", Supply.SUBSTRATE),
        ("peat", Supply.SUBSTRATE),
        ("lime", Supply.LIME),
        ("garden limestone", Supply.LIME),
        ("egg flats", Supply.CARTONS),
        ("egg trays", Supply.CARTONS),
        ("cartón de huevos", Supply.CARTONS),
        ("heat bulbs", None),
        ("carrots", None),
        ("plant food", None),
        ("seedling trays", None),
        ("", None),
    ],
)
def test_an_item_is_known_by_its_words(item, supply):
    assert supply_of(item) is supply
