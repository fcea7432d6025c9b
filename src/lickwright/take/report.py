"""What was heard in a take, note by note."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from lickwright.score import Score


class NoteVerdict(StrEnum):
    """What became of a printed note."""

    PLAYED = "played"
    EARLY = "early"
    LATE = "late"
    WRONG = "wrong pitch"
    MISSING = "missing"
    UNJUDGED = "not judged"


@dataclass(frozen=True, slots=True)
class HeardNote:
    """One printed note and what was heard of it.

    Parameters
    ----------
    index : its place in the lick, from 0.
    midi : the printed pitch, as a MIDI key.
    expected_s : when it was due, at the tempo the player kept.
    heard_s, heard_midi : when and at which pitch it was heard; ``None`` where it was not.
    sure : 0 to 1: how clearly it was heard, or how clearly nothing was.
    ring_s : how long it went on sounding over the next note on another string; ``None`` where
        that cannot be told.
    """

    index: int
    midi: int
    expected_s: float
    verdict: NoteVerdict
    heard_s: float | None = None
    heard_midi: int | None = None
    sure: float = 0.0
    ring_s: float | None = None

    @property
    def late_s(self) -> float | None:
        """How late it came, negative for early; ``None`` where it was not heard."""
        return None if self.heard_s is None else self.heard_s - self.expected_s


@dataclass(frozen=True, slots=True)
class ExtraNote:
    """A note that is not printed.

    Parameters
    ----------
    after : index of the printed note it follows.
    """

    after: int
    heard_s: float
    midi: int
    sure: float


@dataclass(frozen=True, slots=True)
class Pause:
    """Where the player left the tempo: stopped before a note, or came in too soon (negative)."""

    index: int
    seconds: float


@dataclass(frozen=True, slots=True)
class GoingBack:
    """Where the player stopped and went back.

    Parameters
    ----------
    after : index of the last note before it.
    to : index of the note with which it went on.
    seconds : from the one to the other.
    """

    after: int
    to: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Take:
    """A take held against its score.

    Parameters
    ----------
    score : what is printed.
    notes : one a printed note, in order.
    extras : in time.
    pauses : in order.
    tempo_bpm : the tempo the player kept, quarter notes a minute, over the whole.
    drift : how much faster the end was than the beginning, as a share of the tempo.
    start_s : where the first bar line of the score lies in the recording.
    tuning_cents : how far the instrument sounds above A4 = 440 Hz.
    tolerance_s : from where a note is early or late.
    clipped : whether the recording was driven into its limit.
    returns : where the player went back, in time; the notes are those that were played last.
    """

    score: Score
    notes: tuple[HeardNote, ...]
    extras: tuple[ExtraNote, ...]
    pauses: tuple[Pause, ...]
    tempo_bpm: float
    drift: float
    start_s: float
    tuning_cents: float
    tolerance_s: float
    clipped: bool = False
    returns: tuple[GoingBack, ...] = ()

    def with_verdict(self, *verdicts: NoteVerdict) -> tuple[HeardNote, ...]:
        """The notes that got one of some verdicts."""
        return tuple(note for note in self.notes if note.verdict in verdicts)

    @property
    def right(self) -> tuple[HeardNote, ...]:
        """The notes that sounded at their pitch, in time or not."""
        return self.with_verdict(NoteVerdict.PLAYED, NoteVerdict.EARLY, NoteVerdict.LATE)

    def as_data(self) -> dict[str, Any]:
        """The take as plain data, for ``--json``; times in seconds to a tenth of a millisecond."""
        return {
            "example": self.score.name,
            "tempo_bpm": round(self.tempo_bpm, 2),
            "drift": round(self.drift, 4),
            "start_s": round(self.start_s, 4),
            "tuning_cents": round(self.tuning_cents),
            "tolerance_s": self.tolerance_s,
            "clipped": self.clipped,
            "notes": [self._note_data(note) for note in self.notes],
            "extras": [
                {
                    "after": extra.after + 1,
                    "heard": {"onset_s": round(extra.heard_s, 4), "midi": extra.midi},
                    "verdict": "extra",
                    "sure": round(extra.sure, 2),
                }
                for extra in self.extras
            ],
            "pauses": [
                {"before": pause.index + 1, "seconds": round(pause.seconds, 2)}
                for pause in self.pauses
            ],
            "returns": [
                {"after": r.after + 1, "to": r.to + 1, "seconds": round(r.seconds, 2)}
                for r in self.returns
            ],
        }

    def _note_data(self, note: HeardNote) -> dict[str, Any]:
        printed = self.score.lick.notes[note.index]
        heard = None
        if note.heard_s is not None:
            heard = {"onset_s": round(note.heard_s, 4), "midi": note.heard_midi}
        late = note.late_s
        return {
            "note": note.index + 1,
            "string": printed.position.string,
            "fret": printed.position.fret,
            "expected": {"onset_s": round(note.expected_s, 4), "midi": note.midi},
            "heard": heard,
            "verdict": note.verdict.value,
            "late_ms": None if late is None else round(1000 * late, 1),
            "ring_ms": None if note.ring_s is None else round(1000 * note.ring_s),
            "sure": round(note.sure, 2),
        }
