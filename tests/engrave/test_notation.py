"""How licks are written: values, ties, rests, beams, stems, accidentals, clefs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lickwright.errors import RhythmError
from lickwright.lick.notes import Lick, LickNote, Marks, Technique, Tuplet
from lickwright.neck.instrument import Guitar, Position
from lickwright.score.notation.accents import meter
from lickwright.score.notation.accidentals import AccidentalBook, signature_alter
from lickwright.score.notation.bars import WrittenNote, write_bars
from lickwright.score.notation.beams import Beam
from lickwright.score.notation.legato import mute_runs, slides, slur_runs
from lickwright.score.notation.staff import BASS, GUITAR, TREBLE, clef_for, octave_shifts
from lickwright.score.notation.values import value_of
from lickwright.score.notation.written import write
from lickwright.score.score import Bar, Score
from lickwright.theory.key import parse_key
from lickwright.theory.pitch import parse_pitch

F = Fraction  # quarter notes
A4 = parse_pitch("A4")


def written(
    spans: list[tuple[F, F]], time: str = "4/4", count: int = 1, *tuplets: Tuplet
) -> list[WrittenNote]:
    """The pieces of a line of A's given by onset and duration."""
    beats, unit = map(int, time.split("/"))
    full = F(4 * beats, unit)
    bars = tuple(
        Bar(index + 1, index * full, full, beats, unit, parse_key("C")) for index in range(count)
    )
    notes = tuple(LickNote(Position(1, 5), A4, F(a), F(d)) for a, d in spans)
    score = Score("", Guitar(), Lick(notes, count * full, tuplets), bars, (), 60, 60)
    return [piece for bar in write_bars(score) for piece in bar.pieces]


def shapes(pieces: list[WrittenNote]) -> str:
    """``4. 8~ 8 r4``: values, dots, ties, rests; as a musician would jot them down."""
    words = []
    for piece in pieces:
        value = piece.value
        word = "bar" if value is None else f"{4 / value.plain}{'.' if value.dotted else ''}"
        words.append(("r" if piece.note is None else "") + word + ("~" if piece.tied_to else ""))
    return " ".join(words)


@pytest.mark.parametrize(
    ("time", "onset", "length", "expected"),
    [
        # Common practice, no source: what a note of a length looks like from a moment of the bar.
        ("4/4", F(0), F(4), "1"),
        ("4/4", F(0), F(3), "2. r4"),
        ("4/4", F(1), F(3), "r4 2."),
        ("4/4", F(0), F(5, 2), "2~ 8 r8 r4"),
        ("4/4", F(1), F(2), "r4 2 r4"),
        ("4/4", F(1, 2), F(1), "r8 4 r8 r2"),
        ("4/4", F(3, 2), F(1), "r4 r8 8~ 8 r8 r4"),
        ("4/4", F(1, 2), F(3, 2), "r8 4. r2"),
        ("4/4", F(0), F(3, 2), "4. r8 r2"),
        ("4/4", F(1), F(3, 2), "r4 4~ 8 r8 r4"),
        ("4/4", F(1, 4), F(1, 2), "r16 8 r16 r4 r2"),
        ("4/4", F(3, 4), F(1, 2), "r8 r16 16~ 16 r16 r8 r2"),
        ("4/4", F(0), F(7, 2), "2~ 4. r8"),
        ("3/4", F(0), F(3), "2."),
        ("3/4", F(0), F(5, 2), "2~ 8 r8"),
        ("3/4", F(1, 2), F(5, 2), "r8 8~ 2"),
        ("3/4", F(0), F(1), "4 r4 r4"),
        ("6/8", F(0), F(3), "2."),
        ("6/8", F(0), F(3, 2), "4. r4."),
        ("6/8", F(0), F(1), "4 r8 r4."),
        ("6/8", F(1, 2), F(1), "r8 4 r4."),
        ("6/8", F(1), F(1), "r4 8~ 8 r8 r8"),
        ("6/8", F(1, 2), F(5, 2), "r8 4~ 4."),
        ("12/8", F(0), F(6), "1."),
        ("12/8", F(3, 2), F(3), "r4. 2. r4."),
        ("5/4", F(0), F(5), "2.~ 2"),
        ("5/4", F(2), F(2), "r4 r4 4~ 4 r4"),
        ("7/8", F(0), F(7, 2), "2~ 4."),
        ("2/2", F(0), F(4), "1"),
    ],
)
def test_a_note_is_cut_where_the_reader_must_see_the_beat(
    time: str, onset: F, length: F, expected: str
) -> None:
    assert shapes(written([(onset, length)], time)) == expected


