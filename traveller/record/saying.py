"""One line of the record as one line for a person."""

from __future__ import annotations

from traveller.record.answers import in_words
from traveller.record.entries import Answered, BookedIn, Entry, Released, SentBack


def said(entry: Entry) -> str:
    """What the entry says, without who and when."""
    match entry.body:
        case Answered() as body:
            return f"{body.check}: {in_words(body.answer)}: {body.finding.verdict}, {body.finding.says}"
        case BookedIn(nameplate=plate):
            return f"{plate.unit_kind.label} {plate.maker} {plate.model}, {plate.serial}, {plate.customer}"
        case SentBack(station=station, found=found):
            return f"to {station.replace('_', ' ')}: {found}"
        case Released(statement=statement, concessions=concessions):
            return "; ".join((statement, *concessions))
    facts = entry.body.model_dump(mode="json", exclude={"kind", "digest", "instrument"})
    return ", ".join(
        f"{name.replace('_', ' ')} {value}" for name, value in facts.items() if value not in ("", None, [], {})
    )
