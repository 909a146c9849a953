"""The JSON Schema of a schedule file, made from the model and kept in the package for editors."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from mashday.schedule.model import Schedule

DIALECT = "https://json-schema.org/draft/2020-12/schema"


class _AsWritten(GenerateJsonSchema):
    """The schema of what a TOML file may hold: no null, and defaults only where they read as written."""

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        inner = self.generate_inner(schema["schema"])
        default = schema.get("default")
        return {**inner, "default": default} if isinstance(default, str | bool) else inner


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a schedule file."""
    return {"$schema": DIALECT, **Schedule.model_json_schema(schema_generator=_AsWritten)}


def schema_text() -> str:
    """The schema as JSON text: what `schema.json` beside this file must hold."""
    return json.dumps(schema(), indent=2) + "\n"


def kept_schema_text() -> str:
    """The JSON text of the schema that ships in the package."""
    return (files("mashday.schedule") / "schema.json").read_text("utf-8")
