"""The common ground of papers: what people typed is set as text, limits hold, pictures are print-sized."""

from __future__ import annotations

from io import BytesIO

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from pictures_for_tests import jpeg
from printed_papers import fonts_of, picture_sizes, words_of
from runningfit.core.errors import InvalidInput
from runningfit.reports import papers
from runningfit.reports.papers import PRINTED_PX, printable, render, templates

HOSTILE = (
    '#panic("out") #read("/etc/passwd") #import "@preview/x:1.0.0": * $x^2$ *bold* _it_ `raw` '
    '```lang x``` \\u{48} <label> @ref // rest /* rest */ ]} ) "quoted" \\ = Heading\n- item\n#{1+1}'
)
TRIAL = """#import "bench.typ": *
#show: paper.with(title: data.said, job: data.said, printed: data.said)
#caution(data.said)
#cautions((data.said,))
#facts(((data.said, data.said),))
#ruled(columns: (auto, 1fr), head: (data.said, "n"), figures: (1,), rows: ((data.said, 9),))
#stamp(data.said) #tick #num(data.said)
#if data.photo != "" { photo(data.photo, words: data.said) }
"""


@pytest.fixture
def trial(monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setattr(
        papers, "templates", lambda: {**templates(), "trial.typ": TRIAL, "endless.typ": ENDLESS}
    )
    return "trial.typ"


ENDLESS = (
    "#let n = 0\n#for a in range(2000) { for b in range(2000) { n = calc.rem(n * 31 + a * b, 1009) } }\n#n"
)


def noise() -> bytes:
    out = BytesIO()
    Image.effect_noise((900, 700), 60).convert("RGB").save(out, "JPEG", quality=80)
    return out.getvalue()


def test_what_people_typed_is_set_as_text_and_never_obeyed(trial: str) -> None:
    words = words_of(render(trial, {"said": HOSTILE, "photo": ""}))
    for part in ('#panic("out")', '#read("/etc/passwd")', "*bold*", "`raw`", "#{1+1}", "@ref", "\\u{48}"):
        assert part in words
    assert "root:" not in words


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=120))
def test_no_text_can_break_a_paper(trial: str, said: str) -> None:
    assert render(trial, {"said": said, "photo": ""}).startswith(b"%PDF-")


def test_a_paper_is_an_archive_copy_where_the_fonts_have_every_sign(trial: str) -> None:
    plain = render(trial, {"said": "9 × ½ in, Ø 8, 20 °C, “as found”, Größe, 34,9 mm", "photo": ""})
    assert b"pdfaid" in plain
    assert b"pdfaid" not in render(trial, {"said": "a sign no bundled font has: 螺", "photo": ""})


def test_the_fonts_are_the_bundled_ones(trial: str) -> None:
    names = fonts_of(render(trial, {"said": "words", "photo": ""}))
    assert names <= {"LibertinusSerif", "DejaVuSansMono", "NewCM10", "NewCMMath"}
    assert "LibertinusSerif" in names


def test_photos_are_shrunk_to_print_size(trial: str) -> None:
    paper = render(trial, {"said": "words", "photo": "a.jpg"}, {"a.jpg": jpeg(1600, 1200)})
    assert [max(size) for size in picture_sizes(paper)] == [PRINTED_PX]


@pytest.mark.parametrize(
    "name", ["../a.jpg", "a.jpg/../../b.jpg", "a.exe", "", "data.json", "bench.typ", ".jpg"]
)
def test_a_picture_cannot_be_called_anything_else(trial: str, name: str) -> None:
    with pytest.raises(InvalidInput, match="picture needs a plain name"):
        render(trial, {"said": "", "photo": ""}, {name: b""})


def test_a_picture_that_is_none_is_refused(trial: str) -> None:
    with pytest.raises(InvalidInput, match="picture needs a JPEG or PNG"):
        render(trial, {"said": "", "photo": "a.jpg"}, {"a.jpg": b"no picture"})


@pytest.mark.parametrize("name", ["../labels.typ", "nothing.typ", "/etc/passwd", ""])
def test_a_template_that_is_not_there_is_refused(name: str) -> None:
    with pytest.raises(InvalidInput, match="template needs one of"):
        render(name, {})


def test_a_paper_that_takes_too_long_is_given_up(trial: str) -> None:
    with pytest.raises(InvalidInput, match="Choose fewer and print again"):
        render("endless.typ", {}, time_limit_s=0.3)


def test_a_paper_of_many_photos_stays_within_the_memory_limit(trial: str) -> None:
    many = {f"p{number}.jpg": noise() for number in range(20)}
    source = '#import "bench.typ": data\n#for name in data.names { image(name, width: 60mm) }\n'
    papers_templates = {**templates(), "many.typ": source}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(papers, "templates", lambda: papers_templates)
        assert len(render("many.typ", {"names": list(many)}, many)) > 3_000_000
        with pytest.raises(InvalidInput, match="more than fits into memory"):
            render("many.typ", {"names": list(many)}, many, memory_limit_bytes=80 * 2**20)


def test_signs_that_turn_or_hide_text_are_left_out_and_the_rest_stays() -> None:
    assert printable({"a": ["x\u202ey", 3, None, True, "tab\there"]}) == {
        "a": ["xy", 3, None, True, "tab\there"]
    }
    assert printable("W" * 80) == "W" * 36 + "\u200b" + "W" * 36 + "\u200b" + "W" * 8


def test_no_template_asks_for_anything_from_a_network() -> None:
    assert templates()
    for name, source in templates().items():
        assert "@preview" not in source, name
        assert "http" not in source, name
