"""The question of the chosen check: what is asked, how to answer, against what, and the caution."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from rich.text import Text

from traveller.errors import InputError
from traveller.screens.widgets.lines import Words, columns_of
from traveller.screens.words import because_words, laid_out
from traveller.tags import is_instrument

if TYPE_CHECKING:
    from traveller.judgement import Finding
    from traveller.record.evidence import Standing
    from traveller.record.shop_entries import InstrumentUsed
    from traveller.record.unit import Unit
    from traveller.record.view import UnitView
    from traveller.sheets import Check

STYLES = {"pass": "bold", "fail": "bold reverse", "undecided": "bold", "not applicable": ""}


class Question(Words):
    """Repainted for every check; holds nothing itself. What can hurt, and what is needed in hand, stands before the
    help: on a small screen the end of it may be out of sight."""

    def show(self, standing: Standing | None, in_hand: Mapping[str, InstrumentUsed], today: date, zone: str) -> None:
        if standing is None:
            self.update(Text("Nothing is asked of this unit at this station."))
            return
        check = standing.check
        words = Text()
        words.append(check.ask, style="bold")
        room = max(20, columns_of(self))
        how = laid_out(_ways_to_answer(check), Text("  "), room)
        gap = "   " if "\n" not in how.plain and len(check.ask) + how.cell_len + 3 <= room else "\n"
        words.append(f"{gap}{how}\n", style="dim")
        if standing.because:
            words.append(f"{standing.state.sign} {standing.state}: {because_words(standing, zone)}\n", style="bold")
        if check.caution:
            words.append(f"! {check.caution}\n", style="bold")
        if check.instrument:
            meter = in_hand.get(check.instrument)
            words.append(f"{check.instrument}: {_in_hand(meter, today)}\n")
        words.append(check.help)
        words.rstrip()
        self.update(words)


def _ways_to_answer(check: Check) -> list[Text]:
    """What may be typed, in pieces that are never broken: each choice is one."""
    from traveller.record.answering import how_to_answer

    if check.options:
        choices = [Text(f"{number} {option}") for number, option in enumerate(check.options, 1)]
        return [*choices, *([Text("or n/a and the reason")] if check.may_not_apply else [])]
    newest = "n takes the newest picture, or " if check.kind.value == "photo" else ""
    return [Text(f"{newest}{how_to_answer(check)}")]


def _in_hand(meter: InstrumentUsed | None, today: date) -> str:
    if meter is None:
        return "none in hand: scan its tag, or type it here"
    late = meter.calibration_due < today
    state = "! OUT OF CALIBRATION since" if late else "calibrated to"
    return f"{meter.name}, {state} {meter.calibration_due}"


def live_words(view: UnitView, standing: Standing, typed: str, instruments: Sequence[InstrumentUsed]) -> Text:
    """The verdict on what stands in the line at this moment, or on the answer that stands in the record."""
    from traveller.record.answering import judge_answer, read_answer

    check = standing.check
    if not typed.strip():
        finding = standing.evidence.finding if standing.evidence else None
        if finding is None:
            return _limit_words(standing.check, view.unit)
        then = Text("as it was: " if standing.because else "", style="dim")
        return then.append_text(finding_words(finding))
    if opens_fields(check, typed):
        return Text("… Enter opens the fields", style="dim")
    if check.instrument and is_instrument(typed):
        return Text("… Enter takes it in hand", style="dim")
    try:
        answer = read_answer(check, typed)
        if check.kind.value == "photo":
            return Text("Enter keeps the picture", style="dim")
        return finding_words(judge_answer(check, answer, view.unit, view.judges, instruments))
    except InputError as error:
        return Text(f"… {error}", style="dim")


def opens_fields(check: Check, typed: str) -> bool:
    """A calculation is filled in field by field, unless they are typed as name=value or it does not apply."""
    return check.kind.value == "calculation" and "=" not in typed and not typed.strip().casefold().startswith("n/a")


def _limit_words(check: Check, unit: Unit) -> Text:
    """Against what the answer will be held, before there is one."""
    from traveller.judgement import limit_in_words
    from traveller.record.answering import band_of

    if check.kind.value == "calculation":
        return Text("Enter opens the fields", style="dim")
    if check.limit is None:
        return Text(f"source {check.source}" if check.source else "", style="dim")
    band, missing = band_of(check.limit, check.unit, unit)
    limit = limit_in_words(band, check.limit.spread_percent)
    words = f"the nameplate does not say {missing}: correct the booking first" if missing else f"limit {limit}"
    return Text(f"{words}  source {band.source}", style="dim")


def finding_words(finding: Finding) -> Text:
    words = Text()
    words.append(f"{finding.verdict.sign} {finding.verdict}", style=STYLES[finding.verdict.value])
    words.append(f"  {finding.says}\n")
    for line in finding.working:
        words.append(f"  {line}\n", style="dim")
    if finding.limit:
        words.append(f"  limit {finding.limit}", style="dim")
    if finding.source:
        words.append(f"  source {finding.source}", style="dim")
    words.rstrip()
    return words
