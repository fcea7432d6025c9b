"""What does the bass play?

Each chord begins on its own bass, never on another root: what two triads imply hangs on it.  The
last note before a change leads into the next chord, by a half step, a step or its fifth.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from lickwright.score import ChordSpan
from lickwright.sound.band.beats import BackingNote, BandBeat, beats_within, draws
from lickwright.sound.band.feel import Feel

#: The register of the bass: MIDI keys E1 to D#2 for roots (a four-string bass starts at E1), and
#: how high it walks.
LOWEST_BASS, _HIGHEST = 28, 50
_SHORT = Fraction(9, 10)


def bass_key(span: ChordSpan) -> int:
    """The chord's own bass in the lowest octave of a bass guitar, as a MIDI key."""
    return LOWEST_BASS + (span.bass.pc - LOWEST_BASS) % 12


def bass_notes(
    feel: Feel,
    spans: Sequence[ChordSpan],
    beats: Sequence[BandBeat],
    landing: Fraction | None,
    start: int,
) -> Iterator[BackingNote]:
    """The notes of the bass, ascending; from a landing on it holds.

    Parameters
    ----------
    landing : where the line comes to rest, in quarter notes, if it does.
    """
    for number, span in enumerate(spans):
        following = spans[(number + 1) % len(spans)]
        inside = beats_within(span, beats)
        if feel.bass == "held":
            yield from _held(span, span.onset, inside)
            continue
        if landing is not None and landing <= span.onset:
            yield BackingNote(span.onset, bass_key(span), span.length, 92)
            continue
        end = span.end
        if landing is not None and landing < end:
            end = landing
            inside = [beat for beat in inside if beat.onset < landing]
            following = span
        rhythm = _rhythm(feel, inside, end, start)
        keys = _keys(feel, span, following, rhythm, draws(start, "bass", number))
        for (onset, length), key in zip(rhythm, keys, strict=True):
            velocity = 96 if onset == span.onset else 90
            yield BackingNote(onset, key, length * _SHORT, velocity)
        if end < span.end:
            yield BackingNote(end, bass_key(span), span.end - end, 94)


def _held(span: ChordSpan, onset: Fraction, inside: Sequence[BandBeat]) -> Iterator[BackingNote]:
    """Struck in each bar that the chord lasts through: a struck note dies away."""
    onsets = [onset] + [b.onset for b in inside if b.index == 0 and b.onset > onset]
    for begin, end in zip(onsets, [*onsets[1:], span.end], strict=True):
        yield BackingNote(begin, bass_key(span), end - begin, 92)


def _rhythm(
    feel: Feel, inside: Sequence[BandBeat], end: Fraction, start: int
) -> list[tuple[Fraction, Fraction]]:
    """Onset and length of each note within a chord."""
    onsets: list[Fraction] = []
    for beat in inside:
        chance = draws(start, "bass rhythm", int(beat.onset * 24))
        onsets += [beat.onset + at * beat.length for at in _struck_in(feel, beat, chance)]
    onsets = sorted({inside[0].onset, *(at for at in onsets if at < end)}) if inside else []
    return [(a, b - a) for a, b in pairwise([*onsets, end])]


def _struck_in(feel: Feel, beat: BandBeat, chance: random.Random) -> list[Fraction]:
    """Where the bass strikes in a beat, as shares of it."""
    third, half = Fraction(1, 3), Fraction(1, 2)
    rare, even = chance.random() < 0.15, chance.random() < 0.4
    late = 2 * third if beat.dotted else half
    if feel.bass == "walking":
        return [Fraction(0), late] if rare and beat.back else [Fraction(0)]
    if feel.bass == "dotted":
        return [Fraction(0)] if beat.strong else [late]
    if feel.bass == "thirds":
        pickup = [2 * third] if beat.back or rare else []
        return [*([Fraction(0)] if beat.strong or rare else []), *pickup]
    if feel.bass == "sixteenths":
        if beat.dotted:
            return [Fraction(0), 2 * third] if even else [Fraction(0)]
        if beat.index == 0:
            return [Fraction(0), Fraction(3, 4)] if even else [Fraction(0)]
        return [half, Fraction(3, 4)] if even else ([half] if not rare else [Fraction(1, 4)])
    # roots: on strong beats, now and then an eighth before the next
    last = beat.index == beat.count - 1
    found = [Fraction(0)] if beat.strong else []
    return [*found, late] if (last and not rare) or (even and beat.back) else found


def _keys(
    feel: Feel,
    span: ChordSpan,
    following: ChordSpan,
    rhythm: Sequence[tuple[Fraction, Fraction]],
    chance: random.Random,
) -> list[int]:
    """Pitches for a rhythm: the bass first, the way to the next chord last, the chord between."""
    root, target = bass_key(span), bass_key(following)
    if not rhythm:
        return []
    keys = [root]
    for place in range(1, len(rhythm)):
        left = len(rhythm) - place
        if left == 1:
            keys.append(_approach(keys[-1], target, root, span, chance))
        elif feel.bass == "walking":
            keys.append(_next_tone(keys, span, target, left, chance))
        else:
            keys.append(_fifth_key(span) if place % 2 else (root, root + 12)[place % 4 == 2])
    return keys


def _fifth_key(span: ChordSpan) -> int:
    """The chord's fifth over its bass, plain, lowered or raised, or else the octave."""
    root = bass_key(span)
    sounding = {note.pc for note in span.notes}
    for interval in (7, 6, 8):
        if (root + interval) % 12 in sounding:
            return root + interval
    return root + 12


def _next_tone(
    keys: Sequence[int], span: ChordSpan, target: int, left: int, chance: random.Random
) -> int:
    """A chord tone near by that goes on in one direction, and leaves the target within reach."""
    classes = {note.pc for note in span.notes} | {span.bass.pc}
    now = keys[-1]
    up = chance.random() < 0.5 if len(keys) == 1 else keys[-1] > keys[-2]
    if now > target + 4 * left or now > _HIGHEST - 4:
        up = False
    if now < LOWEST_BASS + 3:
        up = True
    tones = [
        key
        for key in range(LOWEST_BASS, _HIGHEST + 1)
        if key % 12 in classes and key not in keys[-2:] and (key > now) == up
    ]
    near = sorted(tones, key=lambda key: abs(key - now))[:2] or [now + (12 if up else -12)]
    return near[-1] if chance.random() < 0.4 else near[0]


def _approach(now: int, target: int, root: int, span: ChordSpan, chance: random.Random) -> int:
    """The last note before a chord: a half step or a step from its bass, or its fifth.

    From the side the line comes from, and never the note that has just sounded.
    """
    if target == root:
        choices = [_fifth_key(span), target + 12, target - 1, target + 2]
    else:
        side = 1 if now > target else -1
        choices = [target + side, target - side, target + 7, target + 2 * side]
    fit = [key for key in choices if LOWEST_BASS - 1 <= key <= _HIGHEST and key != now]
    fit = fit or [target + 1]
    return fit[0] if chance.random() < 0.45 else fit[int(chance.random() * len(fit))]
