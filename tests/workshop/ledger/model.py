"""The books as a pencil would keep them: lots with counts by account, and the acts that made them so.

Written from the trade's rules alone; it knows nothing of the program, so that it can contradict it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

CUSTODIES = ("bench", "store", "outside", "fitted", "scrapped", "missing")
SOURCES = ("found", "bought", "received_over")


class RefusedError(Exception):
    """What a storekeeper would say no to."""


@dataclass
class Lot:
    """One lot: how many pieces each account holds, and what is said of it."""

    held: dict[str, int] = field(default_factory=dict)
    came: dict[str, int] = field(default_factory=dict)
    look: str = "unknown"
    condition: str = ""
    withdrawn: bool = False
    parent: int | None = None

    def in_custody(self, custody: str) -> int:
        return self.held.get(custody, 0)


@dataclass(frozen=True)
class Step:
    """Pieces that went from one account to another."""

    from_lot: int
    from_account: str
    to_lot: int
    to_account: str
    count: int


@dataclass
class Act:
    """What one act did, so that it can be taken back."""

    token: str
    made: set[int] = field(default_factory=set)
    steps: list[Step] = field(default_factory=list)
    said: dict[tuple[int, str], tuple[object, object]] = field(default_factory=dict)
    names: set[int] = field(default_factory=set)
    reversal: bool = False
    taken_back: bool = False

    @property
    def moved(self) -> set[int]:
        return {step.from_lot for step in self.steps} | {step.to_lot for step in self.steps}

    @property
    def came_to(self) -> set[int]:
        """The lots that have the pieces now, and would have to give them back."""
        return {step.to_lot for step in self.steps}

    @property
    def touches(self) -> set[int]:
        return self.made | self.moved | self.names | {number for number, _name in self.said}


class Books:
    """All lots of one job, and every act in the order it was kept."""

    def __init__(self) -> None:
        self.lots: dict[int, Lot] = {}
        self.acts: list[Act] = []
        self._highest = 0

    def living(self) -> list[int]:
        return [number for number, lot in self.lots.items() if not lot.withdrawn]

    def keep(self, token: str, counts: list[int], source: str = "found") -> list[int]:
        self._need_new(token)
        for count in counts:
            self._need_count(count)
        act = Act(token)
        numbers = []
        for count in counts:
            number = self._new_lot(act, Lot())
            self._move(act, Step(number, source, number, "bench", count))
            numbers.append(number)
        self.acts.append(act)
        return numbers

    def split(self, token: str, number: int, count: int, custody: str | None = None) -> int:
        self._need_new(token)
        self._need_count(count)
        old = self._living(number)
        where = custody or next((c for c in CUSTODIES if old.in_custody(c) >= count), None)
        if where is None or old.in_custody(where) < count:
            raise RefusedError("not that many there")
        act = Act(token, names={number})
        new = self._new_lot(act, Lot(look=old.look, condition=old.condition, parent=number))
        self._move(act, Step(number, where, new, where, count))
        self.acts.append(act)
        return new

    def move(self, token: str, number: int, count: int, from_custody: str, to_custody: str) -> None:
        self._need_new(token)
        self._need_count(count)
        if self._living(number).in_custody(from_custody) < count or from_custody == to_custody:
            raise RefusedError("not that many there")
        act = Act(token)
        self._move(act, Step(number, from_custody, number, to_custody, count))
        self.acts.append(act)

    def recount(self, token: str, number: int, counted: int, custody: str, *, missing: bool) -> int:
        self._need_new(token)
        if not 0 <= counted <= 100_000:
            raise RefusedError("no count of pieces")
        lot = self._living(number)
        act = Act(token)
        more = counted - lot.in_custody(custody)
        if more < 0:
            if missing and custody != "missing":
                self._move(act, Step(number, custody, number, "missing", -more))
            else:
                self._strike_out(act, number, custody, -more)
        elif more > 0:
            back = min(more, lot.in_custody("missing")) if custody != "missing" else 0
            if back:
                self._move(act, Step(number, "missing", number, custody, back))
            if more - back:
                self._move(act, Step(number, "found", number, custody, more - back))
        self.acts.append(act)
        return more

    def _strike_out(self, act: Act, number: int, custody: str, count: int) -> None:
        """Pieces never there go back to where they came in, up the line of lots they were split off."""
        line: int | None = number
        steps: list[Step] = []
        while line is not None and count:
            for source in sorted(SOURCES):
                part = min(count, self.lots[line].came.get(source, 0))
                if part:
                    steps.append(Step(number, custody, line, source, part))
                    count -= part
            line = self.lots[line].parent
        if count:
            raise RefusedError("more would go back than came in")
        for step in steps:
            self._move(act, step)

    def join(self, token: str, into: int, other: int) -> None:
        self._need_new(token)
        gone = self._living(other)
        self._living(into)
        if into == other:
            raise RefusedError("one lot only")
        stays = self.lots[into]
        if "unknown" not in (stays.look, gone.look) and stays.look != gone.look:
            raise RefusedError("they look otherwise")
        act = Act(token)
        if stays.look != gone.look:
            self._say(act, into, "look", "unknown")
        if gone.condition not in ("", stays.condition):
            said = f"{stays.condition}; {gone.condition}" if stays.condition else gone.condition
            self._say(act, into, "condition", said)
        for custody in CUSTODIES:
            if gone.in_custody(custody):
                self._move(act, Step(other, custody, into, custody, gone.in_custody(custody)))
        self._say(act, other, "withdrawn", True)
        self.acts.append(act)

    def change(self, token: str, number: int, **values: object) -> None:
        self._need_new(token)
        lot = self._living(number)
        if all(getattr(lot, name) == value for name, value in values.items()):
            raise RefusedError("that stands there already")
        act = Act(token)
        for name, value in values.items():
            self._say(act, number, name, value)
        self.acts.append(act)

    def dependents(self, at: int) -> list[int]:
        """Return which later standing acts lean on the act."""
        act = self.acts[at]
        return [
            later
            for later in range(at + 1, len(self.acts))
            if not (self.acts[later].taken_back or self.acts[later].reversal)
            and (
                act.made & self.acts[later].touches
                or act.came_to & self.acts[later].moved
                or set(act.said) & set(self.acts[later].said)
                or {(number, "withdrawn") for number in act.moved} & set(self.acts[later].said)
            )
        ]

    def take_back(self, token: str, at: int) -> None:
        self._need_new(token)
        act = self.acts[at]
        if act.reversal or act.taken_back or self.dependents(at):
            raise RefusedError("it cannot be taken back")
        back = Act(token, reversal=True)
        for step in reversed(act.steps):
            self._move(back, Step(step.to_lot, step.to_account, step.from_lot, step.from_account, step.count))
        for (number, name), (before, _after) in act.said.items():
            self._say(back, number, name, before)
        for number in act.made:
            self._say(back, number, "withdrawn", True)
        act.taken_back = True
        self.acts.append(back)

    def balance(self) -> tuple[int, int]:
        """Return what came in, and what is held."""
        return (
            sum(sum(lot.came.values()) for lot in self.lots.values()),
            sum(sum(lot.held.values()) for lot in self.lots.values()),
        )

    def counts(self) -> dict[int, dict[str, int]]:
        """Return by lot every account that is not empty."""
        return {
            number: {name: count for name, count in (lot.held | lot.came).items() if count}
            for number, lot in self.lots.items()
        }

    def _living(self, number: int) -> Lot:
        if self.lots[number].withdrawn:
            raise RefusedError("that lot is no more")
        return self.lots[number]

    def _need_new(self, token: str) -> None:
        if any(act.token == token for act in self.acts):
            raise RefusedError("that was done")

    @staticmethod
    def _need_count(count: int) -> None:
        if not 1 <= count <= 100_000:
            raise RefusedError("no count of pieces")

    def _new_lot(self, act: Act, lot: Lot) -> int:
        self._highest += 1
        self.lots[self._highest] = lot
        act.made.add(self._highest)
        return self._highest

    def _move(self, act: Act, step: Step) -> None:
        source, target = self.lots[step.from_lot], self.lots[step.to_lot]
        if step.from_account in SOURCES:
            source.came[step.from_account] = source.came.get(step.from_account, 0) + step.count
        else:
            source.held[step.from_account] = source.held.get(step.from_account, 0) - step.count
        if step.to_account in SOURCES:
            target.came[step.to_account] = target.came.get(step.to_account, 0) - step.count
        else:
            target.held[step.to_account] = target.held.get(step.to_account, 0) + step.count
        act.steps.append(step)

    def _say(self, act: Act, number: int, name: str, value: object) -> None:
        before = getattr(self.lots[number], name)
        if before != value:
            act.said[number, name] = (before, value)
            setattr(self.lots[number], name, value)
