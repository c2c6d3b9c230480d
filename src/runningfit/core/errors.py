"""Every error this project raises on purpose.

RunningFitError
├── InvalidInput        a value cannot be used: which one, what it needs, what came, what to do
├── NotFound            what was asked for is not in this data folder
├── Conflict            somebody else changed it meanwhile, or something depends on it
│   ├── LedgerRefused   the pieces are not where the movement would take them from
│   ├── AlreadyDone     this very form was kept before; nothing was done twice
│   └── NothingChanged  what was sent is what stands there already; nothing was written
└── DataFolderError     the data folder, an export or a backup cannot be used
"""

from __future__ import annotations


class RunningFitError(Exception):
    """The root of every error raised on purpose."""


class InvalidInput(RunningFitError, ValueError):
    """A value cannot be used.

    Parameters
    ----------
    argument : str
        Which value, by the name its user knows it.
    needs : str
        What it needs.
    came : object
        What came instead.
    remedy : str
        What to do now; may be empty.
    """

    def __init__(self, argument: str, *, needs: str, came: object, remedy: str = "") -> None:
        self.argument = argument
        self.needs = needs
        self.came = came
        self.remedy = remedy
        shown = (f"'{came}'" if came.strip() else "nothing") if isinstance(came, str) else str(came)
        super().__init__(f"{argument} needs {needs}; {shown} came." + (f" {remedy}" if remedy else ""))


class NotFound(RunningFitError, LookupError):
    """What was asked for is not in this data folder."""


class Conflict(RunningFitError):
    """Somebody else changed it meanwhile, or something depends on it; the message names what."""


class LedgerRefused(Conflict):
    """The pieces are not where the movement would take them from."""


class AlreadyDone(Conflict):
    """This very form was kept before; nothing was done twice.

    Parameters
    ----------
    record_id : int
        The history entry that the first sending of the form left.
    """

    def __init__(self, record_id: int) -> None:
        self.record_id = record_id
        super().__init__("This form was already kept; nothing was done twice.")


class NothingChanged(Conflict):
    """What was sent is what stands there already; nothing was written."""

    def __init__(self) -> None:
        super().__init__("Nothing was changed: what you sent is what stands there already.")


class DataFolderError(RunningFitError):
    """The data folder, an export or a backup cannot be used; the message says why and what to do."""
