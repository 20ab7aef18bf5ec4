"""What a thing that was bought is for, by the words that growers call it.

Not for how much of it is left: see stock and bedding.
"""

import re
import unicodedata
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType


class Article(StrEnum):
    """Stock whose use is known."""

    FEED = "feed"  # dry
    SUBSTRATE = "substrate"  # of lay trays
    LIME = "lime"
    CARTONS = "cartons"  # to live on


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# Words of the languages that messages are read in, without accents; the first kind that has one is meant.
_NAMES = MappingProxyType(
    {
        Article.CARTONS: _words(
            "carton cartons flat flats crate crates egg_tray egg_trays huevera hueveras maple maples cartones"
        ),
        Article.LIME: _words("lime limestone cal caliza"),
        Article.SUBSTRATE: _words(
            "coir coco coconut peat vermiculite soil sand substrate "
            "fibra turba vermiculita tierra arena sustrato"
        ),
        Article.FEED: _words(
            "feed food starter chow mash flakes oats oat oatmeal bran pellets crumble crumbles meal cornmeal grain "
            "kibble "
            "pienso alimento comida avena salvado harina balanceado iniciador escamas copos croquetas"
        ),
    }
)  # fmt: skip
_FOR_PLANTS = _words("plant fertilizer planta plantas abono")


@lru_cache(maxsize=1024)  # the rules ask for the same few items, minute by minute
def supply_of(item: str) -> Article | None:
    """Tell what an item is for; None for one whose use is not counted, as that of bulbs, and for wet feed."""
    plain = "".join(c for c in unicodedata.normalize("NFD", item.casefold()) if not unicodedata.combining(c))
    words = re.findall(r"\w+", plain)
    said = {*words, *("_".join(pair) for pair in pairwise(words))}
    if said & _FOR_PLANTS:
        return None
    return next((supply for supply, names in _NAMES.items() if said & names), None)
