"""Which bin gets a tray on which day, so that what is wanted is there on its day: a mixed integer programme.

Not for what a farm knows of its bins, which core.rules makes numbers of, nor for the search itself: programme.
"""

from collections.abc import Iterator

from core.science.production import Demand, Hindrance, Made, Production, TrayDay, Works
from core.science.programme import Programme, Solution

BIN_DAY = 1 / 30  # of a tray; a guess: a warm bin for a month is as much work and heat as a tray and its tub
SHORT_BY_ONE = 0.1  # trays, at the least: no tray is saved that would give ten crickets more; a tray gives hundreds
SHORT_BY_ALL = 20.0  # trays, at the least, however few are wanted
TOGETHER = 3  # days of trays whose young may grow out in one bin: what hatches within three days is put together
BREEDING_EVERY = 7  # days between the trays that breeders may be kept back from
MET = 0.98  # of a demand counts as all of it: no count of crickets tells better than that


def planned(works: Works) -> Production:
    """Give the plan that is short of the fewest crickets, and of those the one with the fewest trays and warm bins.

    Parameters
    ----------
    works : Works
        The farm and what is wanted.

    Returns
    -------
    Production
        The same for the same works.

    Raises
    ------
    OutOfRangeError
        By `Works`, where a number is out of its range.

    Notes
    -----
    Columns: trays x[bin, day] (0 or 1); eggs n[day, demand] of the trays of a day that are reared for a demand, and
    grow-out bins g[days, demand] (whole) until its day; v[bin, demand], the share of a bin now there that goes to a
    demand; q[bin] (0 or 1), whether the rest is kept to lay; r[day] (whole), bins of breeders kept back from the
    trays of a day, and their trays. A cricket goes to one demand alone. Rows: what is reared of the eggs of a day is at
    most what was laid; one tray at a time; bins in use on a day at most those that are empty. What is short costs so
    much more than trays and warm bins (trays + bin days / 30) that none of it is saved on purpose but a handful. HiGHS
    stops at 1 % above the bound, on large works after a count of nodes: there the bound, which hardly knows that a
    bin is whole, may stay far below.

    The shares of the works are quantiles of what a batch gives, which the plan adds up. So where they are those that
    three batches of four reach, a demand that is served by several batches is met more often than that.

    Examples
    --------
    >>> from core.science.production import LayingBin
    >>> laying = tuple(4000.0 if 5 <= day < 20 else 0.0 for day in range(60))
    >>> house = LayingBin(eggs=laying, stock=(0.0,), kept_until=25, free_from=60)
    >>> works = Works(
    ...     days=60, demands=(Demand(day=40, grade=0, count=1100.0),), bins=(house,), hatch_age=12, eggs_a_bin=5600.0,
    ...     shares=((*(0.0,) * 30, 0.1, 0.2, 0.1),), empty=(3.0,) * 60,
    ... )
    >>> found = planned(works)
    >>> [tray.day for tray in found.trays], round(found.made[0].count)
    ([9, 10], 1100)
    """
    if not works.demands:
        return _nothing(works)
    model = _Model(works)
    return _production(model, model.programme.solved(model.costs()))


def _nothing(works: Works) -> Production:
    return Production(
        trays=(), made=(), kept_back=(), bins_used=(0,) * works.days, given_up=(), short=0.0, cost=0.0, bound=0.0
    )  # fmt: skip


def _short(model: "_Model", found: Solution) -> float:
    shares = zip(model.short, model.works.demands, strict=True)
    return float(sum(found.values[column] * demand.count for column, demand in shares))


