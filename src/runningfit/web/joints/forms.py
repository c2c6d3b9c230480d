"""Forms of the judge room: what is known of a lot, what is known of a place, what a person decides."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from django import forms

from runningfit.core.joints.conditions import known_lubricants
from runningfit.core.joints.grade_names import known_grades
from runningfit.core.joints.tapped_materials import known_materials
from runningfit.core.treatments.advice import Material
from runningfit.core.treatments.reuse import Role
from runningfit.web.joints.head_marks import OTHER, mark_choices
from runningfit.web.pieces.lot_forms import KnownWords
from runningfit.workshop.joints.models import CHOICES, MATES, TURNED
from runningfit.workshop.joints.reading import SaidOfLot, SaidOfPlace

_OFF = {"autocomplete": "off", "spellcheck": "false"}
ROLE_WORDS = [
    (Role.ORDINARY.value, "ordinary: nothing that must not fail hangs on it"),
    (Role.SAFETY_CRITICAL.value, "safety-critical: con-rod, main cap, flywheel, steering, brake"),
]
_CONDITIONS = [
    "unknown",
    "plain, oil",
    "zinc, dry",
    "zinc, oil",
    "cadmium, dry",
    "cadmium, oil",
    "black oxide, oil",
]

_FINISHES = [
    "plain",
    "zinc",
    "cadmium",
    "black oxide",
    "phosphate",
    "nickel",
    "hot-dip galvanised",
    "stainless",
]


def _text(label: str, hint: str = "", known: list[str] | None = None, longest: int = 60) -> forms.CharField:
    widget = KnownWords(known, f"words-{label.lower().replace(' ', '-')}") if known else forms.TextInput(_OFF)
    return forms.CharField(label=label, max_length=longest, required=False, help_text=hint, widget=widget)


def _one_of(label: str, choices: list[tuple[str, str]], hint: str = "") -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label, choices=choices, required=False, widget=forms.RadioSelect, help_text=hint, initial=""
    )


def _yes_no(label: str, none: str, yes: str, no: str) -> forms.ChoiceField:
    return _one_of(label, [("", none), ("yes", yes), ("no", no)])


_SAID = {"yes": True, "no": False, "": None}
_TYPED = {True: "yes", False: "no", None: ""}


@dataclass(frozen=True, slots=True)
class Section:
    """Some fields of a form under a heading, open or folded."""

    title: str
    names: tuple[str, ...]
    is_open: bool


class KnownOfLotForm(forms.Form):
    """What is known of the pieces of a lot; every field may stay empty."""

    head_marking = forms.ChoiceField(
        label="What stands on the head?", choices=mark_choices, required=False, widget=forms.RadioSelect
    )
    other_marking = forms.CharField(
        label="Another mark",
        max_length=60,
        required=False,
        help_text="As it stands there.",
        # Nothing to read; the style sheet can tell an empty entry by it, and shows it where it is asked for.
        widget=forms.TextInput(_OFF | {"placeholder": " "}),
    )
    grade = _text(
        "Strength grade", "If a list or a packet says it.", [str(grade) for grade in known_grades()], 40
    )
    hardness = _text("Hardness, if measured", "38 HRC, 390 HV, 320 HB.", longest=40)
    role = forms.ChoiceField(label="What hangs on it?", choices=ROLE_WORDS, widget=forms.RadioSelect)
    looks_sound = _yes_no("By eye, with a lens", "not looked", "no fault seen", "a fault is seen")
    crack_tested = _yes_no("Crack test", "not done", "done, no crack", "done, cracked")
    stretch = _text("Longer than new by", "0.05 mm, 2 thou. 0 where it is as long as new.", longest=40)
    stretch_most = _text("The maker allows longer by", "By the manual.", longest=40)
    neck = _text("Thinner at its thinnest place by", "Against the shank: 0.02 mm. 0 where even.", longest=40)
    neck_most = _text("The maker allows thinner by", "By the manual.", longest=40)
    over_ten = _text(
        "Ten pitches measure", "From a crest to the eleventh, the mean of three: 15.92 mm.", longest=40
    )
    rust = _text("Rust left it thinner by", "On the diameter, at the worst place: 0.2 mm.", longest=40)
    lost = _text("Metal lost to rust and blasting", "On each surface: 2um, 1..4um.", longest=40)
    thread_length = _text("Length of its thread", "From the end to the plain shank: 3/4, 20 mm.", longest=40)
    is_new = forms.BooleanField(label="They are new", required=False)
    torque_to_yield = forms.BooleanField(label="Tightened beyond yield each time", required=False)
    own_steps = _text(
        "What you do before it goes out", "acid rust remover; electrolytic derusting.", longest=200
    )
    old_coat = _text("Old coat that will be stripped", "8um, 5..8um, 0.0003in.", longest=40)
    coat = _text("New coat asked for", "5um, 5..8um, ASTM B633 SC2.")
    material = forms.ChoiceField(
        label="Made of",
        choices=[("", "not said"), *((one.value, one.value.replace("_", " ")) for one in Material)],
        required=False,
    )
    thread_class = _text("Class of the thread", "2A, 6g, medium. Empty: the usual one.", longest=10)
    note = _text("Note", longest=300)

    FIRST = "Head, grade, hardness"
    SECTIONS = (
        ("", ("head_marking", "other_marking", "grade", "hardness", "role")),
        (
            "How they were found",
            (
                "looks_sound",
                "crack_tested",
                "stretch",
                "stretch_most",
                "neck",
                "neck_most",
                "over_ten",
                "rust",
                "is_new",
                "torque_to_yield",
            ),
        ),
        ("Cleaning and coating", ("own_steps", "old_coat", "lost", "coat")),
        ("Material, thread, note", ("material", "thread_length", "thread_class", "note")),
    )

    def said(self) -> SaidOfLot:
        """Return what was typed."""
        values = dict(self.cleaned_data)
        other = values.pop("other_marking").strip()
        mark = values["head_marking"]
        values["head_marking"] = other if mark in ("", OTHER) else mark
        for name in ("looks_sound", "crack_tested"):
            values[name] = _SAID[values[name]]
        return SaidOfLot(**values)


class KnownOfPlaceForm(forms.Form):
    """What is known of the other side of a place's joint and of its torque; every field may stay empty."""

    mate = _one_of("What does the thread go into?", MATES)
    material = _text(
        "The tapped part is made of", "Aluminium casting, LM25-TF, cast iron.", list(known_materials()), 40
    )
    blind = _one_of("The hole is", [("", "not said"), ("blind", "blind"), ("through", "through")])
    depth = _text("Depth of full thread", "Or height of the nut: 20 mm, 3/4.")
    clamped = _text("Thickness of what is clamped", "Without washers and gasket.")
    washer = _text("Washers, together", "1/16, 1.6 mm. 0 where there is none.")
    chamfer = _text("Countersink at the mouth", "Its depth. 0 where there is none.")
    engaged = _text(
        "How far it is screwed in, if counted", "Turns times pitch: 14 mm, 9/16. Without damaged turns."
    )
    prevailing = _text("Self-locking: torque before it clamps", "2 lbf ft, as it turns on.", longest=40)
    damaged_turns = _text("Damaged turns", "How many hold no more: 1.5.", longest=20)
    torque = _text("Torque", "25 lbf ft, 34 N m.")
    torque_page = _text("Manual and page", "Service manual 1961, page 44.", longest=120)
    torque_assumed = _text(
        "Made for which finish and lubricant?",
        "As the manual says it: cadmium, oil. Empty where it says nothing.",
        _CONDITIONS,
        80,
    )
    lubricant = _text("You will use", "dry, oil, grease, anti-seize.", list(known_lubricants()))
    scatter = _text("Spread of the wrench", "25 %, 0.25: half of the range it may be off.", longest=20)
    wanted_clamp = _text("Clamp wanted", "22 kN, 5000 lbf.", longest=40)
    role = forms.ChoiceField(label="What hangs on it?", choices=ROLE_WORDS, widget=forms.RadioSelect)
    on_aluminium = forms.BooleanField(label="Head or nut turns on bare aluminium", required=False)
    hole_minor = _text("Bore at the crests, measured", "0.265 in, 6.75 mm ± 0.02.", longest=40)
    hole_pitch_diameter = _text("Pitch diameter of the hole, measured", longest=40)
    mate_grade = _text("Grade of the nut or stud", known=[str(grade) for grade in known_grades()], longest=40)
    mate_class = _text("Class of its thread", "2B, 6H. Empty: the usual one.", longest=10)
    mate_finish = _text(
        "Finish of the hole, nut or stud", "zinc, cadmium, plain. Empty where nobody knows.", _FINISHES
    )
    mate_coat = _text("How thick that coat is", "8um, 5..8um. Empty: what is usual.")
    turned = _one_of("Which part do you turn?", TURNED, "The face that turns rubs; of a hole it is the head.")
    note = _text("Note", longest=300)

    FIRST = "The hole or nut, and what is clamped"
    SECTIONS = (
        (
            "",
            (
                "mate",
                "material",
                "blind",
                "depth",
                "clamped",
                "washer",
                "chamfer",
                "engaged",
                "damaged_turns",
            ),
        ),
        (
            "Torque and lubricant",
            (
                "torque",
                "torque_page",
                "torque_assumed",
                "lubricant",
                "scatter",
                "wanted_clamp",
                "prevailing",
                "on_aluminium",
            ),
        ),
        ("What hangs on it", ("role",)),
        (
            "Finish of the other side, and what turns",
            ("mate_finish", "mate_coat", "turned"),
        ),
        (
            "Measured hole, grade, class, note",
            ("hole_minor", "hole_pitch_diameter", "mate_grade", "mate_class", "note"),
        ),
    )

    def said(self) -> SaidOfPlace:
        """Return what was typed."""
        return SaidOfPlace(**self.cleaned_data)


