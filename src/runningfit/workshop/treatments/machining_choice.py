"""Which step a set is machined to: readings, what each step would make of them, what it costs in the end."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from hashlib import sha256

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.sheets.features import FeatureKind
from runningfit.core.treatments.machining.barriers import Barriers, Case, Wall
from runningfit.core.treatments.machining.choosing import Choice, choose_step
from runningfit.core.treatments.machining.clean_up import CannotTell, CleanUp, clean_up
from runningfit.core.treatments.machining.cutting import Axis, Cutting, usual_centring
from runningfit.core.treatments.machining.prices import Prices, StepPrice
from runningfit.core.treatments.machining.readings import Offset, Pit, Readings
from runningfit.core.treatments.machining.told_sides import read_one_sided
from runningfit.core.verdicts import Caution, Reason
from runningfit.workshop.measurements.corrected import CorrectedSet, corrected
from runningfit.workshop.measurements.gauge_states import Cupboard
from runningfit.workshop.measurements.judged_kinds import readings_of as read_as
from runningfit.workshop.measurements.models import Feature, FeatureSet
from runningfit.workshop.measurements.queries import SetState, set_state
from runningfit.workshop.treatments.machining_orders import Came, JudgedOperation, judge_operation
from runningfit.workshop.treatments.models import MachiningDecision, MachiningOperation, MachiningPlan

MACHINED = (FeatureKind.BORE, FeatureKind.SHAFT)
# The step of a feature that is not machined.
LEFT_MM = 0.0
# What of a plan the computation rests on, beside its prices.
_COMPUTED = (
    "steps",
    "hone_mm",
    "axis",
    "most_step_mm",
    "own_step_each",
    "parts_before",
    "wall_mm",
    "wall_u_mm",
    "wall_left_mm",
    "hard_layer_mm",
    "hard_layer_u_mm",
    "hard_left_mm",
    "offsets",
    "one_sided",
    "centring_mm",
)


@dataclass(frozen=True, slots=True)
class MachiningChoice:
    """All that a decision on a set rests on.

    Parameters
    ----------
    corrected : CorrectedSet
        The set as it was found: by its wear the steps are chosen, whatever was machined since.
    plan : MachiningPlan or None
        What can be done and what it costs; none where nobody said.
    readings : tuple of BoreReadings or of JournalReadings
        As the core takes them; features that are not read are left out.
    found : CleanUp or CannotTell
        How probably each step cleans up.
    choice : Choice or CannotTell
        The step to start at, by money.
    decision : MachiningDecision or None
        The last one.
    ordered : tuple of MachiningOperation
        What is ordered and not back yet.
    came : tuple of JudgedOperation
        What came back last, judged.
    finished : frozenset of str
        The keys of the features that came back within their limits: nothing more is cut of them.
    """

    corrected: CorrectedSet
    plan: MachiningPlan | None
    readings: tuple[Readings, ...]
    found: CleanUp | CannotTell
    choice: Choice | CannotTell
    decision: MachiningDecision | None
    ordered: tuple[MachiningOperation, ...]
    came: tuple[JudgedOperation, ...]
    finished: frozenset[str] = frozenset()

    @property
    def round(self) -> int:
        """How often it was machined so far."""
        return max((one.operation.round for one in self.came), default=0)

    @property
    def state(self) -> SetState:
        """The set with its readings."""
        return self.corrected.state

    @property
    def feature_set(self) -> FeatureSet:
        """The set itself."""
        return self.state.feature_set

    @property
    def features(self) -> tuple[Feature, ...]:
        """The features that were read."""
        names = {one.name for one in self.readings}
        return tuple(one.feature for one in self.state.features if one.feature.name in names)

    @property
    def unread(self) -> tuple[str, ...]:
        """The names of those that were not read at all."""
        names = {one.name for one in self.readings}
        return tuple(one.feature.name for one in self.state.features if one.feature.name not in names)

    @property
    def recommended(self) -> dict[str, float]:
        """The step that is computed for each feature, by its key [mm]; empty where none can be told."""
        by_name: dict[str, float] = {}
        if isinstance(self.choice, Choice):
            by_name = {name: one.step_mm for one in self.choice.best for name in one.names}
        elif isinstance(self.found, CleanUp) and not isinstance(self.found.chosen, CannotTell):
            by_name = dict.fromkeys(self.found.needed.names, self.found.chosen)
        return {str(one.pk): by_name[one.name] for one in self.features if one.name in by_name}

    @property
    def marks(self) -> dict[str, str]:
        """By what the readings and the plan are known again."""
        return {"readings": _mark(self._read()), "plan": _mark(self._planned())}

    @property
    def since(self) -> tuple[str, ...]:
        """What changed since the decision was made: ``readings``, ``plan``; empty where nothing did."""
        if self.decision is None:
            return ()
        return tuple(name for name, mark in self.marks.items() if self.decision.made_on.get(name) != mark)

    def step_words(self, step_mm: float) -> str:
        """Say a step as it was typed."""
        return step_words(self.plan, step_mm)

    def _read(self) -> list[object]:
        return [
            self.feature_set.nominal,
            *(
                (
                    one.name,
                    [(at.depth_mm, at.angle_deg, round(at.diameter_mm, 5)) for at in one.points],
                    round(one.u_reading_mm, 6),
                    round(one.u_shared_mm, 6),
                    [(pit.depth_mm, pit.u_mm) for pit in one.pits],
                )
                for one in self.readings
            ),
        ]

    def _planned(self) -> list[object]:
        plan = self.plan
        if plan is None:
            return []
        prices = (plan.price_each, plan.price_visit, plan.price_reading, plan.price_last_resort)
        return [
            *(getattr(plan, name) for name in _COMPUTED),
            *(None if one is None else f"{one:.2f}" for one in prices),
        ]


def machining_choice(feature_set: FeatureSet) -> MachiningChoice:
    """Return what each step would make of a set, what it costs, what was decided, and what came back."""
    plan = plan_of(feature_set)
    operations = standing_operations(feature_set)
    rounds = sorted({row.round for row in operations})
    states = [set_state(feature_set, round) for round in (0, *rounds)]
    found_set, *after = corrected(states, Cupboard.of_the_shop())
    judged_then = [
        judge_operation(row, one) for one in after for row in operations if row.round == one.state.round
    ]
    back = [one for one in judged_then if _is_back(one.operation, one)]
    latest = max((one.operation.round for one in back), default=0)
    came = tuple(one for one in judged_then if one.operation.round == latest)
    last = {str(one.operation.feature_id): one.came for one in back}
    finished = frozenset(key for key, came_as in last.items() if came_as is Came.WITHIN)
    ordered = tuple(row for row in operations if row.round > latest)
    readings = readings_of(found_set, plan)
    found, choice = _computed(feature_set, plan, readings, came)
    decision = (
        MachiningDecision.objects.filter(feature_set=feature_set, withdrawn=False).order_by("-pk").first()
    )
    return MachiningChoice(found_set, plan, readings, found, choice, decision, ordered, came, finished)


def plan_of(feature_set: FeatureSet) -> MachiningPlan | None:
    """Return what is said of the machining of a set; none where nobody said anything."""
    return MachiningPlan.objects.filter(feature_set=feature_set, withdrawn=False).first()


def standing_operations(feature_set: FeatureSet) -> list[MachiningOperation]:
    """Return what was ordered for a set, the oldest first."""
    rows = MachiningOperation.objects.filter(feature__feature_set=feature_set, withdrawn=False)
    return list(rows.select_related("feature", "consignment__shop").order_by("round", "feature__position"))


def readings_of(one: CorrectedSet, plan: MachiningPlan | None = None) -> tuple[Readings, ...]:
    """Return corrected readings of bores or journals as the core takes them, with pits and offsets.

    What the gauges share is the same for all of a set: the most that any of its points shares with others.
    """
    kind = FeatureKind(one.feature_set.kind)
    shared = max((at.shared_u for each in one.features for at in each.points.values()), default=0.0)
    found = []
    for each in one.features:
        points = [point for point in one.state.points if point.key in each.points]
        if points:
            as_read = read_as(kind, points, each)
            offset = plan.offsets.get(each.feature.name) if plan else None
            found.append(
                replace(
                    as_read,
                    u_shared_mm=shared,
                    pits=_pits(each.feature),
                    offset=Offset(*offset) if offset else None,
                )
            )
    return tuple(found)


def step_words(plan: MachiningPlan | None, step_mm: float) -> str:
    """Say a step as it was typed in the plan; else in mm; no step is that it is left."""
    if step_mm == LEFT_MM:
        return "left as it is"
    if plan is not None:
        written = plan.typed.get("steps", "").split(", ")
        for step, said in zip(plan.steps, written, strict=False):
            if step["step_mm"] is not None and abs(step["step_mm"] - step_mm) < 1e-6:
                return said
    return f"{step_mm:g} mm"


def _pits(feature: Feature) -> tuple[Pit, ...]:
    if not feature.pit_mm:
        return ()
    # By feel a depth is known to a third of itself (common practice, no source).
    return (Pit(feature.pit_mm, feature.pit_mm / 3 if feature.pit_u_mm is None else feature.pit_u_mm),)


def _is_back(row: MachiningOperation, came: JudgedOperation) -> bool:
    return row.done_on is not None or came.probability is not None


def _computed(
    feature_set: FeatureSet,
    plan: MachiningPlan | None,
    readings: tuple[Readings, ...],
    came: tuple[JudgedOperation, ...],
) -> tuple[CleanUp | CannotTell, Choice | CannotTell]:
    missing = _missing(feature_set, plan, readings, came)
    if missing is not None:
        return missing, missing
    assert plan is not None
    assert feature_set.nominal is not None
    try:
        steps = tuple(float(one["step_mm"] or 0.0) for one in plan.steps if _is_left(one, came))
        cutting = Cutting(
            feature_set.nominal,
            steps,
            plan.hone_mm or 0.0,
            Axis(plan.axis),
            one_sided=read_one_sided(plan.one_sided),
            centring_mm=usual_centring(plan.centring_mm or 0.0),
        )
        bores = FeatureKind(feature_set.kind) is FeatureKind.BORE
        found = _cleaned_up(readings, cutting, _barriers(plan, readings, bores=bores))
    except InvalidInput as error:
        told = _cannot_tell(str(error), "Mend what is said of the machining, or the readings.")
        return told, told
    prices = _prices(plan, came)
    return found, prices if isinstance(prices, CannotTell) else choose_step(found, prices)


@lru_cache(maxsize=16)
def _cleaned_up(readings: tuple[Readings, ...], cutting: Cutting, barriers: Barriers) -> CleanUp:
    """A price, an order or a look at the page changes nothing of what a step cleans up."""
    return clean_up(readings, cutting, barriers=barriers)


def _is_left(step: Mapping[str, float | None], came: tuple[JudgedOperation, ...]) -> bool:
    """Whether a step is larger than what was cut already: metal cannot be put back."""
    return (step["step_mm"] or 0.0) > max((one.operation.step_mm for one in came), default=0.0) + 1e-6


def _cannot_tell(why: str, remedy: str) -> CannotTell:
    return CannotTell(Reason(why), remedy)


def _missing(
    feature_set: FeatureSet,
    plan: MachiningPlan | None,
    readings: tuple[Readings, ...],
    came: tuple[JudgedOperation, ...],
) -> CannotTell | None:
    if FeatureKind(feature_set.kind) not in MACHINED:
        return _cannot_tell(
            f"{feature_set.name} are no bores or journals.", "Their machining is not computed."
        )
    if not readings:
        return _cannot_tell("Nothing of it is read yet.", "Read it first.")
    if feature_set.nominal is None:
        return _cannot_tell("Nobody said its nominal size.", "Say it where the set is changed.")
    if plan is None or not plan.steps:
        return _cannot_tell("Nobody said which steps can be had.", "Say them, with what they cost.")
    if came and all(one.came is Came.WITHIN for one in came):
        return _cannot_tell("It came back within its limits.", "Nothing more is to be cut.")
    if not any(_is_left(one, came) for one in plan.steps):
        return _cannot_tell(
            "The largest step is cut already.", f"What is left: {plan.last_resort or 'a liner'}."
        )
    return None


def _barriers(plan: MachiningPlan, readings: tuple[Readings, ...], *, bores: bool) -> Barriers:
    walls: tuple[Wall, ...] = ()
    case = None
    if bores and plan.wall_mm is not None:
        # The thinnest wall that was found is taken for each bore.
        walls = tuple(
            Wall(one.name, plan.wall_mm, plan.wall_u_mm or 0.0, plan.wall_left_mm or 0.0, plan.source)
            for one in readings
        )
    if not bores and plan.hard_layer_mm is not None:
        case = Case(
            plan.hard_layer_mm, plan.hard_layer_u_mm or 0.0, plan.hard_left_mm or 0.0, source=plan.source
        )
    return Barriers(plan.most_step_mm, walls, case, plan.source)


def _prices(plan: MachiningPlan, came: tuple[JudgedOperation, ...]) -> Prices | CannotTell:
    """Return the prices of a plan's steps that are left, or which are missing."""
    left = [one for one in plan.steps if _is_left(one, came)]
    missing = [step_words(plan, one["step_mm"] or 0.0) for one in left if one["parts"] is None]
    said = [f"the parts for {', '.join(missing)}"] if missing else []
    said += ["the cutting of one"] if plan.price_each is None else []
    said += ["what is done where no step is enough"] if plan.price_last_resort is None else []
    if said:
        return _cannot_tell(
            f"Nobody said the price of {'; of '.join(said)}.",
            "With it the step that costs least in the end can be told.",
        )
    steps = tuple(
        StepPrice(
            float(one["step_mm"] or 0.0),
            float(one["parts"] or 0.0),
            float(plan.price_each or 0),
            1.0 if plan.parts_before else 0.0,
        )
        for one in left
    )
    return Prices(
        steps,
        float(plan.price_last_resort or 0),
        float(plan.price_visit or 0),
        not plan.own_step_each,
        None if plan.price_reading is None else float(plan.price_reading),
    )


def _mark(of: object) -> str:
    return sha256(repr(of).encode()).hexdigest()[:16]


def all_cautions(choice: MachiningChoice) -> tuple[Caution, ...]:
    """Return what to mind of the readings and of the machining, each sentence once."""
    verdict = choice.choice.verdict if isinstance(choice.choice, Choice) else None
    if verdict is None and isinstance(choice.found, CleanUp):
        verdict = choice.found.verdict
    return tuple(dict.fromkeys([*choice.corrected.cautions, *(verdict.cautions if verdict else ())]))