def test_a_silent_bar_is_one_rest_whatever_its_meter() -> None:
    assert shapes(written([(F(4), F(1))], "4/4", 2)).split()[0] == "rbar"
    assert shapes(written([(F(7, 2), F(1, 2))], "7/8", 2)).split()[0] == "rbar"


def test_a_note_over_the_bar_line_is_tied() -> None:
    pieces = written([(F(7, 2), F(1))], "4/4", 2)
    assert shapes(pieces) == "r2 r4 r8 8~ 8 r8 r4 r2"
    assert [piece.part for piece in pieces if piece.note == 0] == [0, 1]


def test_tuplets_are_written_in_their_own_values() -> None:
    triplet = Tuplet(F(0), F(1), 3, 2)
    pieces = written([(F(0), F(2, 3)), (F(2, 3), F(1, 3))], "4/4", 1, triplet)
    assert shapes(pieces) == "4 8 r4 r2"
    first, second = pieces[0].tuplet, pieces[1].tuplet
    assert first is not None
    assert second is not None
    assert (first.actual, first.normal, first.unit.type) == (3, 2, "eighth")
    assert (first.starts, first.stops, second.starts, second.stops) == (True, False, False, True)
    quintuplet = Tuplet(F(1), F(1), 5, 4)
    fifths = [(1 + F(index, 5), F(1, 5)) for index in range(5)]
    assert shapes(written(fifths, "4/4", 1, quintuplet)) == "r4 16 16 16 16 16 r2"
    duplet = Tuplet(F(0), F(3, 2), 2, 3)
    assert shapes(written([(F(0), F(3, 4)), (F(3, 4), F(3, 4))], "6/8", 1, duplet)) == "8 8 r4."


def test_a_note_held_into_a_tuplet_is_tied_to_its_edge() -> None:
    triplet = Tuplet(F(1), F(1), 3, 2)
    pieces = written([(F(0), F(4, 3)), (F(4, 3), F(2, 3))], "4/4", 1, triplet)
    assert shapes(pieces) == "4~ 8 4 r2"
    assert [piece.tuplet is not None for piece in pieces] == [False, True, True, False]


def test_a_tuplet_that_nothing_divides_is_plain_time() -> None:
    pieces = written([(F(0), F(2))], "4/4", 1, Tuplet(F(1), F(1), 3, 2))
    assert shapes(pieces) == "2 r2"
    assert all(piece.tuplet is None for piece in pieces)


@given(data=st.data())
@settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_what_is_written_is_what_sounds(
    data: st.DataObject, scores: st.SearchStrategy[Score]
) -> None:
    score = data.draw(scores)
    bars = write_bars(score)
    for bar in bars:
        moment = bar.bar.onset
        for piece in bar.pieces:
            assert piece.onset == moment
            moment = piece.end
            if piece.value is None:
                assert len(bar.pieces) == 1
                assert piece.note is None
            else:
                ratio = F(1)
                if piece.tuplet is not None:
                    ratio = F(piece.tuplet.actual, piece.tuplet.normal)
                assert piece.value.quarters == piece.duration * ratio
        assert moment == bar.bar.end
    for index, note in enumerate(score.lick.notes):
        own = [piece for bar in bars for piece in bar.pieces if piece.note == index]
        assert own[0].onset == note.onset
        assert sum(piece.duration for piece in own) == note.duration
        assert [piece.tied_to for piece in own] == [True] * (len(own) - 1) + [False]
        assert [piece.part for piece in own] == list(range(len(own)))


@given(data=st.data())
@settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_the_middle_of_a_bar_of_four_is_visible(
    data: st.DataObject, scores: st.SearchStrategy[Score]
) -> None:
    """Nothing that starts off the beat crosses the middle; no rest crosses a beat it shares."""
    score = data.draw(scores.filter(lambda score: score.bars[0].beats == 4))
    for bar in write_bars(score):
        if bar.bar.unit != 4:
            continue
        for piece in bar.pieces:
            start, end = piece.onset - bar.zero, piece.end - bar.zero
            if start % 1 and piece.tuplet is None:
                assert not start < 2 < end
                assert piece.note is not None or end <= start // 1 + 1


