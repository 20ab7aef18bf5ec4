"""Mixed integer programmes: columns, rows, and the best values of them by HiGHS.

Not for what the columns mean: planning has that.
"""

import warnings
from collections.abc import Mapping

import msgspec
import numpy as np

from core.science.stage import Floats

GAP = 0.01  # what is found is within this share of the best there may be
# Of the search tree times the square of the whole columns: a count and not a time, so that the same farm gets the same
# plan. The root of 300 whole columns takes about 3 s.
NODES = 1.0e5
FEWEST_NODES = 1
# At its usual 1e-6, and where it has transformed the rows first, HiGHS mends values that rounding has put off a row by
# as much, and prints that it does, whatever it is told.
TOLERANCE = 1e-4
MOST_SECONDS = 30.0  # only a guard: the nodes are used up long before


class Solution(msgspec.Struct, frozen=True, kw_only=True):
    """What was found."""

    values: Floats  # of the columns
    cost: float
    bound: float  # no values cost less than this


class UnsolvedError(RuntimeError):
    """No values were found that keep to the rows."""


class Programme:
    """Columns with bounds, some of them whole numbers, and rows that bound weighted sums of them."""

    def __init__(self) -> None:
        self._lower: list[float] = []
        self._upper: list[float] = []
        self._whole: list[bool] = []
        self._rows: list[tuple[Mapping[int, float], float, float]] = []

    @property
    def size(self) -> tuple[int, int, int]:
        """Columns, whole ones among them, rows."""
        return len(self._lower), sum(self._whole), len(self._rows)

    def column(self, upper: float = np.inf, *, lower: float = 0.0, is_whole: bool = False) -> int:
        """Add a column; give its number."""
        self._lower.append(lower)
        self._upper.append(upper)
        self._whole.append(is_whole)
        return len(self._lower) - 1

    def row(self, weights: Mapping[int, float], lower: float = -np.inf, upper: float = np.inf) -> None:
        """Ask for a weighted sum of columns that is within bounds; one of nothing is left out."""
        if weights:
            self._rows.append((dict(weights), lower, upper))

    def solved(self, costs: Mapping[int, float], *, is_relaxed: bool = False, gap: float = GAP) -> Solution:
        """Give the values that cost least.

        Parameters
        ----------
        costs : mapping of column to float
            Of one of each; what is left out costs nothing.
        is_relaxed : bool
            Whole columns may take any value.
        gap : float
            Share of the cost by which it may lie above the least there may be, 0 to 1. [1]

        Returns
        -------
        Solution
            The best found within the nodes, and the bound proved; the same each time.

        Raises
        ------
        UnsolvedError
            If no values keep to the rows, or none were found.

        Notes
        -----
        Branch and cut by HiGHS, one thread.

        References
        ----------
        .. [1] Huangfu Q., Hall J.A.J. 2018, Math. Program. Comput. 10:119-142, doi 10.1007/s12532-017-0130-5.

        Examples
        --------
        >>> programme = Programme()
        >>> tray, bag = programme.column(9, is_whole=True), programme.column()
        >>> programme.row({tray: 2.0, bag: 1.0}, lower=5.0)
        >>> programme.solved({tray: 1.0, bag: 0.8}).values.tolist()
        [2.0, 1.0]
        """
        from scipy import optimize, sparse  # here, as it takes long to load and few ever ask

        vector = np.zeros(len(self._lower))
        for column, cost in costs.items():
            vector[column] = cost
        entries = [(at, column, weight) for at, row in enumerate(self._rows) for column, weight in row[0].items()]
        rows, columns, weights = zip(*entries, strict=True) if entries else ((), (), ())
        matrix = sparse.csr_array((weights, (rows, columns)), shape=(len(self._rows), len(vector)))
        with warnings.catch_warnings(action="ignore", category=RuntimeWarning):  # scipy does not know the tolerance
            found = optimize.milp(
                vector,
                integrality=np.zeros(len(vector)) if is_relaxed else np.array(self._whole, dtype=float),
                bounds=optimize.Bounds(np.array(self._lower), np.array(self._upper)),
                constraints=optimize.LinearConstraint(matrix, [r[1] for r in self._rows], [r[2] for r in self._rows]),
                options={
                    "presolve": False,
                    "mip_rel_gap": gap,
                    "node_limit": self._nodes(),
                    "time_limit": MOST_SECONDS,
                    "mip_feasibility_tolerance": TOLERANCE,
                },
            )
        if found.x is None:
            raise UnsolvedError(found.message)
        values = np.where(self._whole, np.round(found.x), found.x) if not is_relaxed else found.x
        bound = found.fun if is_relaxed or found.mip_dual_bound is None else found.mip_dual_bound
        return Solution(values=np.asarray(values, dtype=np.float64), cost=float(found.fun), bound=float(bound))

    def _nodes(self) -> int:
        return max(FEWEST_NODES, int(NODES / max(sum(self._whole), 10) ** 2))
