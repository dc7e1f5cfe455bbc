"""Load and temperatures on the report, read back by pypdf and drawn by PDFium."""

from __future__ import annotations

import io
from datetime import UTC
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as some
from pypdf import PdfReader

from demo.logger import Bench, lines
from tests.documents.papers import facts, on_paper, pixels_of, words_of
from tests.record.heat_runs.rows import START, fed, run_of
from traveller.documents.run_drawing import HELD, LINE, scale, spaced
from traveller.documents.wording import languages
from traveller.record.heat_runs.curve import RunCurve, Trace, curve_of

BENCH = Bench(seconds=2, steps=((25, 10), (50, 10), (75, 10), (100, 100)))


@pytest.fixture(name="curve", scope="module")
def _curve() -> RunCurve:
    run = run_of(fed(lines(BENCH, START)))
    curve = curve_of({run.id: run}, UTC)
    assert curve
    return curve


def page_with(pdf: bytes, said: str) -> int:
    return next(n for n, page in enumerate(PdfReader(io.BytesIO(pdf)).pages) if said in page.extract_text())


def test_the_curve_stands_on_the_report_with_its_limits_in_words(curve: RunCurve) -> None:
    words = words_of(on_paper(facts(run=curve)).data)
    for wanted in (
        "Load and temperatures over time",
        "at least 95 %",
        "at most 105 %",
        "at most 85 °C: heatsink",
        "at most 45 °C: ambient",
        "minutes from the start of the run",
        "79.5 min at full load without a break, 60 min asked for",
        "so that the hold began again: 1.",
        "not judged yet",
    ):
        assert wanted in words, wanted
    assert "Load and temperatures" not in words_of(on_paper(facts()).data)


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_drawing_stays_on_the_paper_and_is_black_white_and_grey(curve: RunCurve, language: str, paper: str) -> None:
    pdf = on_paper(facts(run=curve), language, paper).data
    page = page_with(pdf, "heatsink")
    picture = pixels_of(pdf, page)
    assert all(low == high for low, high in [picture.convert("HSV").getchannel("S").getextrema()])
    grey = picture.convert("L")
    edge = 10 * 3  # 10 points at three times the size
    assert grey.crop((picture.width - edge, 0, picture.width, picture.height)).getextrema()[0] == 255
    share = sum(grey.histogram()[round(255 * HELD) - 1 : round(255 * HELD) + 2]) / (picture.width * picture.height)
    assert 0.02 < share < 0.3, "the hold is shaded"


def test_the_same_facts_give_the_same_bytes(curve: RunCurve) -> None:
    assert on_paper(facts(run=curve)).data == on_paper(facts(run=curve)).data


def test_sixteen_temperatures_and_names_in_any_script_still_fit(curve: RunCurve) -> None:
    heat = curve.heat[0]
    many = tuple(heat.model_copy(update={"name": f"Kühlkörper {n} θ при нагрузке"}) for n in range(16))
    done = on_paper(facts(run=curve.model_copy(update={"heat": many})))
    assert "Kühlkörper 15" in words_of(done.data)
    assert done.missing == ()


def test_one_reading_alone_is_drawn(curve: RunCurve) -> None:
    def short(trace: Trace) -> Trace:
        return trace.model_copy(update={"points": trace.points[:1]})

    alone = curve.model_copy(
        update={"load": short(curve.load), "heat": tuple(map(short, curve.heat)), "minutes": 0.0, "hold": None}
    )
    assert "heatsink" in words_of(on_paper(facts(run=alone)).data)
    assert "heatsink" not in words_of(on_paper(facts(run=alone.model_copy(update={"heat": ()}))).data)


finite = some.floats(-1e6, 1e6).filter(lambda one: one == 0 or abs(one) > 1e-6)


@given(some.lists(finite, min_size=1))
def test_a_scale_holds_every_value_in_few_steps(values: list[float]) -> None:
    low, high, step = scale(values, 5)
    slack = 1e-9 * max(1.0, abs(low), abs(high))
    assert low <= min(values) + slack
    assert high >= max(values) - slack
    assert 1 <= round((high - low) / step) <= 7


@given(some.lists(some.floats(0, 100), max_size=10))
def test_labels_never_lie_over_one_another(heights: list[float]) -> None:
    labels = [(height, "", None) for height in heights]
    placed = spaced(labels, 0, 100)
    assert all(after - before >= LINE - 1e-6 for before, after in pairwise(placed))
    assert all(-1e-6 <= one <= 100 + 1e-6 for one in placed)
