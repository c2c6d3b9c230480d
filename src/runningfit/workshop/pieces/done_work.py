"""The chain of works that were done to pieces, kept as one text: no later work hides an earlier bath."""

from __future__ import annotations

from dataclasses import dataclass, replace

# What brings other pieces: nothing of the chain from before is theirs.
NEW_PIECES = frozenset({"replace", "swap_donor"})
BAKED = {
    "": "nobody said",
    "yes": "yes, they say so",
    "certificate": "yes, with a certificate",
    "no": "no",
}
_PARTS, _WORKS = "|", "; "


@dataclass(frozen=True, slots=True)
class DoneWork:
    """One work that was done.

    Parameters
    ----------
    treatment : str
        Key of the treatment.
    ordered : str
        Steps that were ordered beside it, such as bake.
    baked : str
        Whether the bake was done: one of `BAKED`, empty where nobody said.
    came : str
        The process that was confirmed; empty while nobody did.
    """

    treatment: str
    ordered: str = ""
    baked: str = ""
    came: str = ""


def works_of(chain: str) -> tuple[DoneWork, ...]:
    """Return the works of a chain as it is kept, in the order in which they were done."""
    return tuple(DoneWork(*one.split(_PARTS)) for one in chain.split(_WORKS) if one)


def chain_with(chain: str, done: DoneWork) -> str:
    """Return a chain with one more work at its end; other pieces begin a new one."""
    works = () if done.treatment in NEW_PIECES else (*works_of(chain), done)
    return _written(works)


def chain_said(chain: str, treatment: str, **values: str) -> str:
    """Return a chain of whose last work of a treatment something is known now: baked, or came."""
    works = list(works_of(chain))
    for at in range(len(works) - 1, -1, -1):
        if works[at].treatment == treatment:
            works[at] = replace(works[at], **values)
            break
    return _written(tuple(works))


def _written(works: tuple[DoneWork, ...]) -> str:
    parts = ((one.treatment, one.ordered.replace(";", ","), one.baked, one.came) for one in works)
    return _WORKS.join(_PARTS.join(part) for part in parts)
