"""From what a technician types to an answer, and from the answer to its finding."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from traveller.errors import InputError
from traveller.judgement import Band, Finding, Verdict, judge_reading, judge_siblings
from traveller.quantities import Quantity, read_quantities, read_quantity, show
from traveller.record.answers import (
    Answer,
    Calculated,
    Chosen,
    NotApplicable,
    Pictured,
    Read,
    ReadSideBySide,
    Scanned,
    Ticked,
    Written,
)
from traveller.record.forms import LoadedJudge, build, read_model
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.unit import Unit
from traveller.sheets import TERM, Check, CheckKind, Limit
from traveller.vocabulary import RATINGS

Judges = Mapping[str, LoadedJudge]

_YES = {"y", "yes", "ok", "done", "true", "1", "j", "✓"}
_NO = {"n", "no", "false", "0", "✗"}
_DOES_NOT_APPLY = re.compile(r"^(?:n/a|not applicable)\b[\s:,.-]*(?P<reason>.*)$", re.IGNORECASE | re.DOTALL)
_NAMED = re.compile(r"(?:^|[\s;])([a-z_][a-z0-9_]*)\s*=")


def how_to_answer(check: Check) -> str:
    """What may be typed, in a few words, for the line under the question."""
    in_unit = f" in {check.unit}" if check.unit else ""
    ways = {
        CheckKind.TICK: "y or n",
        CheckKind.CHOICE: "  ".join(f"{n} {option}" for n, option in enumerate(check.options, 1)),
        CheckKind.READING: f"a value in {check.unit}" if check.unit else "a number",
        CheckKind.TABLE: f"{len(check.columns)} values{in_unit}, blanks between: {', '.join(check.columns)}",
        CheckKind.TEXT: "words",
        CheckKind.PHOTO: "path of a picture file",
        CheckKind.SCAN: "scan the tag",
        CheckKind.CALCULATION: "fields to fill in",
    }
    return ways[check.kind] + (", or n/a and the reason" if check.may_not_apply else "")


def read_answer(check: Check, text: str) -> Answer:
    """What was typed as an answer of the check's kind; InputError says what to type instead."""
    text = text.strip()
    if not text:
        raise InputError(f"Nothing was typed: {how_to_answer(check)}.")
    if "\0" in text or any("\ud800" <= one <= "\udfff" for one in text):
        raise InputError("There is a character in that which cannot be kept: type it anew.")
    if found := _DOES_NOT_APPLY.match(text):
        return _does_not_apply(check, found["reason"].strip())
    match check.kind:
        case CheckKind.TICK:
            return _tick(text)
        case CheckKind.CHOICE:
            return Chosen(option=choose(check.options, text))
        case CheckKind.READING:
            return Read(reading=_possible(check, read_quantity(text, check.unit)))
        case CheckKind.TABLE:
            readings = read_quantities(text, check.unit, len(check.columns))
            return ReadSideBySide(columns=check.columns, readings=tuple(_possible(check, one) for one in readings))
        case CheckKind.SCAN:
            return Scanned(tag=_scanned(text))
        case CheckKind.CALCULATION:
            return Calculated(inputs=named_values(text))
        case CheckKind.PHOTO:
            return Pictured(pictures=(text,))
        case CheckKind.TEXT:
            return Written(text=_words(text))


def _does_not_apply(check: Check, reason: str) -> NotApplicable:
    if not check.may_not_apply:
        raise InputError("This check applies to every unit that is asked it: it cannot be left out.")
    if not reason:
        raise InputError("Say why it does not apply: n/a and the reason.")
    return NotApplicable(reason=reason)


def _tick(text: str) -> Ticked:
    word = text.casefold()
    if word in _YES | _NO:
        return Ticked(yes=word in _YES)
    raise InputError(f'"{text}" is neither yes nor no: type y or n.')


def _scanned(text: str) -> str:
    tag = re.sub(r"[\s-]", "", text).upper()[:64]
    if not tag:
        raise InputError(f'There is no tag in "{text}": scan the tag.')
    return tag


