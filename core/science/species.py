"""The cricket species that a farm may breed, with the figures they live by.

Not for the figures themselves, which stand by stage of life in egg_figures, nymph_figures and adult_figures; one that
was never measured on a species is borrowed from another one and says so.
"""

from enum import StrEnum

import msgspec

from core.science import adult_figures, egg_figures, nymph_figures
from core.science.adult_figures import Adult
from core.science.figures import Figure
from core.science.nymph_figures import INSTARS, Instar
from core.science.stage import Stage


class SpeciesName(StrEnum):
    """Short names, as they stand in settings and commands."""

    HOUSE = "house"
    BANDED = "banded"
    TWO_SPOTTED = "two-spotted"
    JAMAICAN = "jamaican"


class Species(msgspec.Struct, frozen=True, kw_only=True):
    """One species of cricket."""

    name: SpeciesName
    common_name: str
    latin_name: str
    egg: Stage
    hatch_success: Figure  # share of the eggs of a well kept tub
    nymph: Stage  # from hatch to the last moult
    instars: tuple[Instar, ...]
    adult: Adult


class UnknownSpeciesError(ValueError):
    """A name that is none of the species here."""

    def __init__(self, name: str) -> None:
        super().__init__(f"species is {name!r}, must be one of: {', '.join(SpeciesName)}")
        self.name = name


_BORROWED_HATCH = msgspec.structs.replace(egg_figures.HATCH_SUCCESS, is_borrowed=True)

_ALL = (
    Species(
        name=SpeciesName.HOUSE,
        common_name="house cricket",
        latin_name="Acheta domesticus",
        egg=egg_figures.HOUSE,
        hatch_success=egg_figures.HATCH_SUCCESS,
        nymph=nymph_figures.HOUSE,
        instars=INSTARS,
        adult=adult_figures.HOUSE,
    ),
    Species(
        name=SpeciesName.BANDED,
        common_name="banded cricket",
        latin_name="Gryllodes sigillatus",
        egg=egg_figures.BANDED,
        hatch_success=_BORROWED_HATCH,
        nymph=nymph_figures.BANDED,
        instars=INSTARS,
        adult=adult_figures.OTHERS,
    ),
    Species(
        name=SpeciesName.TWO_SPOTTED,
        common_name="two-spotted cricket",
        latin_name="Gryllus bimaculatus",
        egg=egg_figures.TWO_SPOTTED,
        hatch_success=egg_figures.TWO_SPOTTED_HATCH,
        nymph=nymph_figures.TWO_SPOTTED,
        instars=INSTARS,
        adult=adult_figures.OTHERS,
    ),
    Species(
        name=SpeciesName.JAMAICAN,
        common_name="Jamaican field cricket",
        latin_name="Gryllus assimilis",
        egg=egg_figures.JAMAICAN,
        hatch_success=_BORROWED_HATCH,
        nymph=nymph_figures.JAMAICAN,
        instars=INSTARS,
        adult=adult_figures.OTHERS,
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
    162.0
    >>> species("locust")
    Traceback (most recent call last):
    core.science.species.UnknownSpeciesError: species is 'locust', must be one of: house, banded, two-spotted, jamaican
    """
    found = _BY_NAME.get(" ".join(name.split()).lower())
    if found is None:
        raise UnknownSpeciesError(name)
    return found
