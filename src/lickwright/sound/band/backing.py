"""What does the band play under a lick?

From the chord spans, the bars and a feel come the notes of a bass player, a chord player and a
drummer, in quarter notes from the first bar line.  The bass sounds the bass of each span, never
another root: what two triads imply hangs on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from lickwright.score import Bar, ChordSpan, Score
from lickwright.sound.band.feel import KICK, Feel, feel_named
from lickwright.sound.band.voicing import lead_voices

#: The register of the bass: MIDI keys E1 to D#2 for roots (a four-string bass starts at E1).
_BASS_LOWEST = 28


@dataclass(frozen=True, slots=True, order=True)
class BackingNote:
    """One note of the band: MIDI key, onset and duration in quarter notes, velocity 1-127."""

    onset: Fraction
    key: int
    duration: Fraction
    velocity: int


@dataclass(frozen=True, slots=True)
class Backing:
    """The band's parts, each ascending in time."""

    bass: tuple[BackingNote, ...]
    chords: tuple[BackingNote, ...]
    drums: tuple[BackingNote, ...]


@dataclass(frozen=True, slots=True)
class _BandBeat:
    onset: Fraction
    length: Fraction
    index: int
    count: int

    @property
    def strong(self) -> bool:
        """The first beat, and the middle one of a bar of four or six."""
        return self.index == 0 or (self.count % 2 == 0 and 2 * self.index == self.count > 2)

    @property
    def end(self) -> Fraction:
        return self.onset + self.length


def arrange(score: Score, feel: str = "chords") -> Backing:
    """The band's notes for a whole score; it is silent where no chord sounds (N.C.).

    Parameters
    ----------
    feel : a name in :data:`lickwright.sound.band.feel.FEELS`.

    Raises
    ------
    RhythmError
        When there is no such feel.
    """
    style = feel_named(feel)
    beats = [beat for bar in score.bars for beat in _beats(bar)]
    spans = [span for span in score.chords if not span.silent]
    silent = [span for span in score.chords if span.silent]
    drums = _drums(style, [bar for bar in score.bars if bar.full])
    return Backing(
        bass=tuple(_bass(style, spans, beats)),
        chords=tuple(_chords(style, spans, beats)),
        drums=tuple(
            sorted(
                hit
                for hit in drums
                if not any(span.onset <= hit.onset < span.end for span in silent)
            )
        ),
    )


def _beats(bar: Bar) -> Iterator[_BandBeat]:
    """The felt beats of a bar; a pickup has the last ones of its meter."""
    lengths = bar.beat_lengths
    onset = bar.zero
    for index, length in enumerate(lengths):
        start, end = max(onset, bar.onset), onset + length
        if bar.onset < end and start < bar.end:
            yield _BandBeat(start, min(end, bar.end) - start, index, len(lengths))
        onset = end


def _bass_key(span: ChordSpan) -> int:
    return _BASS_LOWEST + (span.bass.pc - _BASS_LOWEST) % 12


def _fifth_key(span: ChordSpan) -> int:
    """The chord's fifth over its bass, plain, lowered or raised, or else the octave."""
    root = _bass_key(span)
    sounding = {note.pc for note in span.notes}
    for interval in (7, 6, 8):
        if (root + interval) % 12 in sounding:
            return root + interval
    return root + 12


def _within(span: ChordSpan, beats: Sequence[_BandBeat]) -> list[_BandBeat]:
    """The beats of a span, the first and last cut to it."""
    end = span.onset + span.length
    cut = []
    for beat in beats:
        start, stop = max(beat.onset, span.onset), min(beat.end, end)
        if start < stop:
            cut.append(_BandBeat(start, stop - start, beat.index, beat.count))
    return cut


def _by_bar(span: ChordSpan, inside: Sequence[_BandBeat]) -> Iterator[tuple[Fraction, Fraction]]:
    """Onset and length of a chord in each bar it lasts through: a struck note dies away."""
    onsets = [span.onset] + [b.onset for b in inside if b.index == 0 and b.onset > span.onset]
    ends = [*onsets[1:], span.onset + span.length]
    for onset, end in zip(onsets, ends, strict=True):
        yield onset, end - onset


