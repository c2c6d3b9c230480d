"""What handbooks and standards print of the scatter of preload by method, to stand beside ours."""

from __future__ import annotations

from functools import cache

from runningfit.core.errors import InvalidInput
from runningfit.core.standards.tables import rows
from runningfit.core.verdicts import Reason

_TABLE = "preload_scatter_collected_2026"
TORQUE_WRENCH = "torque wrench"


def tightening_methods() -> tuple[str, ...]:
    """The methods of tightening of which a scatter is printed.

    Returns
    -------
    tuple of str
        In the order of the table.
    """
    return tuple(dict.fromkeys(row["method"] for row in rows(_TABLE)))


@cache
def published_scatter(method: str) -> Reason:
    """Say how far preload scatters by a method, as others print it.

    Parameters
    ----------
    method : str
        One of `tightening_methods`; `torque wrench` takes its finer divisions along.

    Returns
    -------
    Reason
        From the least to the largest half-width printed, with every source.

    Raises
    ------
    InvalidInput
        No such method is printed.
    """
    found = [
        row for row in rows(_TABLE) if row["method"] == method or row["method"].startswith(f"{method}, ")
    ]
    if not found:
        raise InvalidInput("method", needs=f"one of {', '.join(tightening_methods())}", came=method)
    low = min(float(row["low_percent"]) for row in found)
    high = max(float(row["high_percent"]) for row in found)
    sources = "; ".join(dict.fromkeys(f"{row['source']} ({row['status']})" for row in found))
    of_what = "The torque itself" if found[0]["of"] != "preload" else "Preload"
    return Reason(f"{of_what} by {method} is printed to scatter by ±{low:g} to ±{high:g} %.", sources)
