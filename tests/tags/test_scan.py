"""The scan gate: no scan leaks into a field, no typed key is lost, doubled or moved."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from traveller.tags import Outcome, Pass, Scan, ScanGate, read_paste

TAG = "U000427T"
OTHER = "P000001Z"
ENTER, LF, TAB, FRAME, ESCAPE = "<enter>", "<lf>", "<tab>", "<stx>", "<escape>"
ENDS = {ENTER, LF, TAB}


class Bench:
    """A gate with a clock: types keys with a gap before each and collects what comes out."""

    def __init__(self) -> None:
        self.gate: ScanGate[str] = ScanGate()
        self.now = 100.0
        self.outcomes: list[Outcome[str]] = []

    def press(self, *keys: str, gap: float, in_line: bool = False) -> None:
        for key in keys:
            self.wait(gap)
            character = key if len(key) == 1 else None
            self.outcomes += self.gate.key(key, character, self.now, key in ENDS, key == FRAME, in_line)

    def wait(self, seconds: float) -> None:
        """Let time go by; the timer rings when the gate asked for it."""
        due = self.gate.due
        if due is not None and due <= self.now + seconds:
            self.outcomes += self.gate.quiet(due)
        self.now += seconds

    @property
    def passed(self) -> list[str]:
        return [outcome.key for outcome in self.outcomes if isinstance(outcome, Pass)]

    @property
    def scans(self) -> list[str]:
        return [outcome.text for outcome in self.outcomes if isinstance(outcome, Scan)]


@pytest.fixture
def bench() -> Bench:
    return Bench()


@pytest.mark.parametrize("gap", [0.0, 0.002, 0.008, 0.016, 0.030 - 1e-9])
@pytest.mark.parametrize("end", [(ENTER,), (LF,), (TAB,), (ENTER, LF)])
def test_a_burst_with_an_end_key_is_a_scan(bench: Bench, gap: float, end: tuple[str, ...]) -> None:
    bench.press(*TAG, *end, gap=gap)
    bench.wait(1)
    assert bench.outcomes == [Scan(TAG)]
    assert not bench.gate.holding


def test_two_scans_back_to_back(bench: Bench) -> None:
    bench.press(*TAG, ENTER, LF, *OTHER, ENTER, LF, gap=0.002)
    assert bench.outcomes == [Scan(TAG), Scan(OTHER)]


def test_a_foreign_barcode_does_not_leak(bench: Bench) -> None:
    bench.press(*"4006381333931", ENTER, gap=0.008)
    assert bench.outcomes == [Scan("4006381333931")]


@pytest.mark.parametrize("gap", [0.050, 0.090, 0.300])
def test_typing_goes_through_untouched(bench: Bench, gap: float) -> None:
    bench.press(*TAG, ENTER, gap=gap)
    bench.wait(gap)
    assert bench.passed == [*TAG, ENTER]
    assert bench.scans == []


def test_each_typed_key_appears_after_the_quiet_time(bench: Bench) -> None:
    bench.press("4", gap=0.1)
    assert bench.passed == [] and bench.gate.holding
    assert bench.gate.quiet(bench.now + 0.039) == []
    assert bench.gate.quiet(bench.now + 0.041) == [Pass("4")]
    assert not bench.gate.holding and bench.gate.due is None


def test_a_short_burst_is_typing(bench: Bench) -> None:
    bench.press(*"12345", ENTER, gap=0.010)
    assert bench.passed == [*"12345", ENTER]
    bench.press(*"123456", ENTER, gap=0.010)
    assert bench.scans == ["123456"]


def test_typing_just_before_a_scan_stays_typing(bench: Bench) -> None:
    bench.press("4", "7", gap=0.2)
    bench.wait(0.035)  # too long for a burst, too short for the timer
    bench.press(TAG[0], gap=0.0)
    bench.press(*TAG[1:], ENTER, gap=0.005)
    assert bench.outcomes == [Pass("4"), Pass("7"), Scan(TAG)]


def test_keys_that_type_nothing_let_go_of_what_is_held(bench: Bench) -> None:
    bench.press(*"123", ESCAPE, *"45", gap=0.005)
    bench.wait(1)
    assert bench.passed == [*"123", ESCAPE, *"45"]


def test_enter_after_the_burst_went_quiet_is_typing_even_if_the_timer_is_late() -> None:
    gate: ScanGate[str] = ScanGate()
    for place, character in enumerate(TAG):
        assert gate.key(character, character, place * 0.005, ends=False) == []
    assert gate.key(ENTER, "\r", 2.0, ends=True) == [*(Pass(character) for character in TAG), Pass(ENTER)]


def test_a_second_enter_long_after_a_scan_is_a_person(bench: Bench) -> None:
    bench.press(*TAG, ENTER, gap=0.002)
    bench.press(ENTER, gap=0.2)
    assert bench.outcomes == [Scan(TAG), Pass(ENTER)]


@pytest.mark.parametrize("gap", [0.0, 0.016, 0.080, 0.300, 5.0])
def test_a_framed_scan_has_all_the_time_it_needs(bench: Bench, gap: float) -> None:
    bench.press(FRAME, *TAG, ENTER, gap=gap)
    assert bench.outcomes == [Scan(TAG)]


def test_a_framed_scan_may_be_short(bench: Bench) -> None:
    bench.press(FRAME, *"12", TAB, gap=0.01)
    assert bench.outcomes == [Scan("12")]


def test_a_frame_needs_no_timer(bench: Bench) -> None:
    bench.press(FRAME, *"U0", gap=0.01)
    assert bench.gate.holding and bench.gate.due is None
    assert bench.gate.quiet(bench.now + 60) == []


def test_a_frame_begun_by_hand_ends_with_escape(bench: Bench) -> None:
    bench.press(FRAME, *"cold", ESCAPE, gap=0.2)
    assert bench.passed == [FRAME, *"cold", ESCAPE]


def test_an_empty_frame_is_two_keys(bench: Bench) -> None:
    bench.press(FRAME, ENTER, gap=0.2)
    assert bench.passed == [FRAME, ENTER]


def test_a_scan_that_lost_its_end_does_not_leak_into_the_next(bench: Bench) -> None:
    bench.press(FRAME, *"U0004", FRAME, *TAG, ENTER, gap=0.01)
    assert bench.outcomes == [Scan("U0004"), Scan(TAG)]


def test_a_typist_gets_the_keys_back_when_a_frame_grows_too_long(bench: Bench) -> None:
    note = "capacitor bank measured cold, all six within ten percent of the rating"
    bench.press(FRAME, *note, gap=0.12)
    bench.wait(0.2)
    assert bench.passed == [FRAME, *note]


def test_a_long_foreign_code_in_a_frame_does_not_leak(bench: Bench) -> None:
    code = "0123456789" * 10
    bench.press(FRAME, *code, ENTER, gap=0.004)
    assert bench.outcomes == [Scan(code)]


def test_in_a_line_a_key_that_no_tag_begins_with_is_seen_at_once(bench: Bench) -> None:
    bench.press(*"0.62 V", gap=0.2, in_line=True)
    assert bench.passed == [*"0.62 V"] and bench.gate.due is None
    for letter in "UPMRSupmrs":
        bench.press(letter, gap=0.2, in_line=True)
        assert bench.gate.holding, "a scan may begin with it"
    bench.wait(1)
    bench.press("4", gap=0.2)
    assert bench.gate.holding, "outside a line nothing could be taken back"


def test_a_foreign_barcode_in_a_line_says_what_stands_there(bench: Bench) -> None:
    code = "4006381333931"
    bench.press(*code, ENTER, gap=0.008, in_line=True)
    assert bench.outcomes == [Pass("4"), Scan(code, typed=1)]


def test_once_the_scanner_is_known_to_send_frames_a_line_shows_each_key_at_once(bench: Bench) -> None:
    bench.press("u", gap=0.2, in_line=True)
    assert bench.outcomes == [], "no scanner is known yet"
    bench.press(FRAME, *TAG, ENTER, gap=0.01, in_line=True)
    assert bench.outcomes == [Pass("u"), Scan(TAG)]
    bench.press(*"61 mV", gap=0.2, in_line=True)
    assert bench.passed == ["u", *"61 mV"] and bench.gate.due is None
    bench.press("u", gap=0.2)
    assert bench.gate.holding, "outside a line nothing could be taken back"


def test_a_scan_that_began_in_the_line_says_what_stands_there(bench: Bench) -> None:
    """Another scanner, that is not set up, was plugged in."""
    bench.press(FRAME, *TAG, ENTER, gap=0.01)
    bench.press("4", gap=0.2, in_line=True)
    bench.press(OTHER[0], gap=0.2, in_line=True)
    bench.press(*OTHER[1:5], gap=0.008, in_line=True)
    bench.press(*OTHER[5:], ENTER, gap=0.008)
    assert bench.outcomes == [Scan(TAG), Pass("4"), *map(Pass, OTHER[:5]), Scan(OTHER, typed=5)]


@dataclass(frozen=True)
class Press:
    """One key pressed, told apart from all others by its number."""

    number: int
    character: str | None
    ends: bool = False
    starts: bool = False


GAPS = st.sampled_from([0.0, 0.002, 0.016, 0.029, 0.031, 0.035, 0.039, 0.041, 0.080, 0.5])
KINDS = st.sampled_from(["character"] * 12 + ["end"] * 3 + ["start", "other"])


@settings(max_examples=300)
@given(st.lists(st.tuples(KINDS, GAPS, st.booleans(), st.booleans()), max_size=120))
def test_every_key_is_passed_once_in_order_or_belongs_to_a_scan(
    presses: list[tuple[str, float, bool, bool]],
) -> None:
    gate: ScanGate[Press] = ScanGate()
    now, pressed, outcomes = 0.0, [], []
    for number, (kind, gap, timer_rings, in_line) in enumerate(presses):
        if timer_rings and gate.due is not None and gate.due <= now + gap:
            outcomes += gate.quiet(gate.due)
        now += gap
        character = chr(0x4E00 + number) if kind == "character" else None
        key = Press(number, character, ends=kind == "end", starts=kind == "start")
        pressed.append(key)
        outcomes += gate.key(key, character, now, key.ends, key.starts, in_line)
    closing = Press(len(presses), None)
    pressed.append(closing)
    outcomes += gate.key(closing, None, now + 1, ends=False)
    assert not gate.holding

    came_out: list[int] = []
    for outcome in outcomes:
        if isinstance(outcome, Pass):
            came_out.append(outcome.key.number)
        else:
            scanned = [ord(character) - 0x4E00 for character in outcome.text]
            assert came_out[len(came_out) - outcome.typed :] == scanned[: outcome.typed], "what stands in the line"
            came_out += scanned[outcome.typed :]
    assert came_out == sorted(set(came_out)), "nothing doubled, nothing moved"
    missing = [key for key in pressed if key.number not in set(came_out)]
    assert all(key.ends or key.starts for key in missing), "nothing lost but the frame and the end of a scan"
    assert len([key for key in missing if key.starts]) <= len([o for o in outcomes if isinstance(o, Scan)])


@settings(max_examples=200)
@given(st.lists(st.tuples(st.sampled_from("a1 .U"), st.floats(0.0401, 1.0)), max_size=40))
def test_nothing_typed_at_a_human_pace_is_ever_a_scan(typed: list[tuple[str, float]]) -> None:
    bench = Bench()
    for key, gap in [*typed, (ENTER, 0.05)]:
        bench.press(key, gap=gap)
    assert bench.passed == [key for key, _ in typed] + [ENTER]
    assert bench.scans == []


@pytest.mark.parametrize(
    "pasted", [TAG, f"{TAG}\r\n", f"\x02{TAG}\x03", f"\x02{TAG}\r", f" {TAG.lower()}\t", "U000 427T\n"]
)
def test_a_pasted_tag_is_a_scan(pasted: str) -> None:
    assert read_paste(pasted) == TAG


@pytest.mark.parametrize(
    "pasted", ["", "\x02\x03", "measured 0.62 V", "U000427K", f"see {TAG}", f"{TAG}\n{OTHER}", "U000\n427T"]
)
def test_other_pastes_stay_pastes(pasted: str) -> None:
    assert read_paste(pasted) is None


def test_a_pasted_frame_is_a_scan_whatever_it_says() -> None:
    assert read_paste("\x024006381333931\r") == "4006381333931"