def _bass(
    style: Feel, spans: Sequence[ChordSpan], beats: Sequence[_BandBeat]
) -> Iterator[BackingNote]:
    for number, span in enumerate(spans):
        root, fifth = _bass_key(span), _fifth_key(span)
        inside = _within(span, beats)
        if style.bass == "held":
            for onset, length in _by_bar(span, inside):
                yield BackingNote(onset, root, length, 92)
            continue
        if style.bass == "roots":
            struck = [beat for beat in inside if beat is inside[0] or beat.strong]
            ends = [beat.onset for beat in struck[1:]] + [span.onset + span.length]
            for place, (beat, end) in enumerate(zip(struck, ends, strict=True)):
                key = root if place % 2 == 0 else fifth
                yield BackingNote(beat.onset, key, (end - beat.onset) * Fraction(9, 10), 96)
            continue
        following = spans[(number + 1) % len(spans)]
        for place, beat in enumerate(inside):
            last = len(inside) > 1 and place == len(inside) - 1
            key = (root, fifth, root + 12)[place % 3]
            if last:
                key = _approach(root, _bass_key(following))
            yield BackingNote(beat.onset, key, beat.length * Fraction(9, 10), 94)


def _approach(root: int, target: int) -> int:
    """The half step into the next root, from the side the line comes from."""
    return target + 1 if root > target else target - 1 if root < target else target + 7


def _voiced(spans: Sequence[ChordSpan]) -> list[tuple[int, ...]]:
    """Voicings of the spans; a thick chord leaves its bass, then its fifth, to the others."""
    chosen = []
    for span in spans:
        classes = list(dict.fromkeys(note.pc for note in span.notes)) or [span.bass.pc]
        for spare in (span.bass.pc, (span.bass.pc + 7) % 12):
            if len(classes) > 4 and spare in classes:
                classes.remove(spare)
        chosen.append(classes)
    return list(lead_voices(chosen))


def _chords(
    style: Feel, spans: Sequence[ChordSpan], beats: Sequence[_BandBeat]
) -> Iterator[BackingNote]:
    if style.chords == "drone":
        for span in spans:
            root = _bass_key(span)
            for key in (root + 12, root + 24):
                yield BackingNote(span.onset, key, span.length, 70)
        return
    for span, voicing in zip(spans, _voiced(spans), strict=True):
        for onset, duration, velocity in _strikes(style, span, beats):
            for key in voicing:
                yield BackingNote(onset, key, duration, velocity)


def _strikes(
    style: Feel, span: ChordSpan, beats: Sequence[_BandBeat]
) -> Iterator[tuple[Fraction, Fraction, int]]:
    """Onset, duration and velocity of each chord that is struck within a span."""
    inside = _within(span, beats)
    if style.chords == "held":
        for onset, length in _by_bar(span, inside):
            yield onset, length, 74
        return
    end = span.onset + span.length
    for place, beat in enumerate(inside):
        if style.chords == "beats":
            if beat.index % 2 == 1 or len(inside) == 1:
                yield beat.onset, beat.length / 2, 76
        elif place % 4 == 0:
            yield beat.onset, min(beat.length, end - beat.onset) * Fraction(9, 10), 80
        elif place % 4 == 1 and beat.onset + beat.length / 2 < end:
            yield beat.onset + beat.length / 2, beat.length / 2, 72


def _drums(style: Feel, bars: Sequence[Bar]) -> Iterator[BackingNote]:
    if style.cymbal is None:
        return
    for bar in bars:
        beats = list(_beats(bar))
        for beat in beats:
            hit = beat.length / 4
            for at in style.cymbal_in(beat.length):
                velocity = 74 if at == 0 else 58
                yield BackingNote(beat.onset + at * beat.length, style.cymbal, hit, velocity)
            if beat.strong and not (style.backbeat == "middle" and beat.index > 0):
                yield BackingNote(beat.onset, KICK, hit, 96)
            if _is_backbeat(style, beat):
                yield BackingNote(beat.onset, style.snare, hit, 88)


def _is_backbeat(style: Feel, beat: _BandBeat) -> bool:
    """Beats 2 and 4; of three, the last; of half-time, the middle of the bar."""
    if beat.count == 1:
        return False
    if style.backbeat == "middle":
        return beat.index == beat.count // 2
    if beat.count == 3:
        return beat.index == 2
    return beat.index % 2 == 1
