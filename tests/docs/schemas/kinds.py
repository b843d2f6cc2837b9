"""What a value in a document may be, and how that is said in JSON Schema, draft 2020-12."""

from __future__ import annotations

import enum
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Protocol, TypeAlias

Json: TypeAlias = Any
"""Nothing, a truth value, a number, a text, a list or a mapping of those."""


class Meanings(Protocol):
    """Says what a key means."""

    def of(self, key: str, at: tuple[str, ...]) -> str:
        """Return the words for a key; ``at`` names the tables to look into first."""
        ...


@dataclass(slots=True, kw_only=True)
class Writing:
    """One schema in the making, with the definitions that it has come across."""

    meanings: Meanings
    definitions: dict[str, Json] = field(default_factory=dict)

    def refer(self, name: str, definition: Json) -> Json:
        """Keep a definition, and return what refers to it; two of one name are a mistake."""
        if self.definitions.setdefault(name, definition) != definition:
            raise ValueError(f"two definitions go by the name {name!r}")
        return {"$ref": f"#/$defs/{name}"}


class Kind(Protocol):
    """What a value may be."""

    def schema(self, writing: Writing) -> dict[str, Json]:
        """Return its schema; what has a name goes among the definitions."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Scalar:
    """A text, a number or a truth value."""

    name: str = ""
    """Empty where it is not worth a definition of its own."""
    says: str = ""
    form: Mapping[str, Json]

    def schema(self, writing: Writing) -> dict[str, Json]:
        """Return its form, or what refers to it."""
        if not self.name:
            return dict(self.form)
        definition: Json = writing.refer(self.name, {"description": self.says, **self.form})
        return dict(definition)


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """One of a closed set of words."""

    name: str
    says: str
    words: tuple[str, ...]

    def schema(self, writing: Writing) -> dict[str, Json]:
        """Return what refers to the set."""
        definition: Json = writing.refer(
            self.name, {"description": self.says, "type": "string", "enum": list(self.words)}
        )
        return dict(definition)


def closed(members: type[enum.Enum], name: str) -> Closed:
    """Return the words of an enum; its docstring says what they are."""
    says = (members.__doc__ or "").splitlines()[0]
    return Closed(name=name, says=says, words=tuple(str(each.value) for each in members))


@dataclass(frozen=True, slots=True)
class Maybe:
    """The same, or ``null``."""

    of: Kind

    def schema(self, writing: Writing) -> dict[str, Json]:
        """Return its schema."""
        inner = self.of.schema(writing)
        if isinstance(inner.get("type"), str):
            return {**inner, "type": [inner["type"], "null"]}
        return {"anyOf": [inner, {"type": "null"}]}


@dataclass(frozen=True, slots=True)
class Many:
    """A list."""

    of: Kind
    least: int = 0
    most: int | None = None

    def schema(self, writing: Writing) -> dict[str, Json]:
        """Return its schema."""
        schema: dict[str, Json] = {"type": "array", "items": self.of.schema(writing)}
        if self.least:
            schema["minItems"] = self.least
        if self.most is not None:
            schema["maxItems"] = self.most
        return schema


@dataclass(frozen=True, slots=True)
class Keyed:
    """An object whose keys are not words of the form but ids or names."""

    keys: Kind
    of: Kind
    least: int = 0
    """Keys that it has at least."""

    def schema(self, writing: Writing) -> dict[str, Json]:
        """Return its schema."""
        schema: dict[str, Json] = {
            "type": "object",
            "propertyNames": self.keys.schema(writing),
            "additionalProperties": self.of.schema(writing),
        }
        if self.least:
            schema["minProperties"] = self.least
        return schema


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """An object with just these keys."""

    name: str
    says: str
    keys: Mapping[str, Kind]
    at: tuple[str, ...] = ()
    """Words in the headings of the tables that explain its keys, the nearest first."""
    optional: frozenset[str] = frozenset()
    """Keys that may be missing."""

    def schema(self, writing: Writing) -> dict[str, Json]:
        """Return what refers to it."""
        definition: Json = writing.refer(
            self.name, {"description": self.says, **self.open(writing)}
        )
        return dict(definition)

    def open(self, writing: Writing) -> dict[str, Json]:
        """Return its schema itself."""
        properties = {}
        for key, kind in self.keys.items():
            meaning = writing.meanings.of(key, self.at)
            properties[key] = {"description": meaning, **kind.schema(writing)}
        return {
            "type": "object",
            "properties": properties,
            "required": [key for key in self.keys if key not in self.optional],
            "additionalProperties": False,
        }


@dataclass(frozen=True, slots=True)
class Either:
    """One of several objects."""

    of: tuple[Record, ...]

    def schema(self, writing: Writing) -> dict[str, Json]:
        """Return its schema."""
        return {"oneOf": [each.schema(writing) for each in self.of]}


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """One form of document; its key ``format`` need not be named."""

    name: str
    """``verdict``."""
    version: int
    title: str
    says: str
    body: Mapping[str, Kind] | Either

    @property
    def format(self) -> str:
        """``brakelog.verdict/1``: what stands in its key ``format``."""
        return f"brakelog.{self.name}/{self.version}"

    @property
    def file(self) -> str:
        """Name of the file of its schema."""
        return f"{self.name}-{self.version}.json"

    def open(self, writing: Writing) -> dict[str, Json]:
        """Return its schema itself."""
        head = {"format": Scalar(form={"const": self.format})}
        if isinstance(self.body, Either):
            variants = (replace(each, keys={**head, **each.keys}) for each in self.body.of)
            return Either(tuple(variants)).schema(writing)
        return Record(name=self.name, says=self.says, keys={**head, **self.body}).open(writing)
