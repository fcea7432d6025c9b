"""What does each chord of a progression do in its key, and which scale does it offer?

Functions, in the order in which they are looked for (common practice, no source):

* *dominant*: the chord on the fifth degree with a major third, altered or not;
* *secondary dominant*: a dominant seventh a fifth above the chord that follows;
* *tritone substitute*: a dominant seventh a semitone above the chord that follows;
* *backdoor dominant*: the dominant seventh on bVII before a chord on I;
* *leading-tone chord*: a diminished chord a semitone below the chord that follows;
* *related ii*: a minor seventh or half-diminished chord a fifth above a secondary dominant or a
  substitute that follows;
* *tonic*, *subdominant*, *dominant*: the chord lies in the key, on I III VI, II IV, or V VII;
* *borrowed*: it lies in another mode on the same tonic;
* *chromatic mediant*: a major or minor chord whose root lies a third from the tonic;
* *chromatic*: none of these.

The chord that follows the last one is the first: changes go round.
"""

from __future__ import annotations

from dataclasses import dataclass

from lickwright.changes.progression.chart import Changes, PlacedChord
from lickwright.changes.progression.numerals import numeral_of
from lickwright.changes.progression.scales import OfferedScale, offered_scales
from lickwright.errors import TheoryError
from lickwright.theory import Chord, Key, NoteName, find_scale, rotate_mask, spell_root

_DEGREE_FUNCTIONS = (
    "tonic",
    "subdominant",
    "tonic",
    "subdominant",
    "dominant",
    "tonic",
    "dominant",
)
#: Modes that chords are borrowed from, the likeliest first.
_LENDERS = (
    "minor",
    "major",
    "dorian",
    "mixolydian",
    "harmonic minor",
    "melodic minor",
    "phrygian",
    "lydian",
)


@dataclass(frozen=True, slots=True)
class ChordRole:
    """What one chord does.

    Parameters
    ----------
    placed : the chord in its time.
    numeral : its Roman numeral, ``""`` where no key is known.
    function : one of those that the module lists, ``""`` where no key is known.
    why : the reason, in a sentence.
    scales : what it offers, the likeliest first.
    """

    placed: PlacedChord
    numeral: str
    function: str
    why: str
    scales: tuple[OfferedScale, ...]


def analyse(changes: Changes) -> tuple[ChordRole, ...]:
    """The role of every chord, in order."""
    chords = changes.chords
    roles: list[ChordRole] = []
    for index, placed in enumerate(chords):
        after = chords[(index + 1) % len(chords)]
        beyond = chords[(index + 2) % len(chords)]
        roles.append(_role(placed, after.chord, beyond.chord))
    return tuple(roles)


def scale_of_the_moment(role: ChordRole) -> OfferedScale | None:
    """The likeliest scale of seven notes, one a letter; ``None`` where no scale holds the chord."""
    return next((scale for scale in role.scales if len(scale.notes) == 7), None)


def _role(placed: PlacedChord, after: Chord, beyond: Chord) -> ChordRole:
    chord, key = placed.chord, placed.key
    if key is None:
        return ChordRole(placed, "", "", "no key is known", offered_scales(chord, None))
    function, why = _function(chord, key, after, beyond)
    reference = None
    if function in ("secondary dominant", "leading-tone chord"):
        reference = _key_of(after)
    elif function == "dominant" and _is_dominant(chord) and not _inside(chord, key):
        reference = _key_of(after) if _falls_a_fifth(chord, after) else None
    elif function == "related ii":
        reference = _key_of(beyond)
    elif function == "borrowed":
        reference = _written_key(key.tonic, _lender(chord, key) or key.mode)
    floating = function in ("tritone substitute", "backdoor dominant", "borrowed") and (
        _is_dominant(chord)
    )
    scales = offered_scales(chord, key, reference, floating=floating)
    return ChordRole(placed, str(placed.numeral or numeral_of(chord, key)), function, why, scales)


