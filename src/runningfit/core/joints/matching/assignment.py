"""Pairs of rows and columns at the least total, or with the least largest cost, and the next best pairs."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import inf, isfinite, sqrt
from typing import TYPE_CHECKING

from runningfit.core.errors import InvalidInput
from runningfit.core.joints.matching.sheets import SheetRow, number_in, read_sheet
from runningfit.core.measurements.normal import normal_below

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Costs = NDArray[np.float64]

_NAME = "The matrix"
_FORBIDDEN = frozenset({"", "x", "-", "–", "no", "inf"})


@dataclass(frozen=True, slots=True)
class CostTable:
    """What each pair costs: a misfit, a distance, money.

    Parameters
    ----------
    row_names, column_names : tuple of str
        What is paired with what.
    costs : tuple of tuple of float
        Row by row; an infinite one forbids the pair.

    Raises
    ------
    InvalidInput
        The rows are of different length, a name stands twice, or a cost is no number.
    """

    row_names: tuple[str, ...]
    column_names: tuple[str, ...]
    costs: tuple[tuple[float, ...], ...]

    def __post_init__(self) -> None:
        for names, what in ((self.row_names, "row"), (self.column_names, "column")):
            twice = sorted(name for name, times in Counter(names).items() if times > 1)
            if twice or not names:
                raise InvalidInput(
                    _NAME, needs=f"each {what} under its own name", came=", ".join(twice[:5]) or f"no {what}"
                )
        if len(self.costs) != len(self.row_names) or any(
            len(row) != len(self.column_names) for row in self.costs
        ):
            raise InvalidInput(_NAME, needs="a cost for each pair", came="rows of different length")
        if any(not isfinite(cost) and cost != inf for row in self.costs for cost in row):
            raise InvalidInput(_NAME, needs="numbers", came="one that is none")


@dataclass(frozen=True, slots=True)
class Pair:
    """A row with its column, and what the pair costs."""

    row: str
    column: str
    cost: float


@dataclass(frozen=True, slots=True)
class Matching:
    """The best pairs, and the next best.

    Parameters
    ----------
    pairs : tuple of Pair
        In the order of the rows; where there are more rows than columns, some have none.
    total, largest : float
        Sum of the costs, and the largest of them.
    second_pairs : tuple of Pair
        The next best pairs; none where no others are possible.
    second_total, second_largest : float or None
        Their total and their largest cost.
    changed : int
        How many pairs of the next best are not among the best.
    probability_best : float or None
        The probability that the best total is truly below the second, where the costs' uncertainty was told.
    """

    pairs: tuple[Pair, ...]
    total: float
    largest: float
    second_pairs: tuple[Pair, ...]
    second_total: float | None
    second_largest: float | None
    changed: int
    probability_best: float | None


def read_cost_table(data: bytes) -> CostTable:
    """Read a matrix of costs from a CSV file.

    Parameters
    ----------
    data : bytes
        The file: names of the columns in the first row and of the rows in the first column; or numbers alone.
        A pair that must not be is left empty or marked x.

    Returns
    -------
    CostTable
        The costs.

    Raises
    ------
    InvalidInput
        A cell is no number, or a row is shorter or longer than the others.
    """
    rows = read_sheet(data, _NAME)
    # An empty corner, or a word, is a heading; numbers and marks alone are costs.
    bare = rows[0].cells[0] != "" and all(
        number_in(cell) is not None or cell.lower() in _FORBIDDEN for cell in rows[0].cells
    )
    if bare:
        names = tuple(str(number + 1) for number in range(len(rows[0].cells)))
        row_names = tuple(str(number + 1) for number in range(len(rows)))
        body, first = rows, 0
    else:
        names, body, first = rows[0].cells[1:], rows[1:], 1
        row_names = tuple(row.cells[0] for row in body)
    costs = []
    for row in body:
        if len(row.cells) != len(names) + first:
            raise InvalidInput(
                f"{_NAME}, line {row.line_number}",
                needs=f"{len(names)} costs, as many as there are columns",
                came=str(len(row.cells) - first),
            )
        costs.append(tuple(_cost(row, index) for index in range(first, len(row.cells))))
    return CostTable(row_names, names, tuple(costs))


def _cost(row: SheetRow, index: int) -> float:
    text = row.cells[index]
    if text.lower() in _FORBIDDEN:
        return inf
    number = number_in(text)
    if number is None:
        raise InvalidInput(
            f"{_NAME}, line {row.line_number}",
            needs="a number, or x for a pair that must not be",
            came=text,
        )
    return number


def best_pairs(priced: CostTable, *, bottleneck: bool = False, u_cost: float | None = None) -> Matching:
    """Pair rows with columns, each at most once, as many as there can be, at the least total.

    Parameters
    ----------
    priced : CostTable
        What each pair costs.
    bottleneck : bool
        Whether the largest cost is made as small as can be first, and only then the total.
    u_cost : float or None
        Standard uncertainty of each cost, independent of the others, where told.

    Returns
    -------
    Matching
        Proven best, with the next best by the same aim: the total, or the largest cost and then the total.

    Raises
    ------
    InvalidInput
        The forbidden pairs leave a row or a column without any partner, or an uncertainty was told under
        `bottleneck`, where it says nothing of the total.

    Notes
    -----
    The assignment problem by shortest augmenting paths (scipy, after D. F. Crouse 2016). The next best
    differs from the best by the cheapest exchange of columns, the shortest cycle among the rows (K. G. Murty
    1968 as one step). The bottleneck by bisection over the costs, with a largest matching for each (Hopcroft
    and Karp).
    """
    import numpy
    from scipy.optimize import linear_sum_assignment

    costs = numpy.array(priced.costs, dtype=float)
    turned = costs.shape[0] > costs.shape[1]
    square = costs.T.copy() if turned else costs
    if bottleneck and u_cost is not None:
        raise InvalidInput("uncertainty", needs="matching by the total", came="the largest cost as the aim")
    _refuse_what_cannot_be(square, priced, turned)
    allowed = numpy.where(square <= _least_largest(square), square, inf) if bottleneck else square
    columns = linear_sum_assignment(allowed)[1]
    second = _second(allowed, columns)
    if second is None and bottleneck:
        second = _second_bottleneck(square, columns)
    pairs = _pairs(columns, priced, turned)
    total = sum(pair.cost for pair in pairs)
    second_pairs = () if second is None else _pairs(second, priced, turned)
    second_total = sum(pair.cost for pair in second_pairs) if second_pairs else None
    changed = len(set(second_pairs) - set(pairs))
    return Matching(
        pairs=pairs,
        total=total,
        largest=max(pair.cost for pair in pairs),
        second_pairs=second_pairs,
        second_total=second_total,
        second_largest=max(pair.cost for pair in second_pairs) if second_pairs else None,
        changed=changed,
        probability_best=_probability(total, second_total, changed, u_cost),
    )


def _probability(total: float, second: float | None, changed: int, u_cost: float | None) -> float | None:
    if u_cost is None or second is None:
        return None
    if not u_cost > 0:
        raise InvalidInput("uncertainty", needs="more than nothing", came=u_cost)
    # The pairs in common cancel; each exchanged one counts on both sides.
    return normal_below((second - total) / (u_cost * sqrt(2 * changed)))


def _pairs(columns: NDArray[np.intp], table: CostTable, turned: bool) -> tuple[Pair, ...]:
    cells = [(int(column), row) if turned else (row, int(column)) for row, column in enumerate(columns)]
    return tuple(
        Pair(table.row_names[row], table.column_names[column], table.costs[row][column])
        for row, column in sorted(cells)
    )


def _second(costs: Costs, columns: NDArray[np.intp]) -> NDArray[np.intp] | None:
    """The next best columns: the cheapest exchange forced, and the rest solved again."""
    import numpy
    from scipy.optimize import linear_sum_assignment

    count, width = costs.shape
    here = numpy.arange(count)
    own = costs[here, columns]
    free = numpy.setdiff1d(numpy.arange(width), columns)
    nodes = count + (1 if free.size else 0)
    # From row i to row k: i gives up its own column and takes that of k. The last node is the free columns.
    step = numpy.full((nodes, nodes), inf)
    step[:count, :count] = costs[:, columns] - own[:, None]
    step[here, here] = inf
    if free.size:
        step[:count, count] = costs[:, free].min(axis=1) - own
        step[count, :count] = 0.0
    distance = step.copy()
    for node in range(nodes):
        numpy.minimum(distance, distance[:, node, None] + distance[None, node, :], out=distance)
    around = distance.diagonal()[:count]
    start = int(around.argmin())
    if not isfinite(float(around[start])):
        return None
    hop = int((step[start] + distance[:, start]).argmin())
    column = columns[hop] if hop < count else free[costs[start, free].argmin()]
    forced = costs.copy()
    forced[start, :] = inf
    forced[:, column] = inf
    forced[start, column] = costs[start, column]
    found: NDArray[np.intp] = linear_sum_assignment(forced)[1]
    return found


def _second_bottleneck(costs: Costs, columns: NDArray[np.intp]) -> NDArray[np.intp] | None:
    """The next best where the costs up to the largest of the best leave no other: the least that does."""
    import numpy
    from scipy.optimize import linear_sum_assignment

    values = numpy.unique(costs[numpy.isfinite(costs)])
    low, high = int(numpy.searchsorted(values, costs[numpy.arange(len(columns)), columns].max())), len(values)
    while low < high:
        middle = (low + high) // 2
        if _has_another(costs <= values[middle], columns):
            high = middle
        else:
            low = middle + 1
    if low == len(values):
        return None
    allowed = numpy.where(costs <= values[low], costs, inf)
    cheapest: NDArray[np.intp] = linear_sum_assignment(allowed)[1]
    # The best by the largest cost may be the best by the total among these too.
    return _second(allowed, columns) if (cheapest == columns).all() else cheapest


def _has_another(allowed: NDArray[np.bool_], columns: NDArray[np.intp]) -> bool:
    """Whether these pairs allow another matching: some rows can exchange their columns in a ring."""
    import numpy
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import connected_components

    count, width = allowed.shape
    free = numpy.setdiff1d(numpy.arange(width), columns)
    step = numpy.zeros((count + 1, count + 1), dtype=bool)
    step[:count, :count] = allowed[:, columns]
    step[:count, count] = allowed[:, free].any(axis=1)
    step[count, :count] = True
    rings, _ = connected_components(csr_array(step), connection="strong")
    return bool(rings < count + 1)


def _least_largest(costs: Costs) -> float:
    """The smallest cost such that the pairs up to it leave nobody out."""
    import numpy
    from scipy.optimize import linear_sum_assignment

    values = numpy.unique(costs[numpy.isfinite(costs)])
    # Nobody can be paired below the dearest of the rows' cheapest pairs, and the best total is a first guess.
    rows, columns = linear_sum_assignment(costs)
    low = int(numpy.searchsorted(values, costs.min(axis=1).max()))
    high = int(numpy.searchsorted(values, costs[rows, columns].max()))
    while low < high:
        middle = (low + high) // 2
        if (_partners(costs <= values[middle]) >= 0).all():
            high = middle
        else:
            low = middle + 1
    return float(values[low])


def _partners(allowed: NDArray[np.bool_]) -> NDArray[np.int32]:
    """A largest matching: the column of each row, -1 for none."""
    import numpy
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import maximum_bipartite_matching

    return numpy.asarray(maximum_bipartite_matching(csr_array(allowed), perm_type="column"))


def _refuse_what_cannot_be(costs: Costs, table: CostTable, turned: bool) -> None:
    """Name those who have too few partners among them (Hall's theorem)."""
    import numpy

    allowed = numpy.isfinite(costs)
    if allowed.all():
        return
    partner = _partners(allowed)
    alone = numpy.flatnonzero(partner < 0)
    if not alone.size:
        return
    holder = {int(column): row for row, column in enumerate(partner) if column >= 0}
    crowd, reach = {int(alone[0])}, set[int]()
    waiting = list(crowd)
    while waiting:
        for column in map(int, numpy.flatnonzero(allowed[waiting.pop()])):
            if column not in reach:
                reach.add(column)
                crowd.add(holder[column])
                waiting.append(holder[column])
    rows, columns = table.row_names, table.column_names
    if turned:
        rows, columns = columns, rows
    raise InvalidInput(
        _NAME,
        needs="a partner for everybody",
        came=f"{len(crowd)} ({', '.join(rows[one] for one in sorted(crowd))}) that only "
        f"{', '.join(columns[one] for one in sorted(reach)) or 'nobody'} may go with",
        remedy="Allow another pair, or take one out.",
    )
