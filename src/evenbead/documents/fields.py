"""The values documents hold: quantities with a physical range, plain numbers, and what stands in for a missing one.

A field says all that a person and a program need to know about it:

    bore: Annotated[float, Quantity(SMALL_LENGTH, low="5 mm", high="200 mm")]
    stopwatch_doubt: Annotated[float, Quantity(SHORT_DURATION, low="0 s", high="10 s"), Assumed("why")] = 0.3
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import date, time
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError
from pydantic_core import InitErrorDetails, PydanticCustomError, core_schema

from evenbead.errors import InputRefused
from evenbead.quantities import Kind, UnitFault, exact, parse, unit_label

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pydantic import GetCoreSchemaHandler
    from pydantic.fields import FieldInfo

    from evenbead.quantities import UnitSystem


class Document(BaseModel):
    """Part of a document: frozen, and refusing keys that it does not know."""

    model_config: ClassVar[ConfigDict] = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


def refusal(what: str, expected: str) -> PydanticCustomError:
    """A fault found while a document is checked, in the two halves that a `Fault` has."""
    return PydanticCustomError("document", "{what}", {"what": what, "expected": expected})


def with_refusal(error: ValidationError, also: PydanticCustomError) -> ValidationError:
    """The faults found so far and one more, for a check that can be made although they were found."""
    found = [
        InitErrorDetails(
            type=PydanticCustomError(detail["type"], "{what}", {"what": detail["msg"], **detail.get("ctx", {})}),
            loc=detail["loc"],
            input=detail["input"],
        )
        for detail in error.errors(include_url=False)
    ]
    return ValidationError.from_exception_data(error.title, [*found, InitErrorDetails(type=also, loc=(), input=None)])


def as_typed(value: object) -> str:
    """A value from a file the way a person typed it, cut to what fits into a message.

    Examples
    --------
    >>> as_typed(True), as_typed("35"), as_typed({"on": "M7"})
    ('true', '"35"', 'a table')
    """
    match value:
        case bool():
            return str(value).lower()
        case dict():
            return "a table"
        case list() | tuple():
            return "a list"
        case date() | time():
            return value.isoformat()
        case str():
            return f'"{_short(value)}"'
        case _:
            return _short(str(value))


def _short(text: str) -> str:
    return text if len(text) <= 40 else f"{text[:37]}..."


_LONGEST_QUANTITY = 80  # characters; a number and its unit need far less


@dataclass(frozen=True, slots=True)
class Quantity:
    """A text with a unit, held as an SI float between two bounds (both allowed)."""

    kind: Kind
    low: str
    high: str

    def __get_pydantic_core_schema__(self, _source: object, _handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.checked)

    def checked(self, value: object) -> float:
        """The SI value of a text, or a refusal that says what was expected."""
        if not isinstance(value, str):
            bare = isinstance(value, int | float) and not isinstance(value, bool)
            raise refusal(
                f"{as_typed(value)} is {'a bare number' if bare else 'no text'}",
                f'expected {self.kind.name} with its unit, such as "{self.high}"',
            )
        if len(value) > _LONGEST_QUANTITY:
            raise refusal(f"a text of {len(value)} characters", f'expected {self.kind.name} such as "{self.high}"')
        try:
            si = parse(value, self.kind)
        except UnitFault as fault:
            raise refusal(fault.what, fault.expected) from None
        if not parse(self.low, self.kind) <= si <= parse(self.high, self.kind):
            raise refusal(f'"{value}" is out of range', f"expected {self.range_text}")
        return si

    @property
    def range_text(self) -> str:
        """The allowed range as a person reads it."""
        return f"{unit_label(self.low)} to {unit_label(self.high)}"


@dataclass(frozen=True, slots=True)
class Number:
    """A bare number, a ratio or a count, between two bounds (both allowed)."""

    low: float
    high: float
    whole: bool = False

    def __get_pydantic_core_schema__(self, _source: object, _handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.checked)

    def checked(self, value: object) -> float | int:
        """The number itself, or a refusal that says what was expected."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise refusal(
                f"{as_typed(value)} is no bare number", f"expected a number from {self.range_text}, without quotes"
            )
        if not self.low <= value <= self.high:  # false for nan too
            raise refusal(f"{as_typed(value)} is out of range", f"expected {self.range_text}")
        if self.whole and value != int(value):
            raise refusal(f"{as_typed(value)} is no whole number", f"expected a whole number from {self.range_text}")
        return int(value) if self.whole else float(value)

    @property
    def range_text(self) -> str:
        """The allowed range as a person reads it."""
        return f"{self.low:g} to {self.high:g}"


def typed_quantity(text: str, field: FieldInfo, *, name: str) -> float:
    """The SI value of a quantity typed elsewhere than in a file, held to the range of the field it stands for.

    Raises
    ------
    InputRefused
        It is no such quantity; `name` says what it was typed for.
    """
    mark = next(mark for mark in field.metadata if isinstance(mark, Quantity))
    try:
        return mark.checked(text)
    except PydanticCustomError as error:
        context = error.context or {}
        raise InputRefused.because(context["what"], expected=context["expected"], key=name) from None


@dataclass(frozen=True, slots=True)
class Assumed:
    """Marks a default that stands in for a value nobody gave, with where it comes from."""

    source: str


def one_line(value: object) -> str:
    """A text as a label can hold it, or a refusal."""
    if not isinstance(value, str) or not value.strip():
        raise refusal(f"{as_typed(value)} is no text", "expected a text in quotes")
    if len(value) > 200:
        raise refusal("a text of more than 200 characters", "expected a short text")
    if any(_breaks_a_line(character) for character in value):
        raise refusal("a text with control characters", "expected one line of plain text")
    return value.strip()


def _breaks_a_line(character: str) -> bool:
    """Controls, ends of lines and paragraphs, and code points that are no characters: no label can hold them."""
    is_none = ord(character) & 0xFFFE == 0xFFFE or 0xFDD0 <= ord(character) <= 0xFDEF
    return is_none or unicodedata.category(character) in ("Cc", "Zl", "Zp")


Text = Annotated[str, BeforeValidator(one_line)]
"""One line of words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A value that nobody gave and the plan leans on."""

    key: str
    value: str
    source: str


def assumptions(document: Document, name: str, system: UnitSystem = "metric") -> Iterator[Assumption]:
    """The defaults that stand in for missing values anywhere in a document, each with its source."""
    for key, info, value in _walk(document):
        source = next((mark.source for mark in info.metadata if isinstance(mark, Assumed)), None)
        if source is not None and value.given is False:
            yield Assumption(key=f"{name}: {key}", value=as_written(value.value, info, system), source=source)


def as_written(value: object, info: FieldInfo, system: UnitSystem) -> str:
    """A field's value the way it would stand in a file, without quotes."""
    quantity = next((mark for mark in info.metadata if isinstance(mark, Quantity)), None)
    if quantity is not None and isinstance(value, float):
        return exact(value, quantity.kind, system)
    return f"{value:g}" if isinstance(value, float) else str(value)


@dataclass(frozen=True, slots=True)
class _Value:
    value: object
    given: bool


def _walk(document: Document, prefix: str = "") -> Iterator[tuple[str, FieldInfo, _Value]]:
    for field, info in type(document).model_fields.items():
        value: Any = getattr(document, field)
        key = f"{prefix}{info.alias or field}"
        if isinstance(value, Document):
            yield from _walk(value, f"{key}.")
        else:
            yield key, info, _Value(value, field in document.model_fields_set)
