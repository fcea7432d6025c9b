"""What does the chord player play, and when?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from lickwright.score import Bar, ChordSpan, Score
from lickwright.sound.band.bass import bass_key
from lickwright.sound.band.beats import BackingNote, beats_of, draws
from lickwright.sound.band.feel import COMPING, Feel
from lickwright.sound.band.voicing import ChordTones, Voicing, lead_voices, tones_of

#: A chord struck within this of the next one would not be heard apart, in quarter notes.
_SHORTEST = Fraction(1, 4)


def chord_notes(
    feel: Feel, score: Score, landing: Fraction | None, start: int
) -> Iterator[BackingNote]:
    """The notes of the chord player, ascending; from a landing on they are held."""
    if feel.chords == "drone":
        for span in score.chords:
            for key in (bass_key(span) + 12, bass_key(span) + 24):
                yield BackingNote(span.onset, key, span.length, 70)
        return
    strikes = list(_strikes(feel, score, landing, start))
    voiced = _voiced(score, strikes)
    for (_, onset, length, velocity), voicing in zip(strikes, voiced, strict=True):
        # The top of a voicing is what is heard of it; the others stay a little under.
        for key in voicing:
            yield BackingNote(onset, key, length, velocity if key == voicing[-1] else velocity - 6)


_Strike = tuple[ChordSpan, Fraction, Fraction, int]


def _strikes(feel: Feel, score: Score, landing: Fraction | None, start: int) -> Iterator[_Strike]:
    """Chord, onset, length and velocity of each time it is struck, ascending."""
    onsets: dict[Fraction, tuple[Fraction, int]] = {}
    former = -1
    for number, bar in enumerate(score.bars):
        if feel.chords == "held":
            onsets[bar.onset] = (bar.length, 74)
            continue
        variants = COMPING[feel.chords]
        drawn = int(draws(start, "chords", number).random() * len(variants))
        if drawn == former and len(variants) > 1:
            drawn = (drawn + 1) % len(variants)
        former = drawn
        for at, length in _in_bar(variants[drawn], bar):
            onsets.setdefault(at, (length, 80 if at == bar.onset else 73))
    for span in score.chords:
        onsets.setdefault(span.onset, (span.length, 78))
    if landing is not None and feel.chords != "held":
        onsets = {at: one for at, one in onsets.items() if at < landing}
        for span in score.chords:
            if span.end > landing:
                onsets[max(span.onset, landing)] = (span.length, 82)
    yield from _cut(score, sorted(onsets.items()))


def _in_bar(variant: Sequence[tuple[str, str]], bar: Bar) -> Iterator[tuple[Fraction, Fraction]]:
    """The onsets and lengths of a rhythm in quarter notes, felt beats of any length."""
    beats = list(beats_of(bar))
    for place, length in variant:
        at, lasting = Fraction(place), Fraction(length)
        index = int(at)
        first = beats[0].index
        if not first <= index < first + len(beats):
            continue
        beat = beats[index - first]
        share = at - index
        if beat.dotted and share and share.denominator != 3:
            share = Fraction(2, 3)
        yield beat.onset + share * beat.length, lasting * beat.length


def _cut(
    score: Score, onsets: Sequence[tuple[Fraction, tuple[Fraction, int]]]
) -> Iterator[_Strike]:
    """Each strike under its chord, ended by the next strike, the chord's end or its own length."""
    spans = score.chords
    ends = [at for at, _ in onsets[1:]] + [score.length]
    for (onset, (length, velocity)), following in zip(onsets, ends, strict=True):
        span = next((s for s in spans if s.onset <= onset < s.end), None)
        if span is None:
            continue
        end = min(onset + length, following, span.end)
        if end - onset >= _SHORTEST or onset == span.onset:
            yield span, onset, end - onset, velocity


def _voiced(score: Score, strikes: Sequence[_Strike]) -> Sequence[Voicing]:
    """A voicing for each strike; those of one chord in one bar are alike.

    What the line plays from such a strike to the end of its bar or chord is what it must not touch.
    """
    places = [(span.onset, score.bar_at(onset).onset) for span, onset, *_ in strikes]
    groups = (
        [0] + [at + 1 for at, (a, b) in enumerate(pairwise(places)) if a != b] if strikes else []
    )
    chords, lines = [], []
    for at, after in pairwise([*groups, len(strikes)]):
        span, onset, *_ = strikes[at]
        last = strikes[after - 1]
        chords.append(_tones(span))
        lines.append(_line_over(score, onset, last[1] + last[2]))
    led = lead_voices(chords, lines)
    voiced: list[Voicing] = []
    for (at, after), voicing in zip(pairwise([*groups, len(strikes)]), led, strict=True):
        voiced += [voicing] * (after - at)
    return voiced


def _tones(span: ChordSpan) -> ChordTones:
    root = span.bass if span.chord is None else span.chord.root
    return tones_of(root.pc, [note.pc for note in span.notes] or [span.bass.pc], span.bass.pc)


def _line_over(score: Score, onset: Fraction, end: Fraction) -> tuple[int, ...]:
    """MIDI keys of the line that sound between two moments."""
    return tuple(
        score.guitar.midi_at(note.position)
        for note in score.lick.notes
        if note.onset < end and note.end > onset
    )
