from __future__ import annotations

import resource
from pathlib import Path

import numpy as np
import pytest

from lickwright.errors import OutputError
from lickwright.video import film
from lickwright.video.film import lesson_video
from lickwright.video.frames import encode
from lickwright.video.frames.encode import OVERLAY_CODINGS, Coding, Writer
from lickwright.video.frames.planes import ArgbPlanes
from lickwright.video.overlay import overlay_video

SMALL = (640, 120)


@pytest.fixture
def small_disk():
    """A disk on which no file may grow beyond 20 kB."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, before[1]))
    yield
    resource.setrlimit(resource.RLIMIT_FSIZE, before)


def write_overlay(passage, path: Path) -> None:
    overlay_video(passage, path, size=SMALL)


def write_film(passage, path: Path) -> None:
    audio = np.random.default_rng(0).normal(0, 0.1, (round(passage.length_s * 44100), 2))
    lesson_video([passage], audio.astype(np.float32), path, size=(640, 360), card_s=0.5)


@pytest.mark.parametrize("write", [write_overlay, write_film])
def test_a_full_disk_is_said_and_leaves_the_former_file(
    write, small_disk, quarters, passage_of, tmp_path
):
    path = tmp_path / "film.mov"
    path.write_bytes(b"the former one")
    with pytest.raises(OutputError, match="cannot be written") as caught:
        write(passage_of(quarters(2), 120), path)
    assert caught.value.mend
    assert str(caught.value.where) == str(path)
    assert path.read_bytes() == b"the former one"
    assert list(tmp_path.iterdir()) == [path]


def test_a_missing_folder_is_said(quarters, passage_of, tmp_path):
    with pytest.raises(OutputError, match="no such file or directory"):
        write_overlay(passage_of(quarters(1), 240), tmp_path / "gone" / "film.mov")


@pytest.mark.parametrize("write", [write_overlay, write_film])
def test_an_interrupted_build_leaves_the_former_file(
    write, monkeypatch, quarters, passage_of, tmp_path
):
    path = tmp_path / "film.mov"
    path.write_bytes(b"the former one")
    written = []

    def stop(self: Writer, frame: object) -> None:
        written.append(frame)
        if len(written) == 5:
            raise KeyboardInterrupt

    monkeypatch.setattr(Writer, "write", stop)
    with pytest.raises(KeyboardInterrupt):
        write(passage_of(quarters(1), 120), path)
    assert path.read_bytes() == b"the former one"
    assert list(tmp_path.iterdir()) == [path]


def test_a_codec_that_is_not_there_is_said(monkeypatch, quarters, passage_of, tmp_path):
    absent = Coding("no_such_codec", "mov", ".mov", ArgbPlanes, 1)
    monkeypatch.setattr(encode, "OVERLAY_CODINGS", {"animation": absent})
    monkeypatch.setattr("lickwright.video.overlay.OVERLAY_CODINGS", {"animation": absent})
    with pytest.raises(OutputError, match="no_such_codec"):
        write_overlay(passage_of(quarters(1), 240), tmp_path / "film.mov")
    assert list(tmp_path.iterdir()) == []


def test_every_coding_has_its_name_and_its_threads():
    for coding in (*OVERLAY_CODINGS.values(), film.H264):
        assert coding.threads in (1, 2)
        assert coding.suffix in (".mov", ".mp4")
