"""Facts as one line of JSON that is always the same, so that a digest of it means something."""

from __future__ import annotations

import json
import math
from collections.abc import Set
from typing import Any

from pydantic import BaseModel


def canonical(facts: BaseModel, exclude: Set[str] = frozenset()) -> str:
    """The facts as JSON with sorted keys and no blanks, without the fields in `exclude`; an infinite number is
    written as a word."""
    return json.dumps(
        _finite(facts.model_dump(mode="json", exclude=set(exclude))),
        sort_keys=True,
        separators=(",", ":"),
        ensure_ascii=False,
        allow_nan=False,
    )


def _finite(value: Any) -> Any:
    """JSON knows no infinity (RFC 8259 section 6), a judge's figure may be one."""
    match value:
        case dict():
            return {name: _finite(one) for name, one in value.items()}
        case list():
            return [_finite(one) for one in value]
        case float() if math.isnan(value):
            return "NaN"
        case float() if math.isinf(value):
            return "Infinity" if value > 0 else "-Infinity"
    return value
