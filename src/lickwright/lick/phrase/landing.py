"""Where does a line land: on which tone, on which beat, held how long?

Written as ``TONE [on BEAT] [for BEATS]``: ``3``, ``guide tone on 1``, ``9 on 3 for 2``, ``F#``.

* The tone: a degree of the chord that sounds (a bare number is the chord's own: ``3`` is the minor
  third of a minor chord), ``root``, ``guide tone``, ``chord tone``, or a note by its name.
* The beat of its bar, counted from 1; left out, the last strong beat that the chord leaves.
* How many beats it is held; left out, to the bar line.  What is left of the bar after it is rest.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from lickwright.errors import ContourError, TheoryError
from lickwright.lick.rhythm import Meter
from lickwright.theory import Chord, NoteName, degree_semitones, mask_of, parse_note_name

_THIRDS = ("3", "b3", "4", "2")
_SEVENTHS = ("7", "b7", "bb7", "6", "13")
_FIFTHS = ("5", "b5", "#5")
_WORDS = {"root": "1", "third": "3", "fifth": "5", "seventh": "7", "ninth": "9"}
_FORM = re.compile(
    r"(?P<tone>.+?)(?:\s+on\s+(?:beat\s+)?(?P<beat>\d+))?"
    r"(?:,?\s+(?:held\s+)?for\s+(?P<held>\d+(?:/\d+)?)(?:\s+beats?)?)?"
)
_MEND = "Write a tone, a beat and a length, such as: guide tone on 1 for 2"


@dataclass(frozen=True, slots=True)
class Landing:
    """Where a line lands (see the module).

    Parameters
    ----------
    tone : a degree, a note name, ``"guide tone"`` or ``"chord tone"``.
    beat : counted from 1, ``None`` for the last strong beat that there is room for.
    held : beats, ``None`` for to the bar line.
    """

    tone: str
    beat: int | None = None
    held: Fraction | None = None

    def __str__(self) -> str:
        words = [self.tone]
        if self.beat is not None:
            words.append(f"on {self.beat}")
        if self.held is not None:
            words.append(f"for {self.held}")
        return " ".join(words)


def parse_landing(text: str) -> Landing:
    """Read a landing (see the module).

    Parameters
    ----------
    text : such as ``"guide tone on 1 for 2"``.

    Returns
    -------
    Landing
        Its tone is known to be one; whether a chord holds it shows only over that chord.

    Raises
    ------
    ContourError
        With what is not understood.

    Examples
    --------
    >>> parse_landing("third on beat 3, held for 2 beats")
    Landing(tone='3', beat=3, held=Fraction(2, 1))
    """
    words = " ".join(text.split())
    found = _FORM.fullmatch(words)
    if found is None:
        raise ContourError(f"'{text}' says nowhere to land", mend=_MEND)
    tone = found["tone"].removeprefix("the ").removeprefix("a ")
    tone = _WORDS.get(tone.lower(), tone)
    if tone.lower() in ("guide tone", "chord tone"):
        tone = tone.lower()
    else:
        _check_tone(tone, text)
    beat = None if found["beat"] is None else int(found["beat"])
    held = None if found["held"] is None else Fraction(found["held"])
    if beat == 0 or held == 0:
        raise ContourError(f"'{text}' has a beat or a length of 0", mend=_MEND)
    return Landing(tone, beat, held)


def _check_tone(tone: str, text: str) -> None:
    try:
        degree_semitones(tone)
    except TheoryError:
        try:
            parse_note_name(tone)
        except TheoryError:
            raise ContourError(
                f"'{tone}' is no tone to land on, in '{text}'",
                mend="Write a degree such as 3 or b7, guide tone, chord tone, root or a note name",
            ) from None


def guide_tones(chord: Chord) -> tuple[tuple[str, NoteName], ...]:
    """The third and the seventh of a chord, that tell it from others, each with its degree.

    Of a suspension the fourth or second stands for the third; the sixth for a seventh that is not
    there; in a plain triad the fifth does (common practice, no source).

    Parameters
    ----------
    chord : whose guide tones are asked for.

    Returns
    -------
    tuple of (str, NoteName)
        The one that stands for the third first.

    Examples
    --------
    >>> from lickwright.theory import parse_chord
    >>> [(degree, str(name)) for degree, name in guide_tones(parse_chord("G13"))]
    [('3', 'B'), ('b7', 'F')]
    """
    by_degree = dict(zip(chord.kind.degrees, chord.tones, strict=True))
    found = []
    for names in (_THIRDS, (*_SEVENTHS, *_FIFTHS)):
        degree = next((name for name in names if name in by_degree), None)
        if degree is not None:
            found.append((degree, by_degree[degree]))
    return tuple(found)


def chord_degree(degree: str, chord: Chord) -> int:
    """The pitch class of a degree over a chord: a bare number is the chord's own, if it has one.

    Parameters
    ----------
    degree : such as ``"3"`` or ``"b9"``.
    chord : over whose root it counts.

    Returns
    -------
    int
        0 to 11.

    Raises
    ------
    TheoryError
        When the degree is none.

    Examples
    --------
    >>> from lickwright.theory import parse_chord
    >>> chord_degree("3", parse_chord("Bm9")), chord_degree("7", parse_chord("E13"))
    (2, 2)
    """
    own = {name.lstrip("b#"): name for name in chord.kind.degrees}
    named = own.get(degree, degree)
    return (chord.root.pc + degree_semitones(named)) % 12


def landing_tones(landing: Landing, chord: Chord) -> int:
    """The tones on which a line may land over a chord, as a 12-bit mask.

    Parameters
    ----------
    landing : what is asked for.
    chord : that sounds.

    Returns
    -------
    int
        At least one bit.

    Examples
    --------
    >>> from lickwright.theory import parse_chord
    >>> landing_tones(parse_landing("guide tone"), parse_chord("C7")) == 1 << 4 | 1 << 10
    True
    """
    if landing.tone == "guide tone":
        return mask_of(name.pc for _, name in guide_tones(chord))
    if landing.tone == "chord tone":
        return chord.mask
    try:
        return 1 << chord_degree(landing.tone, chord)
    except TheoryError:
        return 1 << parse_note_name(landing.tone).pc


def landing_beat(landing: Landing, meter: Meter, start: Fraction, stop: Fraction) -> Fraction:
    """When a line lands, in quarter notes.

    Parameters
    ----------
    landing : what is asked for.
    meter : where the bar lines and beats are.
    start : from when on it may land: the chord's beginning in that bar.
    stop : the end of the bar.

    Returns
    -------
    Fraction
        The moment, ``start`` or later and before ``stop``.

    Raises
    ------
    ContourError
        When the bar has no such beat, or the chord does not sound there.

    Examples
    --------
    >>> landing_beat(Landing("3"), Meter(), Fraction(0), Fraction(4))
    Fraction(2, 1)
    """
    bar = stop - meter.bar
    beats = [bar + beat for beat in meter.beat_starts]
    if landing.beat is None:
        fitting = [beat for beat in beats if beat >= start and meter.is_strong(beat)]
        return fitting[-1] if fitting else start
    if landing.beat > len(beats):
        raise ContourError(
            f"there is no beat {landing.beat} to land on: the bar has {len(beats)}",
            mend=f"Land on 1 to {len(beats)}",
        )
    moment = beats[landing.beat - 1]
    if moment < start:
        raise ContourError(
            f"the last chord begins only after beat {landing.beat} of its bar",
            mend="Land on a later beat",
        )
    return moment


def landing_length(landing: Landing, meter: Meter, moment: Fraction, stop: Fraction) -> Fraction:
    """How long the last note is held, in quarter notes: not over the bar line.

    Parameters
    ----------
    landing : what is asked for.
    meter : whose beats are counted.
    moment, stop : when the line lands, and the end of the bar.

    Returns
    -------
    Fraction
        Greater than 0.

    Examples
    --------
    >>> landing_length(Landing("3", 3), Meter(), Fraction(2), Fraction(4))
    Fraction(2, 1)
    """
    room = stop - moment
    return room if landing.held is None else min(landing.held * meter.beat, room)