@given(
    data=st.data(),
    time=st.sampled_from(["2/4", "3/4", "4/4", "6/8", "12/8"]),
)
@settings(max_examples=60, deadline=None)
def test_beams_group_the_beats_that_music21_groups(data: st.DataObject, time: str) -> None:
    """The outer beam against music21's ``TimeSignature.getBeams``."""
    from music21 import meter as m21_meter
    from music21 import note as m21_note
    from music21 import stream as m21_stream

    beat = F(3, 2) if time.endswith("8") else F(1)
    fillings = {
        F(1): [
            [F(1, 2)] * 2,
            [F(1, 4)] * 4,
            [F(3, 4), F(1, 4)],
            [F(1, 4), F(1, 2), F(1, 4)],
            [F(1)],
        ],
        F(3, 2): [[F(1, 2)] * 3, [F(1, 4)] * 6, [F(3, 4), F(1, 4), F(1, 2)], [F(1), F(1, 2)]],
    }[beat]
    beats, unit = map(int, time.split("/"))
    count = int(F(4 * beats, unit) / beat)
    lengths = [length for _ in range(count) for length in data.draw(st.sampled_from(fillings))]
    spans, onset = [], F(0)
    for length in lengths:
        spans.append((onset, length))
        onset += length
    ours = [piece.beams[0].value if piece.beams else None for piece in written(spans, time)]
    measure = m21_stream.Measure()
    for length in lengths:
        measure.append(m21_note.Note(quarterLength=length))
    names = {"start": "begin", "continue": "continue", "stop": "end"}
    theirs = [
        names[beams.beamsList[0].type] if beams else None
        for beams in m21_meter.TimeSignature(time).getBeams(measure)
    ]
    assert ours == theirs


def test_inner_beams_and_hooks() -> None:
    """Common practice, no source."""
    begin, go, end = Beam.BEGIN, Beam.CONTINUE, Beam.END
    left, right = Beam.BACKWARD_HOOK, Beam.FORWARD_HOOK
    dotted = written([(F(0), F(3, 4)), (F(3, 4), F(1, 4))])
    assert [piece.beams for piece in dotted[:2]] == [(begin,), (end, left)]
    snap = written([(F(0), F(1, 4)), (F(1, 4), F(3, 4))])
    assert [piece.beams for piece in snap[:2]] == [(begin, right), (end,)]
    lilt = written([(F(0), F(3, 4)), (F(3, 4), F(1, 4)), (F(1), F(1, 2))], "6/8")
    assert [piece.beams for piece in lilt[:3]] == [(begin,), (go, left), (end,)]
    run = written([(F(index, 8), F(1, 8)) for index in range(8)])
    assert [piece.beams[1] for piece in run[:8]] == [begin, go, go, end] * 2
    assert [piece.beams[0] for piece in run[:8]] == [begin, *[go] * 6, end]


