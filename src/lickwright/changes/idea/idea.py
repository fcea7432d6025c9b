"""What of a lick is the idea, once its triads may change?

The order of its notes as rungs of each triad's shape (the lowest note is rung 0, the next chord
tone above it rung 1 ...), where its line rises and falls, its rhythm and its strokes.  A note that
belongs to no triad is a passing tone: it is known by its distance from the chord tone that it
leads to (or, at the end, comes from), in semitones and strings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from lickwright.errors import TheoryError
from lickwright.lick import Lick
from lickwright.theory import Triad, TriadQuality


@dataclass(frozen=True, slots=True)
class IdeaStep:
    """One note of an idea: which triad, and which rung of its shape.

    Rungs from the number of rungs on are the voice's passing tones, in their order.
    """

    voice: int
    rung: int


@dataclass(frozen=True, slots=True)
class Passing:
    """A note that belongs to no triad, by the chord tone it leans on.

    Parameters
    ----------
    rung : of the chord tone.
    semitones : from the chord tone to the passing tone.
    strings : from the chord tone's string to its own, towards the bass positive.
    """

    rung: int
    semitones: int
    strings: int


@dataclass(frozen=True, slots=True)
class Idea:
    """The order of a line, free of its triads.

    Parameters
    ----------
    steps : one a note.
    rungs : how many rungs each voice's shape has.
    passing : by voice, its passing tones.
    rises : semitones from each note to the next, downwards negative.
    string_changes : strings crossed from each note to the next, towards the bass positive.
    qualities : of each voice's triad.
    """

    steps: tuple[IdeaStep, ...]
    rungs: tuple[int, ...]
    passing: tuple[tuple[Passing, ...], ...]
    rises: tuple[int, ...]
    string_changes: tuple[int, ...]
    qualities: tuple[TriadQuality, ...]

    @property
    def voices(self) -> int:
        return len(self.rungs)


def turned_idea(idea: Idea) -> Idea:
    """The same idea upside down: it falls where the other rises, and crosses strings so.

    Parameters
    ----------
    idea : as it was made.

    Returns
    -------
    Idea
        Turned round twice it is itself.

    Examples
    --------
    >>> from lickwright.theory import TriadQuality
    >>> rising = tuple(IdeaStep(0, rung) for rung in range(3))
    >>> major = (TriadQuality.MAJOR,)
    >>> idea = Idea(rising, (3,), ((),), (4, 3), (-1, -1), major)
    >>> [step.rung for step in turned_idea(idea).steps], turned_idea(idea).rises
    ([2, 1, 0], (-4, -3))
    """

    def turned(step: IdeaStep) -> IdeaStep:
        count = idea.rungs[step.voice]
        return step if step.rung >= count else replace(step, rung=count - 1 - step.rung)

    passing = tuple(
        tuple(Passing(count - 1 - tone.rung, -tone.semitones, -tone.strings) for tone in own)
        for own, count in zip(idea.passing, idea.rungs, strict=True)
    )
    return replace(
        idea,
        steps=tuple(map(turned, idea.steps)),
        passing=passing,
        rises=tuple(-rise for rise in idea.rises),
        string_changes=tuple(-change for change in idea.string_changes),
    )


def idea_of(lick: Lick, triads: Sequence[Triad]) -> Idea:
    """The idea of a lick whose triads are known.

    Parameters
    ----------
    lick : its notes say which triad they belong to (``voice``); a note that does not goes to the
        triad of the note before it if that holds it, else to the first that does.
    triads : by voice.

    Raises
    ------
    TheoryError
        When there are no triads, or no note is a tone of any.
    """
    if not triads:
        raise TheoryError(
            "a lick is carried by idea only where its triads are known",
            mend="Give the triads it is made of, or carry it exact or diatonic",
        )
    voices = _voices(lick, triads)
    if all(voice is None for voice in voices):
        raise TheoryError(
            f"no note of the lick is a tone of {', '.join(map(str, triads))}",
            mend="Give the triads it is made of, or carry it exact or diatonic",
        )
    midi = [note.pitch.midi for note in lick.notes]
    strings = [note.position.string for note in lick.notes]
    rungs = _rungs(voices, midi, triads)
    sizes = [
        1 + max((r for r, v in zip(rungs, voices, strict=True) if v == voice), default=-1)
        for voice in range(len(triads))
    ]
    passing: list[list[Passing]] = [[] for _ in triads]
    steps = []
    for index, voice in enumerate(voices):
        if voice is not None:
            steps.append(IdeaStep(voice, rungs[index]))
            continue
        anchor = _anchor(voices, index)
        leaning = voices[anchor]
        assert leaning is not None, "an anchor is a chord tone"
        tone = Passing(rungs[anchor], midi[index] - midi[anchor], strings[index] - strings[anchor])
        if tone not in passing[leaning]:
            passing[leaning].append(tone)
        steps.append(IdeaStep(leaning, sizes[leaning] + passing[leaning].index(tone)))
    return Idea(
        tuple(steps),
        tuple(sizes),
        tuple(map(tuple, passing)),
        tuple(b - a for a, b in pairwise(midi)),
        tuple(b - a for a, b in pairwise(strings)),
        tuple(triad.quality for triad in triads),
    )


def _rungs(voices: Sequence[int | None], midi: Sequence[int], triads: Sequence[Triad]) -> list[int]:
    """The rung of every chord tone, 0 for other notes."""
    lowest: dict[int, int] = {}
    for key, voice in zip(midi, voices, strict=True):
        if voice is not None:
            lowest[voice] = min(key, lowest.get(voice, key))
    return [
        0
        if voice is None
        else sum(triads[voice].mask >> between % 12 & 1 for between in range(lowest[voice], key))
        for key, voice in zip(midi, voices, strict=True)
    ]


def _anchor(voices: Sequence[int | None], index: int) -> int:
    """The chord tone that a passing tone leads to; the one before it where none follows."""
    after = [at for at in range(index, len(voices)) if voices[at] is not None]
    return after[0] if after else max(at for at in range(index) if voices[at] is not None)


def _voices(lick: Lick, triads: Sequence[Triad]) -> list[int | None]:
    """The voice of every note, ``None`` for a passing tone."""
    voices: list[int | None] = []
    before: int | None = None
    for note in lick.notes:
        holding = [v for v, triad in enumerate(triads) if triad.mask >> note.pitch.midi % 12 & 1]
        if note.voice in holding:
            before = note.voice
        elif before not in holding:
            before = holding[0] if holding else before
        voices.append(before if holding else None)
    return voices
