"""The JSON Schema of lesson files."""

from __future__ import annotations

from typing import Any

from lickwright.lesson.file.entries import LessonEntry


def lesson_schema() -> dict[str, Any]:
    """JSON Schema (2020-12) of a lesson file, for editors that check and complete YAML."""
    schema = LessonEntry.model_json_schema()
    example = schema["$defs"]["ExampleEntry"]
    example["anyOf"] = [{"required": [kind]} for kind in ("triads", "parts", "tab", "lick")]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Lickwright lesson",
        **{key: value for key, value in schema.items() if key != "title"},
    }
