"""A figure that carries its unit, its source and how sure it is.

Not for the figures themselves: those of a species are in species, those of a method beside the method.
"""

from enum import StrEnum

import msgspec


class Mark(StrEnum):
    """How sure a figure is; all but READ are called an estimate when a person is told."""

    READ = "read"  # seen in the source named
    MEMORY = "memory"  # recalled from the literature, not seen again
    PRACTICE = "practice"  # what growers go by, no measurement behind it
    DERIVED = "derived"  # computed here from other figures
    GUESS = "guess"  # no source


class Figure(msgspec.Struct, frozen=True, kw_only=True):
    """One number of biology or physics."""

    value: float
    unit: str  # as in a paper: "C", "degree-days C", "1" for a plain share
    mark: Mark
    source: str
    is_borrowed: bool = False  # measured on another species, which the source names