@given(data=st.data())
@settings(max_examples=80, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_every_beam_that_begins_ends_and_has_the_notes_flags(
    data: st.DataObject, scores: st.SearchStrategy[Score]
) -> None:
    for bar in write_bars(data.draw(scores)):
        open_beams: set[int] = set()
        for piece in bar.pieces:
            assert len(piece.beams) in (0, piece.flags)
            for level, beam in enumerate(piece.beams):
                if beam is Beam.BEGIN:
                    assert level not in open_beams
                    open_beams.add(level)
                elif beam in (Beam.CONTINUE, Beam.END):
                    assert level in open_beams
                    if beam is Beam.END:
                        open_beams.discard(level)
        assert not open_beams


def test_stems_point_to_the_middle_and_tuplets_show_how_far_they_reach(
    lay: Callable[..., Score],
) -> None:
    low = write(lay([(6, 0), (6, 1), (6, 3)], F(1, 3), tuplets=(3, 2)))
    high = write(lay([(1, 5), (1, 7), (1, 8)], F(1, 3), tuplets=(3, 2)))
    assert [piece.stem_up for piece in low.bars[0].pieces[:3]] == [True] * 3
    assert [piece.stem_up for piece in high.bars[0].pieces[:3]] == [False] * 3
    below_notes, below_beam = low.bars[0].pieces[0].tuplet, high.bars[0].pieces[0].tuplet
    assert below_notes is not None
    assert below_beam is not None
    assert (below_notes.bracket, below_beam.bracket) == (True, False)


@pytest.mark.parametrize(
    ("fifths", "altered"),
    [(0, ""), (1, "F"), (3, "FCG"), (7, "FCGDAEB"), (-1, "B"), (-4, "BEAD"), (-7, "BEADGCF")],
)
def test_signatures(fifths: int, altered: str) -> None:
    """The order of sharps and flats; common practice, no source."""
    sign = 1 if fifths > 0 else -1
    for letter in "CDEFGAB":
        assert signature_alter(fifths, letter) == (sign if letter in altered else 0)


@pytest.mark.parametrize("name", ["G", "F# minor", "D dorian", "Ab", "Cb"])
def test_a_signature_is_that_of_the_key(name: str) -> None:
    """In a key's own scale nothing needs an accidental."""
    key = parse_key(name)
    for each in key.notes:
        assert signature_alter(key.fifths, each.letter) == each.alter


def signs(bars: list[str], fifths: int = 0) -> list[list[str]]:
    """Per bar of pitches (``~`` for one tied from before) the signs that are printed."""
    book, printed = AccidentalBook(), []
    for bar in bars:
        book.start_bar(fifths)
        row = []
        for word in bar.split():
            pitch = parse_pitch(word.rstrip("~"))
            sign = book.sign(pitch.name, pitch.staff_step, tied=word.endswith("~"))
            row.append("" if sign is None else f"({sign.sign})" if sign.reminder else sign.sign)
        printed.append(row)
    return printed


def test_accidentals_hold_for_their_place_to_the_end_of_the_bar() -> None:
    """Common practice, no source."""
    assert signs(["F#4 F#4 F4 F4"]) == [["sharp", "", "natural", ""]]
    assert signs(["F#4 F#5"]) == [["sharp", "sharp"]]
    assert signs(["F#4 F5"]) == [["sharp", "(natural)"]]
    assert signs(["F#4", "F#4"]) == [["sharp"], ["sharp"]]
    assert signs(["F#4", "F4 F4"]) == [["sharp"], ["(natural)", ""]]
    assert signs(["F#4", "F5"]) == [["sharp"], ["(natural)"]]
    assert signs(["F#5 F4", "F4"]) == [["sharp", "(natural)"], [""]]
    assert signs(["F#4", "G4", "F4"]) == [["sharp"], [""], [""]]
    assert signs(["F#4", "F#4~ F#4"]) == [["sharp"], ["", "sharp"]]
    assert signs(["Bb4 B4", "Bb4"], fifths=-2) == [["", "natural"], ["(flat)"]]
    assert signs(["Cb4 Cx5 Bbb3"]) == [["flat", "double-sharp", "flat-flat"]]


def test_clefs_fit_the_instrument_and_the_line() -> None:
    def tuned(text: str) -> Guitar:
        return Guitar(open_strings=tuple(parse_pitch(each) for each in reversed(text.split())))

    low = [parse_pitch(text) for text in ("F#1", "A1", "B1", "C#2")]
    middle = [parse_pitch(text) for text in ("A2", "E3", "C4")]
    assert clef_for(Guitar(), middle) is GUITAR
    assert clef_for(tuned("E1 A1 D2 G2"), low) is BASS
    assert clef_for(tuned("B0 E1 A1 D2 G2"), low) is BASS
    assert clef_for(tuned("G4 C4 E4 A4"), [A4]) is TREBLE
    eight = tuned("F#1 B1 E2 A2 D3 G3 B3 E4")
    assert clef_for(eight, middle) is GUITAR
    assert clef_for(eight, low) is BASS


def test_octave_brackets_stand_over_high_passages_alone() -> None:
    middle = [parse_pitch(text) for text in ("A3", "C4", "E4", "A4")]
    high = [parse_pitch(text) for text in ("C6", "D6", "E6", "C6", "B5", "D6")]
    line = middle + high + middle
    breaks = [0, 2, 2, 2, 0, 2, 2, 1, 2, 2, 0, 2, 2, 2]
    assert octave_shifts(GUITAR, line, breaks) == (0,) * 4 + (-1,) * 6 + (0,) * 4
    # One high note alone is read with its ledger lines.
    one = [*middle, parse_pitch("G5"), *middle]
    assert set(octave_shifts(GUITAR, one, [2] * 9)) == {0}
    assert octave_shifts(GUITAR, [], []) == ()


@given(
    midi=st.lists(st.integers(40, 88), min_size=1, max_size=12),
    data=st.data(),
)
@settings(max_examples=60, deadline=None)
def test_no_other_choice_of_brackets_reads_easier(midi: list[int], data: st.DataObject) -> None:
    """The path through the brackets against every single change that one could make to it."""
    from lickwright.score.notation.staff import CHANGE, SHIFTS, reading_cost
    from lickwright.theory.pitch import pitch_from_midi
    from lickwright.theory.spelling import spell

    key = parse_key("C")
    pitches = [pitch_from_midi(each, spell(each % 12, key)) for each in midi]
    breaks = [data.draw(st.integers(0, 2)) for _ in pitches]

    def cost(path: tuple[int, ...]) -> int:
        changes = sum(
            CHANGE[breaks[index]] for index in range(1, len(path)) if path[index] != path[index - 1]
        )
        return changes + sum(
            reading_cost(GUITAR, pitch, shift) for pitch, shift in zip(pitches, path, strict=True)
        )

    best = octave_shifts(GUITAR, pitches, breaks)
    for start in range(len(best)):
        for end in range(start + 1, len(best) + 1):
            for shift in SHIFTS:
                other = best[:start] + (shift,) * (end - start) + best[end:]
                assert cost(best) <= cost(other)


def test_slurs_slides_and_mutes_are_stretches_of_notes() -> None:
    def line(*words: tuple[int, Technique, bool]) -> list[LickNote]:
        return [
            LickNote(Position(string, 5 + index), A4, F(index), F(1), technique=technique,
                     marks=Marks(palm_mute=mute))
            for index, (string, technique, mute) in enumerate(words)
        ]  # fmt: skip

    pick, on, off, slide = Technique
    notes = line(
        (3, pick, True), (3, on, True), (3, off, False), (2, on, False), (2, pick, True),
        (2, slide, False), (1, slide, False),
    )  # fmt: skip
    assert slur_runs(notes) == ((0, 2), (4, 5))
    assert slides(notes) == ((4, 5),)
    assert mute_runs(notes) == ((0, 1), (4, 4))
    apart = [notes[0], replace(notes[1], onset=F(3, 2))]
    assert slur_runs(apart) == ()


def test_values() -> None:
    assert value_of(F(5, 4)) is None
    assert value_of(F(1, 64)) is None
    sixteenth = value_of(F(1, 4))
    assert sixteenth is not None
    assert (sixteenth.type, sixteenth.flags, sixteenth.dotted) == ("16th", 2, False)
    dotted = value_of(F(3))
    assert dotted is not None
    assert (dotted.type, dotted.flags, dotted.dotted) == ("half", 0, True)


@pytest.mark.parametrize(
    ("time", "beats"),
    [
        # How meters are counted; common practice, no source.
        ("4/4", [1, 1, 1, 1]),
        ("6/8", [F(3, 2)] * 2),
        ("9/8", [F(3, 2)] * 3),
        ("3/8", [F(3, 2)]),
        ("7/8", [1, 1, F(3, 2)]),
        ("5/8", [F(3, 2), 1]),
        ("8/8", [F(3, 2), F(3, 2), 1]),
        ("11/8", [F(3, 2), F(3, 2), F(3, 2), 1]),
        ("2/2", [2, 2]),
    ],
)
def test_beats(time: str, beats: list[F]) -> None:
    moments = meter(*map(int, time.split("/"))).beats
    assert [b - a for a, b in pairwise(moments)] == beats


def bad(score: Score, **change: object) -> str:
    with pytest.raises(RhythmError) as caught:
        write_bars(replace(score, **change))  # type: ignore[arg-type]
    return str(caught.value)


def test_what_cannot_be_written_is_said_in_one_sentence(
    lay: Callable[..., Score], lay_bars: Callable[..., tuple[Bar, ...]]
) -> None:
    score = lay([(1, 5), (1, 7)], F(1))
    first, second = score.lick.notes
    assert "no bar" in bad(score, bars=())
    assert "4/4" in bad(score, bars=(replace(score.bars[0], length=F(5)),))
    gap = lay_bars(2)
    assert "does not start" in bad(score, bars=(gap[0], replace(gap[1], onset=F(5))))
    early = replace(score.lick, notes=(first, replace(second, onset=F(1, 2))))
    assert "note 2" in bad(score, lick=early)
    assert "no length" in bad(
        score, lick=replace(score.lick, notes=(replace(first, duration=F(0)),))
    )
    late = replace(score.lick, notes=(replace(first, onset=F(7, 2)),))
    assert "after the last bar" in bad(score, lick=late)
    third = replace(score.lick, notes=(replace(first, duration=F(1, 3)),))
    assert "tuplet" in bad(score, lick=third)
    inside = replace(score.lick, tuplets=(Tuplet(F(0), F(1), 3, 2), Tuplet(F(1, 2), F(1), 3, 2)))
    assert "inside another" in bad(score, lick=inside)
    with pytest.raises(RhythmError, match="4/5 is not a time signature"):
        meter(4, 5)
