"""The JSON Schema and the page that explains the lesson file."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest
from ruamel.yaml import YAML

from lickwright.lesson.file.entries import ExampleEntry, LessonEntry
from lickwright.lesson.file.keys import Entry
from lickwright.lesson.file.parts import PartEntry
from lickwright.lesson.file.reading import load_lesson, read_lesson
from lickwright.lesson.file.schema import lesson_schema
from lickwright.lesson.file.settings import Backing, GuitarEntry
from lickwright.sound.band.feel import FEELS

DOC = Path(__file__).parents[2] / "docs" / "lesson-file.md"


@pytest.mark.parametrize("model", [LessonEntry, GuitarEntry, ExampleEntry, PartEntry])
def test_every_key_is_explained_in_the_docs(
    model: type[Entry],
) -> None:
    text = DOC.read_text(encoding="utf-8")
    assert [key for key in model.model_fields if f"`{key}`" not in text] == []


def test_the_lesson_in_the_docs_is_a_lesson() -> None:
    text = DOC.read_text(encoding="utf-8").split("```yaml\n")[1].split("```")[0]
    assert read_lesson(text, DOC).entry.number == 12


def test_the_demo_lesson_fits_the_schema(demo_path: Path) -> None:
    """Draft 2020-12, checked with the reference validator where it is installed."""
    jsonschema = pytest.importorskip("jsonschema")
    raw = YAML(typ="safe").load(demo_path.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(lesson_schema())
    jsonschema.validate(_with_text_keys(raw), lesson_schema())


def _with_text_keys(value: object) -> object:
    """JSON has text keys alone."""
    if isinstance(value, dict):
        return {str(key): _with_text_keys(inner) for key, inner in value.items()}
    return [_with_text_keys(inner) for inner in value] if isinstance(value, list) else value


def test_every_backing_is_a_feel_of_the_band() -> None:
    assert set(get_args(Backing)) == {*FEELS, "none"}


def test_the_demo_is_in_order(demo_path: Path) -> None:
    lesson = load_lesson(demo_path)
    kinds = {example.kind for example in lesson.examples}
    assert kinds == {"triads", "parts", "tab", "lick"}
    assert len(lesson.examples) >= 4
