"""Turn the domain's values into what a fact may hold, and back, by their declared types."""

import dataclasses
from collections.abc import Callable, Mapping
from datetime import date, time
from enum import Enum
from functools import cache
from types import MappingProxyType, NoneType, UnionType
from typing import Any, Final, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from shedstation.domain.facts import Json, Payload
from shedstation.domain.mass import Mass, parse_mass
from shedstation.domain.price import Price, parse_price

T = TypeVar("T")

ADDED_LATER: Final = MappingProxyType({"left_out_at_default": True})
"""Metadata of a field that came after the first facts: at its default it is left out of a payload,
so that a day replayed today has the hashes it had then."""

_PARSERS: Final[Mapping[type, Callable[[str], object]]] = {Mass: parse_mass, Price: parse_price}
"""How values that are recorded as their fixed text are read back."""


def to_payload(value: object) -> dict[str, Json]:
    """Give a frozen value's fields as JSON: masses, dates and enumerations as text."""
    assert dataclasses.is_dataclass(value)  # noqa: S101  # narrows the type for the checker
    held = ((field, getattr(value, field.name)) for field in dataclasses.fields(value))
    return {field.name: to_json(each) for field, each in held if not _stays_out(field, each)}


def _stays_out(field: dataclasses.Field[Any], value: object) -> bool:
    return bool(field.metadata.get("left_out_at_default")) and value == field.default


def to_json(value: object) -> Json:
    """Give one value as JSON without floats.

    Raises:
        TypeError: if a fact cannot hold such a value.
    """
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, Mass | Price):
        return str(value)
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, Enum):
        return cast("Json", value.value)
    return _container_json(value)


def _container_json(value: object) -> Json:
    if isinstance(value, Mapping):
        return {str(key): to_json(each) for key, each in value.items()}
    if isinstance(value, tuple | list):
        return [to_json(each) for each in value]
    if dataclasses.is_dataclass(value):
        return to_payload(value)
    msg = f"Cannot record a {type(value).__name__}: expected text, whole numbers, masses, dates."
    raise TypeError(msg)


@cache
def _hints(kind: Any) -> dict[str, Any]:  # noqa: ANN401  # any dataclass
    return get_type_hints(kind)


def from_payload(kind: type[T], payload: Payload) -> T:
    """Rebuild a value from its payload; fields that the payload lacks take their defaults.

    Raises:
        ValueError: if a text is not what the field holds.
        TypeError: if a field without default is missing.
    """
    hints: dict[str, Any] = _hints(cast("Any", kind))
    given = {name: _value(hints[name], payload[name]) for name in hints if name in payload}
    return kind(**given)


def _value(kind: Any, raw: Json) -> Any:  # noqa: ANN401  # types are only known at run time
    origin = get_origin(kind)
    if origin in (Union, UnionType):
        return None if raw is None else _value(_without_none(kind), raw)
    if origin is tuple:
        return _tuple(get_args(kind), cast("list[Json]", raw))
    if isinstance(kind, type) and origin is None:
        return _plain(kind, raw)
    return raw


def _without_none(kind: Any) -> Any:  # noqa: ANN401  # types are only known at run time
    return next(each for each in get_args(kind) if each is not NoneType)


def _tuple(kinds: tuple[Any, ...], raw: list[Json]) -> tuple[Any, ...]:
    if kinds[-1] is Ellipsis:
        return tuple(_value(kinds[0], each) for each in raw)
    return tuple(_value(kind, each) for kind, each in zip(kinds, raw, strict=True))


def _plain(kind: type, raw: Json) -> Any:  # noqa: ANN401  # types are only known at run time
    if kind in _PARSERS:
        return _PARSERS[kind](cast("str", raw))
    if kind in (date, time):
        return kind.fromisoformat(cast("str", raw))
    if issubclass(kind, Enum):
        return kind(raw)
    if dataclasses.is_dataclass(kind):
        return from_payload(kind, cast("Payload", raw))
    return raw
