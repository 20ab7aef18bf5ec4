"""The figures of eggs, by species: how warm, how long, how many hatch.

Not for looking a species up: see species.
"""

import msgspec

from core.science.figures import Figure, Mark
from core.science.stage import Stage

_FOUR_RULES = (
    "fitted to four rules of common practice, no source: 9 to 10 d at 90 to 91 F and 80 to 90 % humidity, 11 to 12 d "
    "at 85 F and 85 %, 14 to 15 d at 85 F uncovered in air of 40 to 50 %, 33 to 37 d from 50 to 80 F covered; rounded"
)
_MAGARA = "Magara et al. 2024, PLoS ONE, doi 10.1371/journal.pone.0300438, abstract: eggs of G. bimaculatus, 20 to 40 C"
_BEHRENS = (
    "Behrens et al. 1983, Oecologia 59:279-287, abstract: eggs of G. bimaculatus keep the heat sum from 20 to 34 C"
)
_SUPPLIER = "a supplier's page: {days} d at 25 C, times (25 - 14.8) with the base of the house cricket"
_LOGNORMAL = "no measurement found; 0.05 to 0.08 is usual for insects kept together"
_COLD = "a degree above the base: no stored source shows cricket eggs hatching there"
_LOCUST = (
    "eggs of the desert locust: the rate is flat above 35 C and constant warmth above 38 C kills; Bull. Entomol. Res. "
    "1970, abstract. That it ends at 41 C is an estimate; eggs of a related cricket do not hatch at 40 C (Otieno et "
    "al. 2019, PLoS ONE 14(9):e0222941, abstract)"
)
_RIDGE = "constants that go with other bases for the same days at 25 to 32 C: 177 at 14, 157 at 15.9 C"


def _egg(base: Figure, constant: Figure, *, is_house: bool = False) -> Stage:
    """Fill the rest of an egg's figures in: they are the same for all species for want of better ones."""

    def figure(value: float, unit: str, mark: Mark, source: str, *, is_borrowed: bool = not is_house) -> Figure:
        return Figure(value=value, unit=unit, mark=mark, source=source, is_borrowed=is_borrowed)

    return Stage(
        base_temp_c=base,
        thermal_constant=constant,
        cutoff_c=figure(34.0, "C", Mark.READ, _BEHRENS, is_borrowed=True),
        falls_from_c=figure(36.0, "C", Mark.GUESS, _LOCUST, is_borrowed=True),
        upper_limit_c=figure(41.0, "C", Mark.GUESS, _LOCUST, is_borrowed=True),
        spread=figure(0.06, "1", Mark.GUESS, _LOGNORMAL),
        base_sd_c=figure(0.8, "C", Mark.GUESS, "the rules and papers at hand agree no better"),
        constant_sd=figure(0.05, "1", Mark.GUESS, "the four rules and the papers at hand agree no better"),
        ridge=figure(0.063, "1/C", Mark.DERIVED, _RIDGE),
        too_cold_c=figure(16.0, "C", Mark.GUESS, _COLD),
        tested_from_c=figure(20.0, "C", Mark.READ, _BEHRENS, is_borrowed=True),
    )


_HOUSE_BASE = Figure(value=14.8, unit="C", mark=Mark.DERIVED, source=_FOUR_RULES)
_BORROWED_BASE = msgspec.structs.replace(_HOUSE_BASE, is_borrowed=True, source=f"house cricket: {_FOUR_RULES}")


def _constant(value: float, mark: Mark, source: str) -> Figure:
    return Figure(value=value, unit="degree-days C", mark=mark, source=source)


HOUSE = _egg(_HOUSE_BASE, _constant(162.0, Mark.DERIVED, _FOUR_RULES), is_house=True)
BANDED = _egg(_BORROWED_BASE, _constant(163.0, Mark.DERIVED, _SUPPLIER.format(days="16")))
TWO_SPOTTED = _egg(
    Figure(value=15.9, unit="C", mark=Mark.READ, source=_MAGARA), _constant(108.7, Mark.READ, _MAGARA)
)  # fmt: skip
JAMAICAN = _egg(_BORROWED_BASE, _constant(127.0, Mark.DERIVED, _SUPPLIER.format(days="12-13")))

_HATCH = "between 62 to 66 % on the best day alone (Mitchaothai et al. 2024) and above 95 % (Tasee et al.)"
HATCH_SUCCESS = Figure(value=0.80, unit="1", mark=Mark.GUESS, source=_HATCH)
TWO_SPOTTED_HATCH = Figure(
    value=0.80, unit="1", mark=Mark.READ, source="Mitchaothai et al. 2024, Animals 14(15):2176: 79.75 % at 31 C, 70 %"
)