def choose(options: Sequence[str], text: str) -> str:
    """The option that is meant: its whole text, its number, or the start of one only."""
    said = text.casefold()
    numbered = {str(number): option for number, option in enumerate(options, 1)}
    whole = [option for option in options if option.casefold() == said]
    if not whole and said in numbered:
        return numbered[said]
    fits = whole or [option for option in options if option.casefold().startswith(said)]
    if len(fits) == 1:
        return fits[0]
    listed = ", ".join(f"{number} {option}" for number, option in numbered.items())
    raise InputError(f'"{text}" is not one of the choices: type {listed}.')


def _possible(check: Check, reading: Quantity) -> Quantity:
    low, high = check.plausible or (float("-inf"), float("inf"))
    if reading.bound != "overrange" and not low <= reading.value <= high:
        raise InputError(
            f"{show(reading.value, check.unit)} cannot be: here readings lie between {show(low, check.unit)} "
            f"and {show(high, check.unit)}. Look at the prefix (m, k, M) and at the range of the instrument."
        )
    return reading


def named_values(text: str) -> dict[str, str]:
    """``volts=0.41 OL rule=module`` as fields by name."""
    pieces = _NAMED.split(text)
    if len(pieces) < 3 or pieces[0].strip(" ;\t\n"):
        raise InputError("Type the fields as name=value, with a space between them.")
    return {name: value.strip(" ;\t\n") for name, value in zip(pieces[1::2], pieces[2::2], strict=True)}


def _words(text: str) -> str:
    if len(text) > 4000:
        raise InputError(f"That is {len(text)} characters; 4000 fit. Put the rest into a note.")
    return text


def need_fitting(check: Check, answer: Answer) -> None:
    """InputError when an answer that did not come from `read_answer` is not one that the check can be given."""
    match answer:
        case NotApplicable(reason=reason):
            _does_not_apply(check, reason.strip())
            return
        case Chosen(option=option) if check.options and option not in check.options:
            raise InputError(f'"{option}" is not one of the choices: {", ".join(check.options)}.')
        case Read(reading=reading) if check.kind is CheckKind.READING:
            _need_unit(check, reading)
        case ReadSideBySide(columns=columns, readings=readings) if check.kind is CheckKind.TABLE:
            if columns != check.columns or len(readings) != len(columns):
                raise InputError(f"This table has one value for each of {', '.join(check.columns)}.")
            for reading in readings:
                _need_unit(check, reading)
    if answer.kind != check.kind:
        raise InputError(f"A {answer.kind} does not answer this check: it wants {how_to_answer(check)}.")


def _need_unit(check: Check, reading: Quantity) -> None:
    if reading.unit != check.unit:
        raise InputError(f"The value is in {reading.unit or 'no unit'}; this check wants {how_to_answer(check)}.")
    _possible(check, reading)


def judge_answer(
    check: Check, answer: Answer, unit: Unit, judges: Judges, instruments: Sequence[InstrumentUsed] = ()
) -> Finding:
    """The finding for an answer. Missing facts make it undecided, in words; bad input raises InputError."""
    if isinstance(answer, NotApplicable):
        return Finding(verdict=Verdict.NOT_APPLICABLE, says=f"not applicable: {answer.reason}")
    finding = _finding(check, answer, unit, judges, instruments)
    extra = {"caution": finding.caution or check.caution, "source": finding.source or check.source}
    return finding.model_copy(update=extra)


def _finding(
    check: Check, answer: Answer, unit: Unit, judges: Judges, instruments: Sequence[InstrumentUsed]
) -> Finding:
    if check.judge:
        return _by_judge(check, answer, unit, judges)
    match answer:
        case Read() | ReadSideBySide():
            return _by_limit(check, answer, unit, instruments)
        case Ticked(yes=yes):
            return Finding(
                verdict=Verdict.PASS if yes else Verdict.FAIL,
                says="yes" if yes else "no",
                limit="must be yes",
            )
        case Chosen(option=option):
            passes = not check.passes or option in check.passes
            return Finding(
                verdict=Verdict.PASS if passes else Verdict.FAIL,
                says=option,
                limit=f"passes: {', '.join(check.passes)}" if check.passes else "",
            )
        case Scanned(tag=tag):
            same = tag == unit.tag
            says = "the tag is this unit's" if same else f"the tag in hand is {tag}, this unit is {unit.tag}"
            return Finding(verdict=Verdict.PASS if same else Verdict.FAIL, says=says, limit=f"tag {unit.tag}")
        case _:
            return Finding(verdict=Verdict.PASS, says="recorded")


