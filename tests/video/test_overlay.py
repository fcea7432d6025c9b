from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from lickwright.errors import OutputError
from lickwright.neck.instrument import Guitar
from lickwright.theory.pitch import parse_pitch
from lickwright.video.frames.clock import Clock
from lickwright.video.frames.palette import PANEL_ALPHA
from lickwright.video.frames.pixels import Album
from lickwright.video.overlay import overlay_video, strip_of
from lickwright.video.panels.tab_page import UNPICKED

F = Fraction
SMALL = (960, 180)
FPS = F(30)


def decoded(path: Path) -> list[np.ndarray]:
    with av.open(str(path)) as film:
        return [frame.to_ndarray(format="rgba") for frame in film.decode(video=0)]


def read_back(passage, reader, ten_notes, note_at, path: Path) -> None:
    """At ten times, the lit place, figure, stroke and finger are those of the score."""
    file = overlay_video(passage, path, size=SMALL)
    frames = decoded(file.path)
    length = F(passage.length_s).limit_denominator(10**6)  # 245 thirtieths, not a hair more
    assert len(frames) == file.frames == -(-length * 30 // 1)
    strip = strip_of(Clock(passage), Album(), SMALL)
    read = reader(strip.tab, strip.neck, 0)
    found = ten_notes(passage, FPS)
    assert len(found) == min(10, len(passage.score.lick.notes))
    for index, frame in found:
        note = passage.score.lick.notes[index]
        time_s = float((frame + F(1, 2)) / FPS)
        assert note_at(passage, time_s) == index
        assert read.place(frames[frame], strip.neck.scene_of[index]) == note.position
        page = strip.tab.page_at(time_s)
        onset = max(note.onset, strip.tab.pages[page].onset)
        assert read.column(frames[frame], page) == (note.position.string, onset)
        if onset == note.onset:
            stroke = note.stroke is not None or note.technique in UNPICKED
            assert read.rows_lit(frames[frame]) == (stroke, note.finger is not None)


def test_the_lit_note_is_the_one_the_score_says(
    demo_index, demo_passage, reader, ten_notes, note_at, tmp_path
):
    read_back(demo_passage(demo_index), reader, ten_notes, note_at, tmp_path / "strip.mov")


def test_so_it_is_with_every_technique(
    everything, passage_of, reader, ten_notes, note_at, tmp_path
):
    read_back(passage_of(everything, 90), reader, ten_notes, note_at, tmp_path / "strip.mov")


def test_so_it_is_for_a_left_handed_player(
    score_of, passage_of, reader, ten_notes, note_at, tmp_path
):
    sweep = [(4, 12, 0), (3, 11, 0), (2, 10, 0), (1, 10, 0), (1, 14, 1), (2, 14, 1), (4, 16, 1)]
    rows = [(string, fret, F(1, 3), {"voice": voice}) for string, fret, voice in sweep * 3]
    passage = passage_of(score_of(rows, guitar=Guitar(left_handed=True)), 80)
    read_back(passage, reader, ten_notes, note_at, tmp_path / "strip.mov")


def test_so_it_is_on_seven_strings_from_the_nut_to_the_last_fret(
    score_of, passage_of, reader, ten_notes, note_at, tmp_path
):
    names = ("E4", "B3", "G3", "D3", "A2", "E2", "B1")
    seven = Guitar(open_strings=tuple(parse_pitch(name) for name in names))
    line = [(7, 0), (6, 12), (5, 14), (4, 16), (3, 19), (2, 22), (1, 24)]
    rows = [(string, fret, F(1, 2), {}) for string, fret in line * 2]
    passage = passage_of(score_of(rows, guitar=seven, pickup=F(1)), 120)
    read_back(passage, reader, ten_notes, note_at, tmp_path / "strip.mov")


def test_nothing_is_lit_in_the_count_in_in_a_rest_and_after_the_end(
    everything, passage_of, reader, tmp_path
):
    passage = passage_of(everything, 90)
    frames = decoded(overlay_video(passage, tmp_path / "strip.mov", size=SMALL).path)
    strip = strip_of(Clock(passage), Album(), SMALL)
    read = reader(strip.tab, strip.neck, 0)
    rest_s = passage.seconds(F(11, 4))
    for time_s, scene in ((0.1, 0), (rest_s, 1), (passage.music_end_s + 0.5, -1)):
        pixels = frames[int(time_s * 30)]
        assert read.place(pixels, scene) is None
        assert read.column(pixels, 0) is None
        assert read.rows_lit(pixels) == (False, False)


def test_the_count_in_counts(quarters, passage_of, tmp_path):
    passage = passage_of(quarters(1), 120)
    frames = decoded(overlay_video(passage, tmp_path / "strip.mov", size=SMALL).path)
    box = strip_of(Clock(passage), Album(), SMALL).now.box
    seen = [frames[int((0.25 + beat * 0.5) * 30)][:, box.left : box.right] for beat in range(4)]
    for beat, pixels in enumerate(seen):
        assert sum((pixels == other).all() for other in seen) == 1, beat
        assert (np.abs(pixels[..., :3].astype(int) - (255, 184, 28)).max(axis=2) == 0).sum() > 2000


@pytest.mark.parametrize(("coding", "slack"), [("animation", 0), ("prores", 3)])
def test_between_the_panels_there_is_nothing(coding, slack, quarters, passage_of, tmp_path):
    passage = passage_of(quarters(1), 240, tail_s=0.1)
    file = overlay_video(passage, tmp_path / "strip.mov", coding=coding, size=SMALL)
    with av.open(str(file.path)) as film:
        pixel_format = film.streams.video[0].codec_context.pix_fmt
    assert pixel_format.startswith({"animation": "argb", "prores": "yuva444p"}[coding])
    strip = strip_of(Clock(passage), Album(), SMALL)
    boxes = [panel.box for panel in (strip.now, strip.tab, strip.neck)]
    outside = np.ones(SMALL[::-1], bool)
    for box in boxes:
        outside[box.top : box.bottom, box.left : box.right] = False
    assert 0.03 < outside.mean() < 0.3
    for pixels in decoded(file.path):
        alpha = pixels[..., 3].astype(int)
        assert alpha[outside].max() <= slack
        for box in boxes:
            inner = alpha[box.top + 10 : box.bottom - 10, box.left + 10 : box.right - 10]
            assert inner.min() >= round(PANEL_ALPHA * 255) - 1 - slack


def test_there_is_no_dark_seam_around_a_panel(quarters, passage_of, tmp_path):
    """Where alpha is straight, even the nearly transparent pixels have the colour of paper."""
    passage = passage_of(quarters(1), 240, tail_s=0.1)
    pixels = decoded(overlay_video(passage, tmp_path / "strip.mov", size=SMALL).path)[0]
    faint = (pixels[..., 3] < 200) & (pixels[..., 3] > 8)
    assert faint.any()
    assert pixels[faint][:, :3].min() > 200


@pytest.mark.parametrize("coding", ["animation", "prores"])
def test_the_same_score_gives_the_same_bytes(coding, quarters, passage_of, tmp_path):
    passage = passage_of(quarters(1), 240, tail_s=0.1)
    first, second = (
        overlay_video(passage, tmp_path / name, coding=coding, size=SMALL).path.read_bytes()
        for name in ("a.mov", "b.mov")
    )
    assert first == second


_FRESH = """
import hashlib, sys
from lickwright.lick.notes import Lick, LickNote
from lickwright.neck.instrument import Guitar, Position
from lickwright.score.score import Bar, ChordSpan, Score
from lickwright.theory.key import parse_key
from lickwright.theory.chord import parse_chord
from lickwright.theory.pitch import parse_note_name, parse_pitch
from lickwright.video.frames.clock import Passage
from lickwright.video.overlay import overlay_video
from fractions import Fraction as F
notes = tuple(
    LickNote(Position(s, 5), parse_pitch(p), F(i), F(1), voice=i % 2, degree="b3")
    for i, (s, p) in enumerate([(1, "A4"), (2, "E4"), (3, "C4"), (4, "G3")])
)
bar = Bar(1, F(0), F(4), 4, 4, parse_key("D dorian"))
chord = ChordSpan(F(0), F(4), parse_chord("Dm9"), (), parse_note_name("D"))
score = Score("Trial", Guitar(), Lick(notes, F(4)), (bar,), (chord,), 60, 90)
overlay_video(Passage(score, 240, 0, 1), sys.argv[1], size=(640, 120))
print(hashlib.sha256(open(sys.argv[1], "rb").read()).hexdigest())
"""


def test_the_bytes_do_not_hang_on_the_process(tmp_path):
    sums = [
        subprocess.run(
            [sys.executable, "-c", _FRESH, str(tmp_path / f"{seed}.mov")],
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
            text=True,
        )
        for seed in ("1", "2")
    ]
    assert sums[0].stdout == sums[1].stdout
    assert len(sums[0].stdout.strip()) == hashlib.sha256().digest_size * 2
    assert all(run.stderr == "" for run in sums)


@pytest.mark.parametrize(
    "asked",
    [{"coding": "film"}, {"size": (961, 180)}, {"size": (32, 32)}, {"fps": 0}],
)
def test_what_cannot_be_coded_is_refused(asked, quarters, passage_of, tmp_path):
    with pytest.raises(OutputError) as caught:
        overlay_video(passage_of(quarters(1), 100), tmp_path / "strip.mov", **asked)
    assert caught.value.mend
    assert list(tmp_path.iterdir()) == []
