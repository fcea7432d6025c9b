from __future__ import annotations

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import av
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.video.captions import captions_vtt, chapters_vtt, passage_marks, sequence_marks
from lickwright.video.frames.clock import TriadNames
from lickwright.video.frames.encode import ChapterMark

F = Fraction

# W3C, WebVTT: The Web Video Text Tracks Format, section 4.1 (syntax of files, timestamps, cue
# text) and 4.3 (chapter titles), as far as our files use it; from memory of the document.
_TIME = r"(?:(\d{2,}):)?([0-5]\d):([0-5]\d)\.(\d{3})"
_TIMING = re.compile(rf"{_TIME}[ \t]+-->[ \t]+{_TIME}")
_STAMP = re.compile(rf"<{_TIME}>")
_ESCAPE = re.compile(r"&(amp|lt|gt|nbsp|lrm|rlm);")


@dataclass
class Cue:
    start: float
    end: float
    text: str


def seconds(hours: str | None, minutes: str, whole: str, thousandths: str) -> float:
    return int(hours or 0) * 3600 + int(minutes) * 60 + int(whole) + int(thousandths) / 1000


def parse_vtt(text: str) -> list[Cue]:
    """The cues of a file that keeps the grammar; fails where it does not."""
    assert "\0" not in text
    lines = text.split("\n")
    assert lines[0] == "WEBVTT"
    assert lines[1] == ""
    cues = list(_blocks(lines[2:]))
    assert all(before.start <= after.start for before, after in pairwise(cues))
    return cues


def _blocks(lines: list[str]) -> Iterator[Cue]:
    block: list[str] = []
    for line in [*lines, ""]:
        if line:
            block.append(line)
        elif block:
            timing = _TIMING.fullmatch(block[0])
            assert timing, block[0]
            start, end = seconds(*timing.groups()[:4]), seconds(*timing.groups()[4:])
            assert start < end
            body = "\n".join(block[1:])
            assert body
            assert "-->" not in body
            stamps = [seconds(*match.groups()) for match in _STAMP.finditer(body)]
            inside = [start, *stamps, end]
            assert all(before < after for before, after in pairwise(inside))
            bare = _ESCAPE.sub("", _STAMP.sub("", body))
            assert not re.search("[&<]", bare), bare
            yield Cue(start, end, body)
            block = []


def read_by_ffmpeg(text: str) -> list[tuple[float, float]]:
    with av.open(io.BytesIO(text.encode()), format="webvtt") as file:
        stream = file.streams.subtitles[0]
        return [
            (float(packet.pts * stream.time_base), float(packet.duration * stream.time_base))
            for packet in file.demux(stream)
            if packet.size
        ]


def test_captions_keep_the_grammar_and_are_read_by_another(demo_passage):
    passages = [demo_passage(index) for index in range(5)]
    text = captions_vtt(passages, 6.0)
    cues = parse_vtt(text)
    for read, cue in zip(read_by_ffmpeg(text), cues, strict=True):
        assert read == pytest.approx((cue.start, cue.end - cue.start))
    bars = sum(len(passage.score.bars) for passage in passages)
    assert len(cues) == bars + len(passages)
    assert cues[-1].end <= 6.0 + sum(passage.length_s for passage in passages)


def test_each_bar_is_captioned_when_it_sounds(score_of, passage_of):
    rows = [(4 - i % 4, 9 + i % 4, F(1, 2), {"voice": i // 4 % 2}) for i in range(16)]
    names = [TriadNames(F(0), ("D", "F#m"))]
    passage = passage_of(score_of(rows, chords=[(F(0), "Bbm9", "Bb")]), 84, names)
    cues = parse_vtt(captions_vtt([passage]))
    score = passage.score
    for bar, cue in zip(score.bars, cues[1:], strict=True):
        assert cue.start == pytest.approx(passage.seconds(bar.onset), abs=6e-4)
        assert cue.end == pytest.approx(passage.seconds(bar.end), abs=6e-4)
        assert cue.text.startswith(f"Bar {bar.number}, B♭m9: D and F♯m\n")
        degrees = cue.text.split("\n")[1].split()
        notes = [note for note in score.lick.notes if bar.onset <= note.onset < bar.end]
        assert [degree.replace("♭", "b").replace("♯", "#") for degree in degrees] == [
            note.degree for note in notes
        ]


def test_the_count_in_counts_on_the_beat(quarters, passage_of):
    cues = parse_vtt(captions_vtt([passage_of(quarters(1), 90, count_in_bars=2)]))
    assert [cue.text.split(":")[0] for cue in cues[:2]] == ["Count-in", "Count-in"]
    for bar, cue in enumerate(cues[:2]):
        stamps = [seconds(*match.groups()) for match in _STAMP.finditer(cue.text)]
        beats = [(bar * 4 + beat) * 60 / 90 for beat in range(4)]
        assert [cue.start, *stamps] == pytest.approx(beats, abs=6e-4)
        assert re.findall(r"\d+", _STAMP.sub("", cue.text)) == ["1", "2", "3", "4"]


def test_chapters_of_an_example_are_its_chords(everything, passage_of):
    passage = passage_of(everything, 90)
    cues = parse_vtt(chapters_vtt(passage_marks(passage, 2.0)))
    assert [cue.text for cue in cues] == ["Count-in", "F♯m7♭5/C", "B7♭9♯11", "E♭maj13♯11"]
    starts = [2.0, *(2.0 + passage.seconds(chord.onset) for chord in passage.score.chords)]
    assert [cue.start for cue in cues] == pytest.approx(starts, abs=6e-4)


def test_chapters_of_a_lesson_are_its_examples_end_to_end(demo_passage):
    passages = [demo_passage(index) for index in range(4)]
    cues = parse_vtt(chapters_vtt(sequence_marks(passages, 6.0)))
    assert [cue.text for cue in cues] == [
        f"{passage.score.name}, ♩ = {passage.tempo_bpm:g}" for passage in passages
    ]
    assert all(before.end == after.start for before, after in pairwise(cues))
    assert cues[-1].end == pytest.approx(6.0 + sum(p.length_s for p in passages), abs=6e-4)


@given(title=st.text(min_size=1), start=st.floats(0, 9e4), length=st.floats(0.01, 100))
@settings(max_examples=150)
def test_no_title_breaks_the_file(title, start, length):
    cues = parse_vtt(chapters_vtt([ChapterMark(start, start + length, title)]))
    assert len(cues) == (1 if title.replace("\0", "").split() else 0)
    assert all("\n" not in cue.text for cue in cues)
