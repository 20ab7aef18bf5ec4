"""Facts: which slots each kind cannot do without."""

import pytest

from core.journal import codec, facts
from core.journal.record import missing


@pytest.mark.parametrize(
    ("kind", "needs"),
    [
        ("chirp", ("bin",)),
        ("tray_in", ("bin",)),
        ("tray_out", ("bin",)),
        ("placed", ("place", "tubs")),
        ("covered", ("on", "tubs")),
        ("reading", ("place",)),
        ("watered", ("tubs",)),
        ("mold", ("removed", "tubs")),
        ("dry", ("tubs",)),
        ("hatch", ("tub",)),
        ("stocked", ("bin",)),
        ("fed", ("bins",)),
        ("moved", ("from", "to")),
        ("counted", ("bin", "count")),
        ("sized", ("bin", "size")),
        ("bought", ("item",)),
        ("discarded", ("tub",)),
        ("problem", ("what",)),
        ("remark", ("text",)),
        ("sold", ()),
    ],
)
def test_what_a_fact_cannot_do_without(kind, needs):
    assert missing(codec.RECORDS[kind], {}) == needs


@pytest.mark.parametrize("slots", [{"tubs": ["T1"]}, {"place": "lamp shelf"}, {"bins": ["B1"]}, {"all": True}], ids=str)
def test_water_is_for_tubs_a_place_bins_or_all(slots):
    assert missing(facts.Watered, slots) == ()


def test_records_do_not_change():
    with pytest.raises(AttributeError):
        facts.Chirp(bin="B1").bin = "B2"