class DecideForm(forms.Form):
    """What a person decides, whatever the verdict says, and why."""

    choice = forms.ChoiceField(label="What shall be done?", choices=CHOICES, widget=forms.RadioSelect)
    why = forms.CharField(
        label="Why?",
        max_length=300,
        widget=forms.Textarea({"rows": 2, "data-one-line": True}),
        help_text="Whoever builds it reads this.",
    )


def lot_start(said: SaidOfLot) -> dict[str, Any]:
    """Return what the form of a lot shows first: what is kept, as it was typed."""
    start = asdict(said)
    for name in ("looks_sound", "crack_tested"):
        start[name] = _TYPED[start[name]]
    start["material"] = said.material.replace(" ", "_")
    if said.head_marking and said.head_marking not in dict(mark_choices()):
        start |= {"head_marking": OTHER, "other_marking": said.head_marking}
    return start


def place_start(said: SaidOfPlace) -> dict[str, Any]:
    """Return what the form of a place shows first: what is kept, as it was typed."""
    return asdict(said)


def sections(form: KnownOfLotForm | KnownOfPlaceForm, first: str) -> list[Section]:
    """Lay the fields out in sections, the one that matters most alone before all others.

    Parameters
    ----------
    first : str
        Name of that field; a name that the form has not is passed over.
    """
    leading: tuple[str, ...] = (first,) if first in form.fields else ()
    if leading and not form.is_bound and isinstance(form.fields[first], forms.CharField):
        form.fields[first].widget.attrs["autofocus"] = True
    if first == "head_marking":
        # Who cannot tell the mark from the drawings may know the grade or has a tester.
        leading = ("head_marking", "other_marking", "grade", "hardness")
    found = [Section("", leading, is_open=True)] if leading else []
    for title, names in form.SECTIONS:
        left = tuple(name for name in names if name not in leading)
        shown = not leading and not title
        wrong = any(name in form.errors for name in left)
        if left:
            found.append(Section(title or form.FIRST, left, is_open=shown or wrong))
    return found
