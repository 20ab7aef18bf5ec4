"""The cricket species that a farm may breed, with the figures their eggs develop by.

Not for the arithmetic: degree_days and development do that. Figures that were never measured on a species are
borrowed from another one and say so.
"""

from enum import StrEnum

import msgspec

from core.science.figures import Figure, Mark


class SpeciesName(StrEnum):
    """Short names, as they stand in settings and commands."""

    HOUSE = "house"
    BANDED = "banded"
    TWO_SPOTTED = "two-spotted"
    JAMAICAN = "jamaican"


class Stage(msgspec.Struct, frozen=True, kw_only=True):
    """Thermal time of one stage of life: rate = (T - base) / constant, flat above the cutoff."""

    base_temp_c: Figure  # no development below it
    thermal_constant: Figure  # degree-days C above the base for half of the eggs
    cutoff_c: Figure  # from here on warmth speeds nothing up
    spread: Figure  # standard deviation of the individual time, as a share of it
    too_cold_c: Figure  # mean temperature under which no forecast is made
    tested_from_c: Figure  # mean temperature under which the straight line is untested


class Species(msgspec.Struct, frozen=True, kw_only=True):
    """One species of cricket."""

    name: SpeciesName
    common_name: str
    latin_name: str
    egg: Stage


class UnknownSpeciesError(ValueError):
    """A name that is none of the species here."""

    def __init__(self, name: str) -> None:
        super().__init__(f"species is {name!r}, must be one of: {', '.join(SpeciesName)}")
        self.name = name


_THREE_RULES = (
    "fitted to three rules of common practice, no source: 9.5 d at 90.5 F, 11.5 d at 85 F, about 35 d between "
    "50 and 80 F; rounded"
)
_MAGARA = "Magara et al. 2024, PLoS ONE, doi 10.1371/journal.pone.0300438, abstract: eggs of G. bimaculatus, 20 to 40 C"
_BEHRENS = (
    "Behrens et al. 1983, Oecologia 59:279-287, abstract: eggs of G. bimaculatus keep the heat sum from 20 to 34 C"
)
_SUPPLIER = "a supplier's page: {days} d at 25 C, times (25 - 14.9) with the base of the house cricket"
_LOGNORMAL = "no measurement found; 0.05 to 0.08 is usual for insects kept together"
_COLD = "a degree above the base: no stored source shows cricket eggs hatching there"


def _egg(base: Figure, constant: Figure, *, is_house: bool = False) -> Stage:
    """Fill the rest of an egg's figures in: they are the same for all species for want of better ones."""
    return Stage(
        base_temp_c=base,
        thermal_constant=constant,
        cutoff_c=Figure(value=34.0, unit="C", mark=Mark.READ, source=_BEHRENS, is_borrowed=True),
        spread=Figure(value=0.06, unit="1", mark=Mark.GUESS, source=_LOGNORMAL, is_borrowed=not is_house),
        too_cold_c=Figure(value=16.0, unit="C", mark=Mark.GUESS, source=_COLD, is_borrowed=not is_house),
        tested_from_c=Figure(value=20.0, unit="C", mark=Mark.READ, source=_BEHRENS, is_borrowed=True),
    )


_HOUSE_BASE = Figure(value=14.9, unit="C", mark=Mark.DERIVED, source=_THREE_RULES)
_BORROWED_BASE = msgspec.structs.replace(_HOUSE_BASE, is_borrowed=True, source=f"house cricket: {_THREE_RULES}")


def _constant(value: float, mark: Mark, source: str) -> Figure:
    return Figure(value=value, unit="degree-days C", mark=mark, source=source)


_ALL = (
    Species(
        name=SpeciesName.HOUSE,
        common_name="house cricket",
        latin_name="Acheta domesticus",
        egg=_egg(_HOUSE_BASE, _constant(167.0, Mark.DERIVED, _THREE_RULES), is_house=True),
    ),
    Species(
        name=SpeciesName.BANDED,
        common_name="banded cricket",
        latin_name="Gryllodes sigillatus",
        egg=_egg(_BORROWED_BASE, _constant(162.0, Mark.DERIVED, _SUPPLIER.format(days="16"))),
    ),
    Species(
        name=SpeciesName.TWO_SPOTTED,
        common_name="two-spotted cricket",
        latin_name="Gryllus bimaculatus",
        egg=_egg(
            Figure(value=15.9, unit="C", mark=Mark.READ, source=_MAGARA),
            _constant(108.7, Mark.READ, _MAGARA),
        ),
    ),
    Species(
        name=SpeciesName.JAMAICAN,
        common_name="Jamaican field cricket",
        latin_name="Gryllus assimilis",
        egg=_egg(_BORROWED_BASE, _constant(126.0, Mark.DERIVED, _SUPPLIER.format(days="12-13"))),
    ),
)
_BY_NAME = {
    word.lower(): kind
    for kind in _ALL
    for word in (kind.name, kind.common_name, kind.latin_name, f"{kind.name} cricket")
}


def species(name: str) -> Species:
    """Look a species up by its short, common or Latin name, whatever the case.

    Parameters
    ----------
    name : str
        A `SpeciesName`, or a common or Latin name.

    Returns
    -------
    Species
        The species with its figures.

    Raises
    ------
    UnknownSpeciesError
        If no species has this name; the message lists the short ones.

    Examples
    --------
    >>> species("Acheta domesticus").egg.thermal_constant.value
    167.0
    >>> species("locust")
    Traceback (most recent call last):
    core.science.species.UnknownSpeciesError: species is 'locust', must be one of: house, banded, two-spotted, jamaican
    """
    found = _BY_NAME.get(" ".join(name.split()).lower())
    if found is None:
        raise UnknownSpeciesError(name)
    return found
