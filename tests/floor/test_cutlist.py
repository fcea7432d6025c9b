"""Cutting lists, read back by OpenTimelineIO's own readers."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import opentimelineio as otio
import pytest

from lickwright.errors import OutputError
from lickwright.formats.cutlist import CutClip, CutList, CutMarker, edl_text, otio_text

CLIPS = (CutClip("The pair, slow", 61.2, 8.4), CutClip("The pair", 12.04, 5.0))
MARKERS = (
    CutMarker("The pair", 13.0, 3.0, True, "no fault"),
    CutMarker("In fives, bar 2", 40.0, 2.5, False, "2 late"),
)


def cut(fps: Fraction = Fraction(25), timecode: str = "", reel: str = "") -> CutList:
    return CutList("Tide", Path("/a/b/lesson-cam.mov"), 100.0, fps, timecode, reel, CLIPS, MARKERS)


@pytest.mark.parametrize("fps", [Fraction(25), Fraction(30000, 1001), Fraction(60)])
def test_the_timeline_comes_back_with_clips_and_markers(fps: Fraction) -> None:
    read = otio.adapters.read_from_string(otio_text(cut(fps)), "otio_json")
    rough, whole = read.tracks
    assert [clip.name for clip in rough] == [clip.name for clip in CLIPS]
    for clip, wanted in zip(rough, CLIPS, strict=True):
        reach = clip.source_range
        assert reach.start_time.rate == pytest.approx(float(fps))
        frame = 1 / float(fps)
        assert reach.start_time.to_seconds() == pytest.approx(wanted.start_s, abs=frame)
        assert reach.duration.to_seconds() == pytest.approx(wanted.length_s, abs=frame)
        assert clip.media_reference.target_url == "lesson-cam.mov"
        assert (
            reach.end_time_inclusive() <= clip.media_reference.available_range.end_time_inclusive()
        )
    (recording,) = whole
    assert [(m.name, m.comment) for m in recording.markers] == [(m.name, m.note) for m in MARKERS]
    assert [m.color for m in recording.markers] == ["GREEN", "YELLOW"]


def test_the_edl_comes_back_with_source_time_code_and_reel() -> None:
    text = edl_text(cut(timecode="10:00:00:00", reel="A012 C3"))
    read = otio.adapters.read_from_string(text, "cmx_3600", rate=25)
    clips = list(read.find_clips())
    assert [clip.name for clip in clips] == [clip.name for clip in CLIPS]
    # Ten hours and 61.2 s at 25 frames a second.
    assert clips[0].source_range.start_time.to_timecode() == "10:01:01:05"
    assert clips[0].source_range.duration.to_frames() == 210
    assert {clip.metadata["cmx_3600"]["reel"] for clip in clips} == {"A012C3"}
    # The record side runs on from clip to clip.
    events = [line.split() for line in text.splitlines() if line[:3].isdigit()]
    assert events[0][7] == events[1][6]


def test_without_a_reel_the_file_lends_its_name() -> None:
    assert "LESSONCA" in edl_text(cut())


def test_what_an_edl_cannot_say_is_refused() -> None:
    with pytest.raises(OutputError, match="cutting list of nothing"):
        edl_text(CutList("x", Path("a.mov"), 1.0, Fraction(25), "", "", (), ()))
    with pytest.raises(OutputError, match="time code"):
        otio_text(cut(timecode="eleven"))
