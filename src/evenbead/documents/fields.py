"""The values documents hold: quantities with a physical range, plain numbers, and what stands in for a missing one.

A field says all that a person and a program need to know about it:

    bore: Annotated[float, Quantity(SMALL_LENGTH, low="5 mm", high="200 mm")]
    stopwatch_doubt: Annotated[float, Quantity(SHORT_DURATION, low="0 s", high="10 s"), Assumed("why")] = 0.3
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, ClassVar

from pydantic import BaseModel, BeforeValidator, ConfigDict
from pydantic_core import PydanticCustomError, core_schema

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
            article = "a bare number" if isinstance(value, int | float) else "no text"
            raise refusal(f"{value!r} is {article}", f'expected {self.kind.name} with its unit, such as "{self.high}"')
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
            raise refusal(f"{value!r} is no bare number", f"expected a number from {self.range_text}, without quotes")
        if self.whole and value != int(value):
            raise refusal(f"{value!r} is no whole number", f"expected a whole number from {self.range_text}")
        if not self.low <= value <= self.high:
            raise refusal(f"{value!r} is out of range", f"expected {self.range_text}")
        return int(value) if self.whole else float(value)

    @property
    def range_text(self) -> str:
        """The allowed range as a person reads it."""
        return f"{self.low:g} to {self.high:g}"


@dataclass(frozen=True, slots=True)
class Assumed:
    """Marks a default that stands in for a value nobody gave, with where it comes from."""

    source: str


def _word(value: object) -> str:
    if not isinstance(value, str) or not value.strip():
        raise refusal(f"{value!r} is no text", "expected a text in quotes")
    if len(value) > 200:
        raise refusal("a text of more than 200 characters", "expected a short text")
    if any(ord(character) < 32 for character in value):
        raise refusal("a text with control characters", "expected one line of plain text")
    return value.strip()


Text = Annotated[str, BeforeValidator(_word)]
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
