"""Tables of published standards, looked up by name; withdrawn editions stay."""

from runningfit.core.standards.across_flats import AcrossFlats, across_flats
from runningfit.core.standards.threads import Thread, ThreadForm, ThreadSeries, all_threads, thread

__all__ = [
    "AcrossFlats",
    "Thread",
    "ThreadForm",
    "ThreadSeries",
    "across_flats",
    "all_threads",
    "thread",
]
