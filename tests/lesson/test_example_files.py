"""What an example's files share is made once, and its parts are the same read back."""

from __future__ import annotations

import io
import zipfile
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import lickwright.video
from lickwright.lesson.compile import Workshop
from lickwright.lesson.file import load_lesson
from lickwright.publish.example_files import MadeExample, Parts, make_example, parts_file
from lickwright.publish.pages import settings_of
from lickwright.sound.mix import files as mix_files
from lickwright.sound.mix import rendering

Write = Callable[[str], Path]


@pytest.fixture
def renders(monkeypatch: pytest.MonkeyPatch) -> Counter[tuple[Any, ...]]:
    """How often each part was rendered at which tempo, and how often samples were levelled."""
    counted: Counter[tuple[Any, ...]] = Counter()

    def count(module: Any, name: str, key: Callable[..., tuple[Any, ...]]) -> None:
        real = getattr(module, name)

        def counting(*args: Any, **named: Any) -> Any:
            counted[key(*args, **named)] += 1
            return real(*args, **named)

        monkeypatch.setattr(module, name, counting)

    def part(name: str) -> Callable[..., tuple[Any, ...]]:
        return lambda score, tempo, playing: (name, float(tempo), playing.count_in_bars)

    for name in ("lead_stem", "backing_stem", "click_stem"):
        count(rendering, name, part(name))
    for module in (lickwright.sound.mix, mix_files):
        count(module, "level", lambda samples, *_: ("level", len(samples), samples.sum()))
    return counted


def made(path: Path, **changed: Any) -> MadeExample:
    lesson = load_lesson(path)
    settings = replace(settings_of(lesson, 1), **changed)
    return make_example(Workshop(lesson).worked(1), 1, settings)


def written(*args: Any, **_: Any) -> None:
    """Stands for the encoder of films."""
    next(arg for arg in args if isinstance(arg, Path)).write_bytes(b"film")


@pytest.mark.parametrize("backing", ["chords", "none"])
def test_lead_band_and_click_are_rendered_once_for_all_files(
    small: str,
    write: Write,
    renders: Counter[tuple[Any, ...]],
    monkeypatch: pytest.MonkeyPatch,
    backing: str,
) -> None:
    for name in ("lesson_video", "overlay_video"):
        monkeypatch.setattr(lickwright.video, name, written)
    extras = ("stems", "ladder", "video", "overlay")
    example = made(write(small), backing=backing, extras=extras)
    assert {"mp4", "mov", "zip"} <= {name.rpartition(".")[2] for name in example.files}
    assert set(renders.values()) == {1}
    tempi = {key[1] for key in renders if key[0] == "lead_stem"}
    assert {60.0, 90.0} < tempi
    band = {key[1] for key in renders if key[0] == "backing_stem"}
    # Without a band only the stems hold it, at full speed.
    assert band == (tempi if backing == "chords" else {90.0})


def test_an_example_with_one_tempo_is_rendered_once(
    small: str, write: Write, renders: Counter[tuple[Any, ...]]
) -> None:
    made(write(small.replace("slow: 60", "slow: 90")))
    assert set(renders.values()) == {1}
    assert sum(key[0] == "lead_stem" for key in renders) == 1


def test_the_stems_add_up_to_what_is_heard(small: str, write: Write) -> None:
    files = made(write(small), audio="wav", extras=("stems",)).files
    name = next(name for name in files if name.endswith("-stems.zip"))
    with zipfile.ZipFile(io.BytesIO(files[name])) as archive:
        total = sum(mix_files.decode(archive.read(part)) for part in archive.namelist())
    heard = mix_files.decode(files[name.replace("-stems.zip", "-target.wav")])
    # One gain lies between them: what is left is rounding, but for the 10 ms about each peak that
    # the limiter of the file turned down.
    loud = np.abs(total) > 0.05
    gain = float(np.median(heard[loud] / total[loud]))
    total = total * gain
    apart = np.abs(total - heard).max(axis=1) > 1e-3
    peaks = np.abs(total).max(axis=1) > 10 ** (-1.5 / 20)
    near = np.convolve(peaks, np.ones(2 * 441 + 1), mode="same") > 0
    assert not (apart & ~near).any()
    assert near.mean() < 0.3


def test_parts_are_the_same_read_back(small: str, write: Write) -> None:
    example = made(write(small))
    data = example.files[parts_file("02-own-notes")]
    assert Parts.from_json(data) == example.parts
    assert example.parts.to_json() == data
    silent = replace(
        example.parts, measured={"a.wav": {"loudness_lufs": float("-inf"), "seconds": 1.0}}
    )
    assert Parts.from_json(silent.to_json()) == silent


def test_the_build_does_not_read_what_it_wrote(
    small: str, write: Write, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lickwright.publish import build

    monkeypatch.setattr(Parts, "from_json", None)
    report = build(load_lesson(write(small)), tmp_path / "out")
    assert "01-the-pair" in report.built
