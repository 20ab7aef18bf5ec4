"""The figures of grown crickets, by species: when they chirp and lay, how many eggs, how long they live.

Not for looking a species up: see species.
"""

import msgspec

from core.science.figures import Figure, Mark


class Adult(msgspec.Struct, frozen=True, kw_only=True):
    """Grown crickets, from the last moult on, at about 30 C."""

    first_chirp_days: Figure
    first_lay_days: Figure  # from the last moult to the first eggs
    first_lay_sd: Figure  # standard deviation of it
    laying_days: Figure  # how long good laying lasts
    half_life_days: Figure  # from the last moult until half are dead
    eggs_a_day: Figure  # per female of laying age, in a bin of mixed age
    eggs_a_day_sd: Figure  # standard deviation of its logarithm, between bins
    night_share: Figure  # share of the eggs laid at night
    female_share: Figure
    no_eggs_c: Figure  # none are laid below it
    full_from_c: Figure  # as many as ever from here on
    full_to_c: Figure  # up to here


_PRACTICE = "common practice, no source"
_TASEE = "Tasee et al., J. Agric. (Chiang Mai), article 254151, abstract"
_ODHIAMBO = "1,360 eggs a female at 26 C and 101 at 18 C: Odhiambo et al., abstract"
_DAILY = f"range 20 to 90; about 95 in the good days of young females ({_TASEE}: 856 in 9 days)"


def _adult(*, is_house: bool = False) -> Adult:
    def figure(value: float, unit: str, mark: Mark, source: str) -> Figure:
        return Figure(value=value, unit=unit, mark=mark, source=source, is_borrowed=not is_house)

    return Adult(
        first_chirp_days=figure(3.0, "d", Mark.GUESS, "wings harden and males begin to chirp within days"),
        first_lay_days=figure(8.0, "d", Mark.PRACTICE, f"7 to 10 days: {_PRACTICE}, and a general web text"),
        first_lay_sd=figure(1.0, "d", Mark.PRACTICE, _PRACTICE),
        laying_days=figure(22.0, "d", Mark.PRACTICE, f"days 8 to 30: {_PRACTICE}"),
        half_life_days=figure(
            45.0, "d", Mark.GUESS, "range 35 to 60 at 30 C; about 90 d of life at 27 C (Univ. of Illinois IB 109)"
        ),
        eggs_a_day=figure(40.0, "1/d", Mark.GUESS, _DAILY),
        eggs_a_day_sd=figure(0.45, "1", Mark.DERIVED, _DAILY),
        night_share=figure(0.61, "1", Mark.READ, f"1,059 by night and 688 by day: {_TASEE}"),
        female_share=figure(0.5, "1", Mark.PRACTICE, _PRACTICE),
        no_eggs_c=figure(18.0, "C", Mark.DERIVED, _ODHIAMBO),
        full_from_c=figure(26.0, "C", Mark.DERIVED, _ODHIAMBO),
        full_to_c=figure(32.0, "C", Mark.GUESS, "2,302 eggs a female of G. bimaculatus at 32 C: Magara et al. 2024"),
    )


HOUSE = _adult(is_house=True)
OTHERS = _adult()
