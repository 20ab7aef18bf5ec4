"""Small farms in numbers, for tests of plans."""

from core.science.production import Demand, LayingBin, Works

DAYS = 60
HATCH = 12
SHARES = ((*(0.0,) * 30, 0.05, 0.1, 0.1, 0.05),)  # a half of the best at either end
BIN_EGGS = 5600.0


def laying(first, last, eggs=4000.0, demands=1):
    """A bin that lays from one day to another."""
    found = tuple(eggs if first <= day <= last else 0.0 for day in range(DAYS))
    return LayingBin(eggs=found, stock=(0.0,) * demands, kept_until=DAYS, free_from=DAYS)


def works(*, counts, dues, bins=((5, 20),), empty=9.0, **more):
    """A farm with some bins that lay, and crickets of one grade wanted."""
    return Works(
        days=DAYS,
        demands=tuple(Demand(day=day, grade=0, count=count) for day, count in zip(dues, counts, strict=True)),
        shares=SHARES,
        bins=tuple(laying(*house, demands=len(dues)) for house in bins),
        hatch_age=HATCH,
        eggs_a_bin=BIN_EGGS,
        empty=(empty,) * DAYS,
        **more,
    )
