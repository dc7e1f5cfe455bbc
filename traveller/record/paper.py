"""A report that was sent out, against the record: whether paper and record agree, and if not, in what."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from pydantic import ValidationError

from traveller.counting import many
from traveller.errors import InputError
from traveller.record.canonical import canonical
from traveller.record.report import FORM, Report, digest_of
from traveller.vocabulary import Plain

WORDS_SHOWN = 6


class Sent(Plain):
    """What a report carries in itself. `digest` is that of the canonical `report`, `program` the version it is of."""

    program: str
    language: str
    paper: str
    digest: str
    report: Report


def sent(report: Report, program: str, language: str, paper: str) -> Sent:
    return Sent(program=program, language=language, paper=paper, digest=digest_of(canonical(report)), report=report)


def read_sent(name: str, facts: str) -> Sent:
    """The facts of a paper; InputError when they are not of the form that this version writes."""
    try:
        return Sent.model_validate_json(facts)
    except ValidationError as error:
        where = ".".join(str(part) for part in error.errors()[0]["loc"]) or "the whole"
        raise InputError(
            f"{name}: the facts that it carries do not read as a report of form {FORM} ({where}). They were changed, "
            "or another version of the program made it: verify it with that version."
        ) from None


@dataclass(frozen=True)
class Seen:
    """The pages of a paper: their words, and a digest of what is drawn on each."""

    words: Sequence[str]
    ink: Sequence[str]


def disagreements(paper: Sent, recorded: Report, given: Seen, made: Seen, program: str) -> list[str]:
    """In what the paper departs from the record, a sentence each; `made` are the pages made from the record now."""
    return list(_facts(paper, recorded)) + (list(_pages(given, made)) or list(_drawn(paper, given, made, program)))


def _facts(paper: Sent, recorded: Report) -> Iterator[str]:
    if digest_of(canonical(paper.report)) != paper.digest:
        yield "The facts that the paper carries were changed after it was made: their digest does not fit."
    if paper.report.release is None:
        yield "The paper is a draft: it was made before the unit was released and proves nothing."
    elif recorded.release is None:
        yield "The paper says that the unit was released; the record does not."
    elif paper.report.release.seal != recorded.release.seal:
        yield f"The seal on the paper is {paper.report.release.seal}, that of the record {recorded.release.seal}."
    if differing := [name for name in Report.model_fields if getattr(paper.report, name) != getattr(recorded, name)]:
        named = ", ".join(name.replace("_", " ") for name in differing)
        yield f"The paper carries other facts than the record gives: {named}."


def _pages(given: Seen, made: Seen) -> Iterator[str]:
    if len(given.words) != len(made.words):
        yield f"The paper has {many(len(given.words), 'page')}, the record gives {len(made.words)}."
    for number, (there, here) in enumerate(zip_longest(given.words, made.words, fillvalue=""), 1):
        if there != here:
            yield f"Page {number} does not say what the record gives: {_first_difference(there, here)}."


def _first_difference(there: str, here: str) -> str:
    said, recorded = there.split(), here.split()
    pairs = zip_longest(said, recorded, fillvalue="")
    at = next(place for place, (one, other) in enumerate(pairs) if one != other)
    quoted = (" ".join(words[at : at + WORDS_SHOWN]) or "nothing more" for words in (said, recorded))
    return " where the record has ".join(f'"{words}"' for words in quoted)


def _drawn(paper: Sent, given: Seen, made: Seen, program: str) -> Iterator[str]:
    """What is drawn is compared only if the same version made both: the words and facts agree by now."""
    for number, (there, here) in enumerate(zip(given.ink, made.ink, strict=True), 1):
        if there != here and paper.program == program:
            yield f"Page {number} says the same, but something drawn on it was changed: a picture, a code or a line."
