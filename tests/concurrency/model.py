"""The rules of the record said a second time, on the bare lines of the database: no fold, act or gate of the program.

What is checked: docs/record.md; the digest is SHA-256 (FIPS 180-4) over the digest before, a line feed and the payload.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

Line = tuple[int, str, str, str]
"""Sequence, payload, previous digest, digest."""
PROVED_AFTER_WORK = ("inspection.joints", "load_test.warm")
ASKED = ("goods_in.seen", "diagnosis.link", "component_work.cleaned", *PROVED_AFTER_WORK, "dispatch.packed")


def sound_chain(lines: Sequence[Line]) -> list[str]:
    """What is wrong with the numbers and the digests of one traveller; empty when nothing is."""
    wrong, before = [], "0" * 64
    for number, (sequence, payload, previous, digest) in enumerate(lines, 1):
        if sequence != number:
            wrong.append(f"line {number} has the number {sequence}")
        if previous != before:
            wrong.append(f"line {sequence} does not follow on the one before")
        if hashlib.sha256(f"{previous}\n{payload}".encode()).hexdigest() != digest:
            wrong.append(f"line {sequence} does not fit its digest")
        before = digest
    return wrong


def released_wrongly(payloads: Iterable[str]) -> list[str]:
    """Why the unit should not have been released where it was; empty when it was rightly or not at all."""
    entries = [json.loads(one) for one in payloads]
    at = next((n for n, one in enumerate(entries) if one["body"]["kind"] == "released"), None)
    if at is None:
        return []
    wrong = ["something was written behind the seal"] if at != len(entries) - 1 else []
    before = entries[:at]
    last_work = max((n for n, one in enumerate(before) if one["body"]["kind"] in WORKED), default=-1)
    wrong += [f"{check} was not proved" for check in _unproved(before, last_work)]
    wrong += _left_open(before)
    return wrong


WORKED = ("work fitted", "work rejected", "sent back")


def _unproved(entries: list[dict[str, Any]], last_work: int) -> list[str]:
    """Checks without a passing answer; those that prove the work without one after the last work.

    Only of units that are repaired and of which nothing was conceded: the model does not know more.
    """
    kinds = [one["body"]["kind"] for one in entries]
    if "decided" in kinds or "concession granted" in kinds:
        return []
    missing = []
    for check in ASKED:
        standing = _standing_answer(entries, check)
        after = last_work if check in PROVED_AFTER_WORK else -1
        if standing is None or standing[2] != "pass" or standing[0] <= after:
            missing.append(check)
    return missing


def _standing_answer(entries: list[dict[str, Any]], check: str) -> tuple[int, str, str] | None:
    """(place, id, verdict) of the answer that stands; a correction stands where the corrected one stood."""
    places: dict[str, int] = {}
    answers: dict[str, tuple[int, int, str]] = {}
    for n, one in enumerate(entries):
        body, corrects = one["body"], one["corrects"]
        place = places.get(corrects, n) if corrects else n
        places[one["id"]] = place
        if body["kind"] == "answered" and body["check"] == check:
            answers[one["id"]] = (place, n, body["finding"]["verdict"])
        if body["kind"] == "withdrawn" and corrects in answers:
            answers[one["id"]] = (place, n, "withdrawn")
    if not answers:
        return None
    which = max(answers, key=lambda one: answers[one][:2])
    return answers[which][0], which, answers[which][2]


def _left_open(entries: list[dict[str, Any]]) -> list[str]:
    held, questions, nonconformities = False, set(), set()
    lines: dict[str, str] = {}
    for one in entries:
        body = one["body"]
        match body["kind"]:
            case "held":
                held = True
            case "resumed":
                held = False
            case "asked":
                questions.add(one["id"])
            case "replied":
                questions.discard(body["question"])
            case "nonconformity raised" | "sent back":
                nonconformities.add(body.get("known") or one["id"])
            case "nonconformity closed" | "concession granted":
                nonconformities.discard(body["nonconformity"])
            case "work planned" | "work fitted" | "work verified" | "work rejected" | "work struck":
                lines[body["reference"]] = body["kind"]
    undone = [where for where, kind in lines.items() if kind not in ("work verified", "work struck")]
    return (
        (["it was on hold"] if held else [])
        + [f"question {one} was open" for one in questions]
        + [f"nonconformity {one} was open" for one in nonconformities]
        + [f"{where} was not verified" for where in undone]
    )


def covered_unseen(payloads: Iterable[str], seen: dict[str, str | None]) -> list[str]:
    """Answers that were laid over one that the person had not seen. `seen` is, for each answer that was handed back,
    the answer that its person had before them."""
    entries = [json.loads(one) for one in payloads]
    wrong = []
    for n, one in enumerate(entries):
        if one["id"] not in seen:
            continue
        standing = _standing_answer(entries[:n], one["body"]["check"])
        if standing and standing[2] != "withdrawn" and standing[1] != seen[one["id"]]:
            wrong.append(f"{one['id']} covers {standing[1]} and was made on {seen[one['id']]}")
    return wrong


def booked_twice(entries: Sequence[dict[str, Any]]) -> list[str]:
    """Pairs of bookings of one rig that overlap in time; `entries` are those of the shop, in order. A booking ends
    when it was freed, if that was earlier."""
    freed = {one["body"]["booking"]: _at(one["at"]) for one in entries if one["body"]["kind"] == "rig freed"}
    kept: list[tuple[str, str, datetime, datetime]] = []
    wrong = []
    for one in entries:
        body = one["body"]
        if body["kind"] != "rig booked":
            continue
        begins, ends = _at(body["begins"]), _at(body["ends"])
        for other, rig, since, until in kept:
            gone = freed.get(other)
            until = min(until, gone) if gone and gone <= _at(one["at"]) else until
            if rig == body["rig"] and begins < until and since < ends:
                wrong.append(f"{one['id']} and {other} have {rig} at the same time")
        kept.append((one["id"], body["rig"], begins, ends))
    return wrong


def accepted_twice(entries: Sequence[dict[str, Any]]) -> list[str]:
    """Items of handovers that two have accepted, that nobody had handed over, or that whoever handed them over took.
    Who accepted an item and then asks about it has given it back."""
    given: dict[int, str] = {}
    taken: dict[int, str] = {}
    wrong = []
    for one in entries:
        body = one["body"]
        if body["kind"] == "handover prepared":
            given |= {item["number"]: one["by"] for item in body["items"]}
        if body["kind"] == "item accepted":
            number = body["item"]
            if number not in given:
                wrong.append(f"item {number} was never handed over")
            elif given[number] == one["by"]:
                wrong.append(f"item {number} was accepted by who handed it over")
            if number in taken:
                wrong.append(f"item {number} was accepted by {taken[number]} and by {one['by']}")
            taken[number] = one["by"]
        if body["kind"] == "item asked" and taken.get(body["item"]) == one["by"]:
            del taken[body["item"]]
    return wrong


def _at(text: str) -> datetime:
    return datetime.fromisoformat(text)
