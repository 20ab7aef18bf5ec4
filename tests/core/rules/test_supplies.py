"""What a thing that was bought is for."""

import pytest

from core.rules.supplies import Article, supply_of


@pytest.mark.parametrize(
    ("item", "supply"),
    [
        ("chick starter", Article.FEED),
        ("Fish Flakes", Article.FEED),
        ("oats", Article.FEED),
        ("pienso", Article.FEED),
        ("coir", Article.SUBSTRATE),
        ("fibra de coco", Article.SUBSTRATE),
        ("peat", Article.SUBSTRATE),
        ("lime", Article.LIME),
        ("garden limestone", Article.LIME),
        ("egg flats", Article.CARTONS),
        ("egg trays", Article.CARTONS),
        ("cartón de huevos", Article.CARTONS),
        ("heat bulbs", None),
        ("carrots", None),
        ("plant food", None),
        ("seedling trays", None),
        ("", None),
    ],
)
def test_an_item_is_known_by_its_words(item, supply):
    assert supply_of(item) is supply
