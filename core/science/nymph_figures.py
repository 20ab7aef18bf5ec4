"""The figures of growing crickets, by species: thermal time to adult, the instars and their sizes, survival.

Not for looking a species up: see species.
"""

import msgspec

from core.science.figures import Figure, Mark
from core.science.stage import Stage


class Instar(msgspec.Struct, frozen=True, kw_only=True):
    """One of the stages between moults."""

    number: int  # 1: the pinhead; 9: the adult
    starts_at: float  # share of the thermal constant from hatch to adult that is behind it, 0 to 1
    mass_mg: float  # at its start
    length_mm: float  # of the body, at its start


_FITTED = (
    "fitted at a base of 18 C to days from hatch to adult: Univ. of Illinois IB 109 (65 at 26.7, 32.5 at 32.2 C), "
    "Morales-Ramos et al. 2018 (56 at 27, 42 at 29 C, harvest age), an urban-insect handbook (54.5 at 28 C, "
    "temperature from memory), Odhiambo et al. (54 at 30 C)"
)
_HOT = "performance peaks at 35 and falls at both ends of 26 to 41 C: Vadboncoeur et al. 2025, bioRxiv, abstract"
_SLOW = (
    "200.5 d from egg to adult at 18 C, of which about 50 as an egg: Odhiambo et al., abstract; the line would "
    "stand still there"
)
_MAGARA = "Magara et al. 2024, PLoS ONE, doi 10.1371/journal.pone.0300438, abstract: nymphs of G. bimaculatus"
_SUPPLIER = "a supplier's page: {weeks} weeks at 30 C, times (30 - 18) with the base of the house cricket"
_NO_MATCH = "the laboratory figures at hand agree no better"


def _nymph(base: Figure, constant: Figure, *, is_house: bool = False) -> Stage:
    def figure(value: float, unit: str, mark: Mark, source: str) -> Figure:
        return Figure(value=value, unit=unit, mark=mark, source=source, is_borrowed=not is_house)

    return Stage(
        base_temp_c=base,
        thermal_constant=constant,
        cutoff_c=figure(35.0, "C", Mark.DERIVED, _HOT),
        falls_from_c=figure(37.0, "C", Mark.GUESS, _HOT),
        upper_limit_c=figure(42.0, "C", Mark.GUESS, _HOT),
        spread=figure(0.10, "1", Mark.GUESS, "no measurement found; crickets of one bin are graded as they come"),
        base_sd_c=figure(1.0, "C", Mark.GUESS, _NO_MATCH),
        constant_sd=figure(0.12, "1", Mark.DERIVED, f"scatter of the fit: {_NO_MATCH}"),
        ridge=figure(0.095, "1/C", Mark.DERIVED, "constants that go with other bases: 578 at 17, 477 at 19 C"),
        too_cold_c=figure(16.0, "C", Mark.GUESS, _SLOW),
        tested_from_c=figure(25.0, "C", Mark.DERIVED, _FITTED),
        least_rate=figure(constant.value / 150.0, "degree-days C per day", Mark.DERIVED, _SLOW),
    )


def _constant(value: float, mark: Mark, source: str) -> Figure:
    return Figure(value=value, unit="degree-days C", mark=mark, source=source)


_HOUSE_BASE = Figure(value=18.0, unit="C", mark=Mark.DERIVED, source=_FITTED)
_BORROWED_BASE = msgspec.structs.replace(_HOUSE_BASE, is_borrowed=True, source=f"house cricket: {_FITTED}")

HOUSE = _nymph(_HOUSE_BASE, _constant(530.0, Mark.DERIVED, _FITTED), is_house=True)
BANDED = _nymph(
    _BORROWED_BASE,
    msgspec.structs.replace(HOUSE.thermal_constant, is_borrowed=True, source=f"house cricket: {_FITTED}"),
)
TWO_SPOTTED = _nymph(
    Figure(value=16.2, unit="C", mark=Mark.READ, source=_MAGARA), _constant(555.6, Mark.READ, _MAGARA)
)  # fmt: skip
JAMAICAN = _nymph(_BORROWED_BASE, _constant(420.0, Mark.DERIVED, _SUPPLIER.format(weeks="5")))

# Eight instars: Nakagaki and DeFoliart 1991, J. Econ. Entomol. 84:891-896. The fourth begins about day 14 at 29 C
# (Mahavidanage et al. 2023, J. Orthoptera Res. 32:25-31; the temperature from memory). The other shares, masses and
# lengths are estimates between 0.8 mg at hatch and 393 mg: each moult 2.17 times the mass and 1.31 times the length.
INSTARS = tuple(
    Instar(number=number, starts_at=starts_at, mass_mg=mass_mg, length_mm=length_mm)
    for number, starts_at, mass_mg, length_mm in (
        (1, 0.0, 0.8, 2.3),
        (2, 0.10, 1.7, 3.0),
        (3, 0.195, 3.8, 3.9),
        (4, 0.29, 8.2, 5.2),
        (5, 0.40, 17.7, 6.8),
        (6, 0.52, 38.5, 8.9),
        (7, 0.65, 83.5, 11.6),
        (8, 0.80, 181.0, 15.3),
        (9, 1.0, 393.0, 20.0),
    )
)

_BELIEF = "common practice, no source"
SURVIVAL_TO_14_DAYS = Figure(value=0.75, unit="1", mark=Mark.PRACTICE, source=_BELIEF)  # from hatch, at about 29 C
SURVIVAL_TO_ADULT = Figure(  # from 14 days on, uncrowded
    value=0.80, unit="1", mark=Mark.READ, source="80 to 83 %: Takacs et al. 2023, Insects 14(7):588, abstract"
)
YOUNG_UNTIL = 0.29  # share of the thermal constant at 14 days and 29 C: the start of the fourth instar
# Crickets per cm2 of floor and cartons, and the share of the uncrowded survival that is left [1/cm2, 1]: cut by 31
# and 45 % from day 14 on (Mahavidanage et al. 2023, J. Orthoptera Res. 32:25-31, abstract).
CROWDING = ((0.19, 1.0), (0.47, 0.69), (0.93, 0.55))
