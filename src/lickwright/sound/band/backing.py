"""What does the band play under a lick?

From the chord spans, the bars, the line and a feel come the notes of a bass player, a chord player
and a drummer, in quarter notes from the first bar line.  All that is left to chance follows from a
start number: the same number, the same band.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from lickwright.score import Score
from lickwright.sound.band.bass import bass_notes
from lickwright.sound.band.beats import BackingNote, beats_of, landing_of
from lickwright.sound.band.comping import chord_notes
from lickwright.sound.band.drums import drum_notes
from lickwright.sound.band.feel import feel_named


@dataclass(frozen=True, slots=True)
class Backing:
    """The band's parts, each ascending in time; times as written, before swing."""

    bass: tuple[BackingNote, ...]
    chords: tuple[BackingNote, ...]
    drums: tuple[BackingNote, ...]


@lru_cache(maxsize=16)
def arrange(score: Score, feel: str = "chords", *, start: int = 1, lands: bool = True) -> Backing:
    """The band's notes for a whole score; it is silent where no chord sounds (N.C.).

    Parameters
    ----------
    feel : a name in :data:`lickwright.sound.band.feel.FEELS`.
    start : the start number of all chances.
    lands : whether the band lands and holds where the line does; not where it goes round.

    Raises
    ------
    RhythmError
        When there is no such feel.
    """
    style = feel_named(feel)
    beats = [beat for bar in score.bars for beat in beats_of(bar)]
    landing = landing_of(score) if lands else None
    spans = tuple(span for span in score.chords if not span.silent)
    silent = [span for span in score.chords if span.silent]
    if not spans:
        return Backing((), (), ())
    drums: list[BackingNote] = []
    if style.drums is not None:
        full = [bar for bar in score.bars if bar.full]
        drums = sorted(
            hit
            for hit in drum_notes(style.drums, full, landing, start)
            if not any(span.onset <= hit.onset < span.end for span in silent)
        )
    return Backing(
        bass=tuple(bass_notes(style, spans, beats, landing, start)),
        chords=tuple(chord_notes(style, replace(score, chords=spans), landing, start)),
        drums=tuple(drums),
    )
