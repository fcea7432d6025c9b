"""How else would a player write this chord: as a slash chord, as a polychord, with a plainer root?

* A chord with its seventh in the bass, or a suspended chord, whose other notes are a plain triad
  or seventh chord, is often written as that over the bass: F/G for G9sus4, C/Bb for C7/Bb.
* A seventh chord with its fifth, and two or more tensions that all lie in one major or minor
  triad of the chord's notes, is often written as two chords: F/Eb7 for Eb13#11.
* A symbol whose notes need double accidentals may be read more easily from the other name of its
  root; it is offered, never put in the first one's place.

Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.degree import degree_note, degree_semitones
from lickwright.theory.hearing.naming import TENSIONS, is_grip, name_on_root
from lickwright.theory.pitch import NoteName, mask_of, rotate_mask
from lickwright.theory.spelling import spell_root
from lickwright.theory.symbols import ChordKind, kind_from_degrees
from lickwright.theory.triad import Triad

_SLASHED = frozenset({"", "m", "dim", "m7", "maj7", "m7b5"})


def other_symbols(chord: Chord, degrees: Sequence[str]) -> tuple[str, ...]:
    """Other spellings of a chord of which ``degrees`` sound (over its root, bass included)."""
    found = [_slash(chord, degrees), _polychord(chord, degrees), _plainer_root(chord, degrees)]
    own = str(chord)
    return tuple(dict.fromkeys(symbol for symbol in found if symbol and symbol != own))


def polychord_of(triads: Sequence[Triad], bass: NoteName) -> str:
    """Two triads stacked, the one that holds the bass below; ``""`` for any other number."""
    if len(triads) != 2:
        return ""
    upper, lower = sorted(triads, key=lambda triad: bool(triad.mask >> bass.pc & 1))
    return str(_stacked(parse_chord(str(upper)), parse_chord(str(lower)), bass))


def _slash(chord: Chord, degrees: Sequence[str]) -> str:
    bass = chord.bass_note
    seventh_below = any(
        degree_note(chord.root, name).pc == bass.pc for name in degrees if name in ("b7", "7")
    )
    suspended = chord.kind.family == "suspended" and chord.bass is None
    if not (seventh_below or suspended):
        return ""
    above = mask_of(degree_note(chord.root, name).pc for name in degrees) & ~(1 << bass.pc)
    for name in degrees:
        root = degree_note(chord.root, name)
        if seventh_below and root != chord.root:
            continue
        kind = _plain_kind(above, root) if above >> root.pc & 1 else None
        if kind is not None and kind.suffix in _SLASHED:
            return str(Chord(root, kind, bass))
    return ""


def _polychord(chord: Chord, degrees: Sequence[str]) -> str:
    tensions = [name for name in degrees if name in TENSIONS]
    if chord.bass is not None or len(tensions) < 2 or "5" not in degrees:
        return ""
    lower = kind_from_degrees(name for name in degrees if name not in TENSIONS)
    if lower is None or lower.suffix not in ("7", "maj7", "m7", "m(maj7)"):
        return ""
    over_root = mask_of(degree_semitones(name) for name in degrees)
    outside = mask_of(degree_semitones(name) for name in tensions)
    for name in tensions:
        root = degree_note(chord.root, name)
        for minor, tones in ((False, 0b10010001), (True, 0b10001001)):
            upper = rotate_mask(tones, degree_semitones(name))
            if not upper & ~over_root and not outside & ~upper:
                plain = root if abs(root.alter) < 2 else spell_root(root.pc, minor=minor)
                kind = kind_from_degrees(("1", "b3" if minor else "3", "5"))
                if kind is not None:
                    return str(_stacked(Chord(plain, kind), Chord(chord.root, lower), chord.root))
    return ""


def _plainer_root(chord: Chord, degrees: Sequence[str]) -> str:
    usual = spell_root(chord.root.pc, minor="b3" in chord.kind.degrees)
    if usual == chord.root or _doubles(chord.root, degrees) <= _doubles(usual, degrees):
        return ""
    bass = None
    if chord.bass is not None:
        bass = next(
            (
                degree_note(usual, name)
                for name in degrees
                if degree_note(usual, name).pc == chord.bass.pc
            ),
            chord.bass,
        )
    return str(Chord(usual, chord.kind, bass))


def _doubles(root: NoteName, degrees: Sequence[str]) -> int:
    return sum(abs(degree_note(root, name).alter) > 1 for name in degrees)


def _plain_kind(mask: int, root: NoteName) -> ChordKind | None:
    naming = name_on_root(rotate_mask(mask, -root.pc))
    return naming.kind if naming is not None and is_grip(naming) else None


def _stacked(upper: Chord, lower: Chord, bass: NoteName) -> Chord:
    return Chord(lower.root, lower.kind, bass, upper)