def _by_limit(
    check: Check, answer: Read | ReadSideBySide, unit: Unit, instruments: Sequence[InstrumentUsed]
) -> Finding:
    if check.limit is None:
        return Finding(verdict=Verdict.PASS, says="recorded; this check has no limit")
    band, missing = band_of(check.limit, check.unit, unit)
    if missing:
        return _undecided(f"the nameplate does not say {missing}: correct the booking, then answer again")
    fits = [one for one in instruments if one.instrument_class == check.instrument]

    def uncertainty(reading: Quantity) -> float:
        return fits[0].uncertainty(reading.value) if fits and reading.bound == "exact" else 0.0

    if isinstance(answer, Read):
        u = uncertainty(answer.reading)
        return judge_reading(answer.reading, band, uncertainty=u, rule=check.rule, caution=check.caution)
    return judge_siblings(
        answer.columns,
        answer.readings,
        band,
        spread_percent=check.limit.spread_percent,
        uncertainty=[uncertainty(one) for one in answer.readings],
        rule=check.rule,
        caution=check.caution,
    )


def band_of(limit: Limit, in_unit: str, unit: Unit) -> tuple[Band, str]:
    """The bounds of this unit in the check's unit, and the label of a rating that the nameplate is missing for them."""
    least, no_least = _bound(limit.at_least, unit)
    most, no_most = _bound(limit.at_most, unit)
    return Band(unit=in_unit, at_least=least, at_most=most, source=limit.source), no_least or no_most


def _bound(term: float | str | None, unit: Unit) -> tuple[float | None, str]:
    """The bound in the check's unit, and the label of the rating that is missing for it."""
    if not isinstance(term, str):
        return term, ""
    found = TERM.match(term)
    name = found["rating"] if found else term
    ratings = unit.nameplate.ratings if unit.nameplate else {}
    if not found or name not in ratings:
        return None, RATINGS[name].label if name in RATINGS else name
    return float(found["factor"] or 1) * ratings[name], ""


def _undecided(says: str) -> Finding:
    return Finding(verdict=Verdict.UNDECIDED, says=says)


def _by_judge(check: Check, answer: Answer, unit: Unit, judges: Judges) -> Finding:
    judge = judges.get(check.judge_name)
    if judge is None:
        return _undecided(f"the judge {check.judge} is not in the station folder: tell the shift lead")
    typed = answer.inputs if isinstance(answer, Calculated) else {}
    filled: dict[str, Any] = {}
    for name, origin in check.fill.items():
        value = _origin(origin, unit)
        if value is None and name not in typed and judge.model.model_fields[name].is_required():
            return _undecided(f"{origin.partition('.')[2].replace('_', ' ')} is not known yet: enter it first")
        if value is not None:
            filled[name] = value
    if isinstance(answer, Calculated):
        return judge.finding(read_model(judge.model, typed, filled))
    given = _given(answer, named="columns" in judge.model.model_fields)
    return judge.finding(build(judge.model, {**filled, **given}))


def _given(answer: Answer, named: bool) -> dict[str, Any]:
    """The answer under the name that a judge's model has for it; with `named` also what stands in each column."""
    if isinstance(answer, Read):
        return {"reading": _plain(answer)}
    if isinstance(answer, ReadSideBySide):
        return {"readings": _plain(answer), **({"columns": answer.columns} if named else {})}
    return {"answer": _plain(answer)}


def _plain(answer: Answer | None) -> Any:
    match answer:
        case Ticked(yes=yes):
            return yes
        case Chosen(option=said) | Written(text=said) | Scanned(tag=said):
            return said
        case Read(reading=reading):
            return reading.value
        case ReadSideBySide(readings=readings):
            return tuple(one.value for one in readings)
    return None


def _origin(origin: str, unit: Unit) -> Any:
    room, _, name = origin.partition(".")
    if room == "rating":
        return unit.nameplate.ratings.get(name) if unit.nameplate else None
    if room == "answer":
        evidence = unit.current(name)
        return _plain(evidence.answer) if evidence else None
    if name == "tag":
        return unit.tag
    if name == "kind":
        return str(unit.nameplate.unit_kind) if unit.nameplate else None
    return getattr(unit.nameplate, name, None)