class _Model:
    """The columns by what they mean; eggs count in grow-out bins full, so that all numbers are about as large."""

    def __init__(self, works: Works, *, has_room: bool = True) -> None:
        self.works, self.programme = works, Programme()
        self.trays: dict[tuple[int, int], int] = {}  # bin, day
        self.laid: dict[int, dict[int, float]] = {}  # day: eggs of it, as weights of columns
        self.given: dict[tuple[int, int], int] = {}  # bin, demand
        self.kept: dict[int, int] = {}  # bin
        self.reared: dict[tuple[int, int], int] = {}  # day, demand
        self.housed: dict[tuple[int, int, int], int] = {}  # day of the tray; from, to: the days in the bins
        self.breeders: dict[int, int] = {}  # day
        self.bred: dict[tuple[int, int], int] = {}  # day of the breeders' tray, day
        self.short = [self.programme.column(1.0) for _ in works.demands]  # the share of each that is short
        self.hopeless: set[int] = set()  # columns of what is short and has nothing that could serve it
        self._stand()
        self._breed()
        self._rear()
        self._serve()
        self._bound_tubs()
        if has_room:
            self._bound_bins()

    def costs(self) -> dict[int, float]:
        """Give what each column costs, in trays; what nothing can serve is short whatever is done."""
        short = {
            c: max(SHORT_BY_ONE * demand.count, SHORT_BY_ALL)
            for c, demand in zip(self.short, self.works.demands, strict=True)
            if c not in self.hopeless
        }
        costs = short | dict.fromkeys([*self.trays.values(), *self.bred.values()], 1.0)
        costs |= {column: BIN_DAY * (last - first + 1) for (_, first, last), column in self.housed.items()}
        stays = self._breeders_stay()
        return costs | dict.fromkeys(self.breeders.values(), BIN_DAY * (stays[1] - stays[0]))

    def _useful(self, day: int) -> list[int]:
        return [number for number, demand in enumerate(self.works.demands) if self.works.share(demand, day) > 0]

    def _stand(self) -> None:
        """Add the bins that are there: their trays, and what they give as they are."""
        add, works = self.programme, self.works
        for tub in works.tubs:
            self.laid.setdefault(tub.day, {})
        for number, house in enumerate(works.bins):
            gives = [d for d in range(len(works.demands)) if house.stock[d] > 0]
            for d in gives:
                self.given[number, d] = add.column(1.0)
            if gives:
                self.kept[number] = add.column(1.0, is_whole=True)
                shares = {self.given[number, d]: 1.0 for d in gives}
                add.row(shares, upper=1.0)
                add.row({**shares, self.kept[number]: 1.0}, lower=1.0)
            for day, eggs in enumerate(house.eggs):
                if eggs > 0 and (works.breeding or self._useful(day)):
                    self._set_tray(number, day, eggs / works.eggs_a_bin, gives)
            self._one_at_a_time({day: column for (n, day), column in self.trays.items() if n == number}, {})

    def _set_tray(self, number: int, day: int, eggs: float, gives: list[int]) -> None:
        add, tray = self.programme, self.programme.column(1.0, is_whole=True)
        self.trays[number, day] = tray
        laid = self.laid.setdefault(day, {})
        if not gives:
            laid[tray] = eggs
            return
        column = add.column(eggs)  # fewer where crickets of the bin were given away
        laid[column] = 1.0
        add.row({column: 1.0, tray: -eggs}, upper=0.0)
        add.row({column: 1.0, **{self.given[number, d]: eggs for d in gives}}, upper=eggs)

    def _one_at_a_time(self, trays: dict[int, int], bins: dict[int, float]) -> None:
        """Let no more trays be in than bins; `bins` are columns that make bins, none: one bin."""
        for day in trays:
            together = {trays[d]: 1.0 for d in range(day - self.works.lay_days + 1, day + 1) if d in trays}
            if len(together) > 1 or bins:
                self.programme.row({**together, **bins}, upper=0.0 if bins else 1.0)

    def _breed(self) -> None:
        """Add breeders, kept back from trays of now and then, and the trays that they lay into."""
        works, breeding = self.works, self.works.breeding
        if breeding is None:
            return
        last = max((day for d in works.demands if (span := works.tray_days(d)) for day in span), default=-1)
        day, ends = min(self.laid, default=0), last - breeding.first_age
        while day <= ends:
            if day in self.laid:
                self.breeders[day] = column = self.programme.column(len(works.bins) + max(works.empty), is_whole=True)
                trays = {}
                for at in range(max(day + breeding.first_age, 0), min(day + breeding.last_age, last) + 1):
                    if at % TOGETHER == 0 and self._useful(at):  # that far ahead three days are as good as one
                        self.bred[day, at] = trays[at] = self.programme.column(is_whole=True)
                        self.laid.setdefault(at, {})[trays[at]] = breeding.eggs_a_tray / works.eggs_a_bin
                self._one_at_a_time(trays, {column: -float(max(TOGETHER // works.lay_days, 1))})
            day = min((d for d in self.laid if d >= day + BREEDING_EVERY), default=ends + 1)

    def _rear(self) -> None:
        """Add what is reared of the eggs of each day, and the bins that it is reared in."""
        works, add = self.works, self.programme
        there: dict[int, float] = {}
        for tub in works.tubs:
            there[tub.day] = there.get(tub.day, 0.0) + tub.eggs / works.eggs_a_bin
        for day, laid in sorted(self.laid.items()):
            reared = {d: add.column() for d in self._useful(day)}
            self.reared |= {(day, d): column for d, column in reared.items()}
            uses = dict.fromkeys(reared.values(), 1.0)
            if day in self.breeders and works.breeding is not None:
                uses[self.breeders[day]] = works.breeding.eggs_needed / works.eggs_a_bin
            add.row({**uses, **{column: -eggs for column, eggs in laid.items()}}, upper=there.get(day, 0.0))
        for block in sorted({day // TOGETHER for day in self.laid}):
            self._house(block * TOGETHER, {key: c for key, c in self.reared.items() if key[0] // TOGETHER == block})

    def _house(self, day: int, reared: dict[tuple[int, int], int]) -> None:
        works = self.works
        first = max(day + works.hatch_age, 0)
        for due in sorted({works.demands[d].day for _, d in reared if works.demands[d].day > first}):
            still = {column: 1.0 for (_, d), column in reared.items() if works.demands[d].day >= due}
            bins = self.programme.column(is_whole=True)
            self.housed[day, first, due] = bins
            self.programme.row({**still, bins: -1.0}, upper=0.0)
            first = due + 1

    def _serve(self) -> None:
        works = self.works
        for d, demand in enumerate(works.demands):
            sources = {self.short[d]: 1.0}
            sources |= {
                column: works.share(demand, day) * works.eggs_a_bin / demand.count
                for (day, number), column in self.reared.items() if number == d
            }  # fmt: skip
            sources |= {
                column: works.bins[house].stock[d] / demand.count
                for (house, number), column in self.given.items() if number == d
            }  # fmt: skip
            if len(sources) == 1:
                self.hopeless.add(self.short[d])
            self.programme.row(sources, lower=1.0)

    def _bound_tubs(self) -> None:
        works = self.works
        if works.tub_places is None:
            return
        for at in range(works.days):
            standing = range(at - works.hatch_age, at - works.lay_days + 1)
            trays = [c for (_, day), c in [*self.trays.items(), *self.bred.items()] if day in standing]
            there = sum(tub.day in standing for tub in works.tubs)
            self.programme.row(dict.fromkeys(trays, 1.0), upper=max(works.tub_places - there, 0.0))

    def _breeders_stay(self) -> tuple[int, int]:
        breeding = self.works.breeding
        return (self.works.hatch_age, breeding.last_age + 1) if breeding else (0, 0)

    def used_on(self, at: int) -> dict[int, float]:
        """Give the columns whose bins are in use on a day, besides those that are there."""
        first, last = self._breeders_stay()
        used = {column: 1.0 for (_, start, end), column in self.housed.items() if start <= at <= end}
        return used | {column: 1.0 for day, column in self.breeders.items() if day + first <= at <= day + last}

    def _bound_bins(self) -> None:
        works = self.works
        first, _ = self._breeders_stay()
        begins = {start for _, start, _ in self.housed} | {day + first for day in self.breeders}
        begins |= {at for at in range(1, works.days) if works.empty[at] < works.empty[at - 1]}
        for at in sorted(day for day in begins if 0 <= day < works.days):
            used, there = self.used_on(at), works.empty[at]
            if not used:
                continue
            for number, house in enumerate(works.bins):
                if at > house.kept_until:
                    there += 1.0
                elif number in self.kept and at >= house.free_from:
                    there += 1.0
                    used[self.kept[number]] = 1.0
            self.programme.row(used, upper=there)


def _production(model: _Model, found: Solution) -> Production:
    works, values = model.works, found.values
    trays = [TrayDay(day=day, bin=number) for (number, day), column in model.trays.items() if values[column] > 0.5]
    trays += [
        TrayDay(day=at, bin=day, is_bred=True)
        for (day, at), column in model.bred.items() for _ in range(round(values[column]))
    ]  # fmt: skip
    used = (sum(values[c] for c in model.used_on(at)) for at in range(works.days))
    kept_back = tuple((day, round(values[c])) for day, c in sorted(model.breeders.items()) if values[c] > 0.5)
    return Production(
        trays=tuple(sorted(trays, key=lambda tray: (tray.day, tray.is_bred, tray.bin))),
        made=tuple(_made(model, found)),
        kept_back=kept_back,
        bins_used=tuple(round(float(bins)) for bins in used),
        given_up=tuple(number for number, column in model.kept.items() if values[column] < 0.5),
        short=_short(model, found),
        cost=found.cost,
        bound=found.bound,
    )


def _made(model: _Model, found: Solution) -> Iterator[Made]:
    works = model.works
    shares = [float(found.values[c]) for c in model.short]
    hindered = [d for d, demand in enumerate(works.demands) if shares[d] > max(1 - MET, 0.5 / demand.count)]
    roomy = _without_bounds(works, hindered)
    for d, demand in enumerate(works.demands):
        stock = sum(
            found.values[c] * works.bins[house].stock[d] for (house, number), c in model.given.items() if number == d
        )
        hindrance = _hindrance(works, demand, roomy[d]) if d in hindered else None
        count = demand.count if hindrance is None else demand.count * (1 - shares[d])
        yield Made(count=count, from_stock=min(float(stock), count), hindrance=hindrance)


def _without_bounds(works: Works, hindered: list[int]) -> dict[int, bool]:
    """Tell of each demand that is not met whether it would be met if there were bins enough to grow out in."""
    if not hindered:
        return {}
    model = _Model(works, has_room=False)
    least = model.programme.solved(dict.fromkeys(model.short, 1.0), is_relaxed=True)
    return {d: least.values[model.short[d]] < 1 - MET for d in hindered}


def _hindrance(works: Works, demand: Demand, is_met_with_room: bool) -> Hindrance:
    span = works.tray_days(demand)
    if span is None:
        return Hindrance.COLD
    first, last = span
    lays = any(any(house.eggs[max(first, 0) : max(last + 1, 0)]) for house in works.bins)
    if last < 0 and not any(first <= tub.day <= last for tub in works.tubs):
        return Hindrance.TOO_SOON
    if is_met_with_room:
        return Hindrance.ROOM
    if lays or any(first <= tub.day <= last for tub in works.tubs):
        return Hindrance.FEMALES
    return Hindrance.NO_LAYING
