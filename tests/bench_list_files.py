"""Small bench lists for the tests, as bytes of files."""

from __future__ import annotations

HEAD = "Bag,Area,Count,Kind,Size,Length,Finish,Condition,Remarks"
ROWS = (
    "T1,gear case,9,hex bolt,5/16-24 UNF,1 3/8,clear,2 with pulled threads,",
    "T1,gear case,12,spring washer,5/16,,clear,ok,",
    "T2,oil tray,22,hex setscrew,1/4-28 UNF,5/8,black,ok,",
    "T2,oil tray,6,hex bolt,1/4-20,7/8,black,ok,",
    "T3,raw-water pump,4,hex bolt,3/8-16 UNC,1 1/2,yellow,ok,",
    "T3,raw-water pump,-4,hex bolt,5/16-18 UNC,1,yellow,ok,",
    "T4,cylinder head,5,hex bolt,5/17 UNF,1,yellow,ok,",
)


def as_file(*rows: str, head: str = HEAD) -> bytes:
    """The rows as a CSV file."""
    return "\n".join((head, *rows, "")).encode()


def edited(old: str, new: str, rows: tuple[str, ...] = ROWS) -> tuple[str, ...]:
    """The rows with one text replaced in the row that has it."""
    return tuple(row.replace(old, new) for row in rows)