def _function(chord: Chord, key: Key, after: Chord, beyond: Chord) -> tuple[str, str]:
    up = (chord.root.pc - key.tonic.pc) % 12
    if up == 7 and _has_major_third(chord):
        return "dominant", f"it stands on the fifth degree of {key} with its leading tone"
    found = _leading(chord, key, after, beyond)
    if found is not None:
        return found
    if _inside(chord, key):
        steps = [note.pc for note in key.notes]
        if len(steps) == 7 and chord.root.pc in steps:
            function = _DEGREE_FUNCTIONS[steps.index(chord.root.pc)]
        else:
            function = "tonic" if up == 0 else "subdominant"
        return function, f"all of its notes are in {key}"
    if up == 0:
        return "tonic", f"it stands on the tonic of {key}"
    lender = _lender(chord, key)
    if lender is not None:
        return "borrowed", f"all of its notes are in {key.tonic} {lender}"
    if up in (3, 4, 8, 9) and not _is_dominant(chord):
        return "chromatic mediant", f"its root lies a third from {key.tonic}"
    return "chromatic", f"it is in no mode on {key.tonic}"


def _lender(chord: Chord, key: Key) -> str | None:
    """The likeliest other mode on the tonic that holds a chord."""
    for mode in _LENDERS:
        mask = rotate_mask(find_scale(mode).mask, key.tonic.pc)
        if mode != key.mode and not chord.mask & ~mask:
            return mode
    return None


def _leading(chord: Chord, key: Key, after: Chord, beyond: Chord) -> tuple[str, str] | None:
    """What a chord is by where it leads, if it leads anywhere."""
    goes = (after.root.pc - chord.root.pc) % 12
    tonic_next = after.root.pc == key.tonic.pc
    if _is_dominant(chord):
        if goes == 5 and not tonic_next:
            return "secondary dominant", f"it falls a fifth to {after}"
        if goes == 11:
            return "tritone substitute", f"it falls a semitone to {after}"
        if goes == 2 and tonic_next and (chord.root.pc - key.tonic.pc) % 12 == 10:
            return "backdoor dominant", f"it rises a whole step to {after}"
    if _is_diminished(chord) and goes == 1:
        return "leading-tone chord", f"it rises a semitone to {after}"
    if _is_minor_seventh(chord) and goes in (5, 11) and _is_dominant(after):
        to_beyond = (beyond.root.pc - after.root.pc) % 12
        leads_out = to_beyond in (5, 11) and beyond.root.pc != key.tonic.pc
        if goes == (5 if to_beyond == 5 else 11 if to_beyond == 11 else -1) and leads_out:
            return "related ii", f"with {after} it makes a ii V to {beyond}"
    return None


def _key_of(chord: Chord) -> Key:
    """The key that a chord is the tonic of, for the sake of the chord that leads to it."""
    return _written_key(chord.root, "harmonic minor" if "b3" in chord.kind.degrees else "major")


def _written_key(tonic: NoteName, mode: str) -> Key:
    """The key on a tonic, or on its usual enharmonic where it could not be written."""
    try:
        return Key(tonic, mode)
    except TheoryError:
        return Key(spell_root(tonic.pc, minor="minor" in mode), mode)


def _falls_a_fifth(chord: Chord, after: Chord) -> bool:
    return (after.root.pc - chord.root.pc) % 12 == 5


def _inside(chord: Chord, key: Key) -> bool:
    return not chord.mask & ~key.mask


def _has_major_third(chord: Chord) -> bool:
    return "3" in chord.kind.degrees


def _is_dominant(chord: Chord) -> bool:
    return {"3", "b7"} <= set(chord.kind.degrees)


def _is_minor_seventh(chord: Chord) -> bool:
    return {"b3", "b7"} <= set(chord.kind.degrees)


def _is_diminished(chord: Chord) -> bool:
    return {"b3", "b5"} <= set(chord.kind.degrees) and "b7" not in chord.kind.degrees
