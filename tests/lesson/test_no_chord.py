"""N.C. in the changes: the band is silent, the line goes on and is heard against the chord before.

What N.C. asks of a band is common practice, no source; how it is written in MusicXML is told by
MusicXML 4.0 (2021), ``harmony`` and its kind ``none``.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import music21
import pytest
from typer.testing import CliRunner

from lickwright.changes.progression.chart import parse_changes
from lickwright.cli.app import app
from lickwright.engrave.page.systems import engrave
from lickwright.errors import RhythmError
from lickwright.formats.incoming.reading import read_musicxml
from lickwright.formats.musicxml.writing import musicxml
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.score.score import Score
from lickwright.shelf.licks.as_example import example_text
from lickwright.shelf.licks.scores import score_from_json, score_json
from lickwright.sound.band.backing import arrange
from lickwright.sound.band.feel import FEELS
from lickwright.video.captions import captions_vtt
from lickwright.video.frames.clock import Passage

F = Fraction

LESSON = """\
lesson: A Break
key: A minor
examples:
  - name: Stop
    tab: |
      e|---------|---------|---------|---------|
      B|-5-------|-8-------|-5-------|---------|
      G|---5-----|---5-----|---5-----|-5-------|
      D|-----7---|-----7---|-----7---|---5-----|
      A|---------|---------|---------|---------|
      E|---------|---------|---------|---------|
    rhythm: h q q | h q q | h q q | h h
    changes: Am9 | N.C. | Dm9 N.C. | %
  - name: Carried
    lick: Stop
    changes: Am9 | % | % | N.C. | Dm9 | % | N.C. | .
    carry: grip
"""


@pytest.fixture
def shop(write: Callable[[str], Path]) -> Workshop:
    return Workshop(load_lesson(write(LESSON)))


def silent(score: Score) -> list[tuple[Fraction, Fraction]]:
    return [(span.onset, span.end) for span in score.chords if span.silent]


@pytest.mark.parametrize(
    ("text", "chords", "silences"),
    [
        ("Am9 | N.C. | Dm9", [("Am9", 0, 8), ("Dm9", 8, 12)], [(4, 8)]),
        ("Am9 | NC | . | Am9", [("Am9", 0, 12), ("Am9", 12, 16)], [(4, 12)]),
        ("Am9 . N.C. . | %", [("Am9", 0, 4), ("Am9", 4, 8)], [(2, 4), (6, 8)]),
        ("N.C. | N.C. . Am9 . | %", [("Am9", 0, 10), ("Am9", 10, 12)], [(0, 6), (8, 10)]),
        ("Am9 | N.C. | % | Dm9", [("Am9", 0, 12), ("Dm9", 12, 16)], [(4, 12)]),
        ("|: Am9 | N.C. :|", [("Am9", 0, 8), ("Am9", 8, 16)], [(4, 8), (12, 16)]),
    ],
)
def test_a_silence_is_written_and_read(
    text: str, chords: list[tuple[str, int, int]], silences: list[tuple[int, int]]
) -> None:
    changes = parse_changes(text)
    assert [(str(c.chord), c.onset, c.end) for c in changes.chords] == chords
    assert list(changes.silences) == silences
    assert parse_changes(str(changes)) == changes


def test_a_line_needs_a_chord_to_be_heard_by() -> None:
    with pytest.raises(RhythmError, match=r"N\.C\. alone"):
        parse_changes("N.C. | %")


def test_the_line_is_heard_against_the_chord_before(shop: Workshop) -> None:
    worked = shop.worked(0)
    assert silent(worked.score) == [(4, 8), (10, 12), (14, 16)]
    # G over A in the silent bar 2, C and G over D at the end: as if the chord had lasted on.
    degrees = [note.degree for note in worked.score.lick.notes]
    assert degrees == ["5", "b3", "1", "b7", "b3", "1", "2", "b7", "5", "b7", "4"]
    assert [str(span.chord) for span in worked.spans] == ["Am9", "Dm9", "Dm9"]


@pytest.mark.parametrize("feel", sorted(FEELS))
def test_the_band_is_silent(feel: str, shop: Workshop) -> None:
    score = shop.worked(0).score
    band = arrange(score, feel)
    played = [*band.bass, *band.chords, *band.drums]
    assert played
    for start, end in silent(score):
        for hit in played:
            assert not start <= hit.onset < end
            assert not hit.onset < start < hit.onset + hit.duration


def test_the_carried_line_goes_on(shop: Workshop) -> None:
    score = shop.worked(1).score
    assert silent(score) == [(12, 16), (24, 32)]
    first = shop.worked(0).score.lick.notes
    for start in (0, 16):
        inside = [n for n in score.lick.notes if start <= n.onset < start + 16]
        assert [n.onset - start for n in inside] == [n.onset for n in first]


def test_the_page_and_the_exchange_file_say_so(shop: Workshop) -> None:
    score = shop.worked(0).score
    assert engrave(score).svg.count('aria-label="N.C."') == 3
    text = musicxml(score)
    assert text.count(">none</kind>") == 3
    read = music21.converter.parseData(text)
    symbols = list(read.parts[0].recurse().getElementsByClass(music21.harmony.NoChord))
    assert [symbol.getOffsetInHierarchy(read.parts[0]) for symbol in symbols] == [4, 10, 14]
    back = read_musicxml(text.encode(), name="Stop")
    assert back.left_out == ()
    assert back.score.chords == score.chords


def test_captions_and_shelf_say_so(shop: Workshop) -> None:
    score = shop.worked(0).score
    captions = captions_vtt([Passage(score, 60.0, 4.0, 22.0, ())])
    assert "Bar 2, N.C." in captions
    assert "Bar 3, Dm9 then N.C." in captions
    assert score_from_json(score_json(score)) == score
    assert "changes: Am9 | N.C. | Dm9 N.C. | Dm9 N.C." in example_text(score)


def test_from_the_command_line(write: Callable[[str], Path]) -> None:
    path = write(LESSON)
    asked = ["carry", str(path), "Stop", "--way", "grip"]
    done = CliRunner().invoke(app, [*asked, "--changes", "Am9 | % | % | N.C."])
    assert done.exit_code == 0, done.output
    assert "N.C." in done.stdout
