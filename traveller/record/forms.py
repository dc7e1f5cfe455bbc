"""From typed words to the model of a judge: the fields of a calculation, and what each was given."""

from __future__ import annotations

import inspect
import math
import re
import types
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from traveller.errors import InputError
from traveller.judgement import Finding, Judge
from traveller.quantities import read_quantities, read_quantity

Built = TypeVar("Built", bound=BaseModel)
MOST_POINTS = 20_000
ABBREVIATIONS = {"esr": "ESR", "msl": "MSL"}
_SOURCE = re.compile(r"\bSource:\s*(.+)", re.DOTALL)


@dataclass(frozen=True)
class LoadedJudge:
    """A judge found in a station folder. `name` is public: station.function."""

    name: str
    function: Judge
    model: type[BaseModel]

    @property
    def source(self) -> str:
        """What its docstring says after ``Source:``; empty when it says nothing."""
        found = _SOURCE.search(inspect.getdoc(self.function) or "")
        return " ".join(found[1].split()) if found else ""

    def finding(self, asked: BaseModel) -> Finding:
        """What the judge says of `asked`; InputError when these values are beyond its arithmetic."""
        try:
            return self.function(asked)
        except (ArithmeticError, ValueError) as error:
            raise InputError(f"{self.name} cannot be worked out with these values ({error}): look at each.") from None


@dataclass(frozen=True)
class FormField:
    """One field of a judge's model, as a person is asked for it."""

    name: str
    label: str
    unit: str
    description: str
    required: bool
    options: tuple[str, ...]
    many: bool
    words: bool = False  # several words or names, with commas between
    curve: tuple[str, ...] = ()  # the units of x and y, when the points of a curve are asked for


def fields_of(model: type[BaseModel], filled: Mapping[str, str] = types.MappingProxyType({})) -> list[FormField]:
    """The fields that a person has to fill; those in `filled` come from the record."""
    return [_field(name, info) for name, info in model.model_fields.items() if name not in filled]


def _field(name: str, info: FieldInfo) -> FormField:
    extra = info.json_schema_extra if isinstance(info.json_schema_extra, dict) else {}
    plain = _plain(info.annotation)
    units = extra.get("curve", ())
    curve = tuple(str(unit) for unit in units) if isinstance(units, list) else ()
    return FormField(
        name=name,
        label=" ".join(ABBREVIATIONS.get(word, word) for word in name.split("_")),
        unit=str(extra.get("unit", "")),
        description=info.description or "",
        required=info.is_required(),
        options=tuple(str(one) for one in get_args(plain)) if get_origin(plain) is Literal else (),
        many=not curve and get_origin(plain) in (tuple, list),
        words=not curve and get_origin(plain) in (tuple, list) and not _is_number(plain),
        curve=curve,
    )


def _plain(annotation: Any) -> Any:
    """The annotation without its ``| None`` and without what pydantic is told about it (``Annotated``)."""
    if get_origin(annotation) is Annotated:
        return _plain(get_args(annotation)[0])
    if get_origin(annotation) in (Union, types.UnionType):
        rest = [one for one in get_args(annotation) if one is not type(None)]
        return rest[0] if len(rest) == 1 else annotation
    return annotation


def _is_number(annotation: Any) -> bool:
    plain = _plain(annotation)
    inner = [_plain(one) for one in get_args(plain) if one is not Ellipsis]
    return plain in (float, int) or (get_origin(plain) in (tuple, list) and inner[:1] in ([float], [int]))


def read_field(field: FormField, annotation: Any, text: str) -> Any:
    """One typed field as the value that the model wants; numbers are read in the field's unit."""
    if field.curve:
        return read_curve(field, text)
    if field.words:
        return tuple(one.strip() for one in text.split(",") if one.strip())
    if not _is_number(annotation):
        return text.strip()
    try:
        if field.many:
            return tuple(one.value for one in read_quantities(text, field.unit))
        return read_quantity(text, field.unit).value
    except InputError as error:
        raise InputError(f"{field.label}: {error}") from None


def read_curve(field: FormField, text: str) -> tuple[tuple[float, float], ...]:
    """The points of a curve from "x y; x y; ..." or from lines "x,y"; InputError names the first bad one."""
    points = [one.strip() for one in re.split(r"[;\n]", text) if one.strip()]
    if len(points) > MOST_POINTS:
        raise InputError(f"{field.label}: {len(points)} points are too many: thin them out to {MOST_POINTS}.")
    return tuple(_point(field, place, one) for place, one in enumerate(points, 1))


def _point(field: FormField, place: int, text: str) -> tuple[float, float]:
    parts = [one.strip(",") for one in text.split()]
    if len(parts) == 1:
        parts = text.split(",")
    if len(parts) != 2:
        shown = text if len(text) <= 40 else f"{text[:40]}…"
        raise InputError(
            f'{field.label}: point {place}, "{shown}", is not a pair: give the path of a file with two columns, or '
            f"pairs such as 0.5 0.001; 0.6 0.004 ({' and '.join(field.curve)})."
        )
    try:
        return _coordinate(parts[0], field.curve[0]), _coordinate(parts[1], field.curve[1])
    except InputError as error:
        raise InputError(f"{field.label}: point {place}: {error}") from None


def _coordinate(text: str, unit: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = read_quantity(text, unit).value
    if not math.isfinite(value):
        raise InputError(f"{text} is not a value that can be drawn: leave the point out.")
    return value


def read_model(model: type[BaseModel], typed: Mapping[str, str], filled: Mapping[str, Any]) -> BaseModel:
    """The judge's model from typed fields and from what the record fills in; InputError in words."""
    known = {field.name: field for field in fields_of(model)}
    if unknown := [name for name in typed if name not in known]:
        raise InputError(f"{', '.join(unknown)} is not asked here; the fields are {', '.join(known)}.")
    values: dict[str, Any] = {name: value for name, value in filled.items() if name in known}
    for name, text in typed.items():
        if text.strip() and name in values:
            raise InputError(f"{known[name].label} comes from the record ({filled[name]}): leave it out.")
        if text.strip():
            values[name] = read_field(known[name], model.model_fields[name].annotation, text)
    return build(model, values)


def build(model: type[Built], values: Mapping[str, Any]) -> Built:
    """The model of these values; InputError in words, one line for each that it cannot take."""
    try:
        return model.model_validate(dict(values))
    except ValidationError as error:
        raise InputError("\n".join(_sentence(one) for one in error.errors())) from None


def _sentence(error: Any) -> str:
    where = ".".join(str(part).replace("_", " ") for part in error["loc"]) or "the entry"
    if error["type"] == "missing":
        return f"{where} is missing: type it."
    said = str(error["msg"]).removeprefix("Value error, ")
    return f"{where}: {said[:1].lower()}{said[1:]}; {error.get('input')!r} was given."
