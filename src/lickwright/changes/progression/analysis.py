"""What does each chord of a progression do in its key, and which scale does it offer?

Functions, in the order in which they are looked for (common practice, no source):

* *dominant*: the chord on the fifth degree with a major third, altered or not;
* a seventh at home in a *blues*: I7 is the tonic, IV7 the subdominant;
* *secondary dominant*: a dominant a fifth above the chord that follows, as a seventh, a triad
  with a third foreign to the key, or suspended (:mod:`lickwright.changes.progression.leading`);
* *tritone substitute*: a dominant seventh a semitone above the chord that follows;
* *backdoor dominant*: the dominant seventh on bVII before a chord on I;
* *leading-tone chord*: a diminished chord that holds the leading tone of the chord that follows;
* *passing diminished*, *common-tone diminished*: a diminished seventh a semitone above the chord
  that follows, or one that shares its root;
* *related ii*: a minor seventh or half-diminished chord a fifth above a secondary dominant or a
  substitute that follows;
* *tonic*, *subdominant*, *dominant*: the chord lies in the key, on I III VI, II IV, or V VII;
* *borrowed*: it lies in another mode on the same tonic;
* *chromatic mediant*: a major or minor chord whose root lies a third from the tonic;
* *chromatic*: none of these.

A chord that is played again is one chord.  After the last comes the first only where the changes
end with a repeat.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lickwright.changes.progression.chart import Changes, PlacedChord
from lickwright.changes.progression.leading import (
    acting_root,
    goals,
    is_blues,
    is_diminished,
    is_diminished_seventh,
    is_dominant_seventh,
    is_half_diminished,
    is_minor_seventh,
    is_suspended_dominant,
    works_as_dominant,
)
from lickwright.changes.progression.numerals import numeral_of
from lickwright.changes.progression.scales import OfferedScale, offered_scales
from lickwright.errors import TheoryError
from lickwright.theory import Chord, Key, NoteName, find_scale, rotate_mask, spell, spell_root

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
    functional : the same by what it leads to, such as ``V7/ii``; else the numeral.
    function : one of those that the module lists, ``""`` where no key is known.
    why : the reason, in a sentence.
    scales : what it offers, the likeliest first.
    """

    placed: PlacedChord
    numeral: str
    functional: str
    function: str
    why: str
    scales: tuple[OfferedScale, ...]


def analyse(changes: Changes) -> tuple[ChordRole, ...]:
    """The role of every chord, in order."""
    every = [placed.chord for placed in changes.chords]
    return tuple(
        _role(placed, *ahead, every)
        for placed, ahead in zip(changes.chords, goals(changes), strict=True)
    )


def scale_of_the_moment(role: ChordRole) -> OfferedScale | None:
    """The likeliest scale of seven notes, one a letter; ``None`` where no scale holds the chord."""
    return next((scale for scale in role.scales if len(scale.notes) == 7), None)


def _role(
    placed: PlacedChord, after: Chord | None, beyond: Chord | None, every: Sequence[Chord]
) -> ChordRole:
    chord, key = placed.chord, placed.key
    if key is None:
        return ChordRole(placed, "", "", "", "no key is known", offered_scales(chord, None))
    function, why = _function(chord, key, after, beyond, every)
    reference = None
    if function in ("secondary dominant", "leading-tone chord") and after is not None:
        reference = _key_of(after)
    elif function == "dominant" and is_dominant_seventh(chord) and not _inside(chord, key):
        falls = after is not None and (after.root.pc - chord.root.pc) % 12 == 5
        reference = _key_of(after) if after is not None and falls else None
    elif function == "related ii" and beyond is not None:
        reference = _key_of(beyond)
    elif function == "borrowed":
        reference = _written_key(key.tonic, _lender(chord, key) or key.mode)
    floating = function in ("tritone substitute", "backdoor dominant", "borrowed") and (
        is_dominant_seventh(chord)
    )
    scales = offered_scales(chord, key, reference, floating=floating)
    numeral = str(placed.numeral or numeral_of(chord, key))
    functional = _functional(chord, key, function, after, beyond) or numeral
    return ChordRole(placed, numeral, functional, function, why, scales)


def _functional(
    chord: Chord, key: Key, function: str, after: Chord | None, beyond: Chord | None
) -> str:
    """The numeral of a chord by what it leads to: V7/ii, subV7/I, viidim7/V, iim7/IV."""
    goal = beyond if function == "related ii" else after
    heads = {
        "secondary dominant": "V",
        "tritone substitute": "subV",
        "leading-tone chord": "vii",
        "related ii": "ii",
    }
    if goal is None or function not in heads or acting_root(chord) != chord.root.pc:
        return ""
    if function == "secondary dominant" and (acting_root(goal) - chord.root.pc) % 12 != 5:
        return ""
    if function == "leading-tone chord" and (goal.root.pc - chord.root.pc) % 12 != 1:
        return ""
    if function == "related ii" and (goal.root.pc - chord.root.pc) % 12 != 10:
        return ""
    bass = "" if chord.bass is None else f"/{chord.bass}"
    place = replace(numeral_of(goal, key), suffix="", natural=False)
    return f"{heads[function]}{chord.kind.suffix}{bass}/{place}"


def _function(
    chord: Chord, key: Key, after: Chord | None, beyond: Chord | None, every: Sequence[Chord]
) -> tuple[str, str]:
    up = (acting_root(chord) - key.tonic.pc) % 12
    if up == 7 and ("3" in chord.kind.degrees or is_suspended_dominant(chord)):
        held = is_suspended_dominant(chord)
        told = ", its leading tone held back" if held else " with its leading tone"
        return "dominant", f"it stands on the fifth degree of {key}{told}"
    if up in (0, 5) and is_dominant_seventh(chord) and is_blues(every, key.tonic.pc):
        function = "tonic" if up == 0 else "subdominant"
        return function, "its seventh is at home in a blues"
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
    if up == 0 and not is_diminished(chord):
        return "tonic", f"it stands on the tonic of {key}"
    lender = _lender(chord, key)
    if lender is not None:
        return "borrowed", f"all of its notes are in {key.tonic} {lender}"
    if up in (3, 4, 8, 9) and not is_dominant_seventh(chord):
        return "chromatic mediant", f"its root lies a third from {key.tonic}"
    return "chromatic", f"it is in no mode on {key.tonic}"


def _lender(chord: Chord, key: Key) -> str | None:
    """The likeliest other mode on the tonic that holds a chord."""
    for mode in _LENDERS:
        mask = rotate_mask(find_scale(mode).mask, key.tonic.pc)
        if mode != key.mode and not chord.mask & ~mask:
            return mode
    return None


def _leading(
    chord: Chord, key: Key, after: Chord | None, beyond: Chord | None
) -> tuple[str, str] | None:
    """What a chord is by where it leads, if it leads anywhere."""
    if after is None:
        return None
    goes = (acting_root(after) - acting_root(chord)) % 12
    tonic_next = after.root.pc == key.tonic.pc
    if works_as_dominant(chord, key):
        if goes == 5 and not tonic_next:
            return "secondary dominant", f"it falls a fifth to {after}"
        if goes == 11 and is_dominant_seventh(chord):
            return "tritone substitute", f"it falls a semitone to {after}"
        backdoor = (acting_root(chord) - key.tonic.pc) % 12 == 10
        if goes == 2 and tonic_next and backdoor and not _inside(chord, key):
            return "backdoor dominant", f"it rises a whole step to {after}"
        goal = (acting_root(chord) + 5) % 12
        turns_away = goes in (1, 2) and is_dominant_seventh(chord) and key.has(goal)
        if turns_away and goal != key.tonic.pc and not _inside(chord, key):
            named = spell(goal, key)
            return "secondary dominant", f"it is the dominant of {named}, and turns away to {after}"
    if goes == 5 and not tonic_next and _is_seven_of_minor(chord, key):
        return "secondary dominant", f"it falls a fifth to {after}"
    found = _diminished(chord, key, after)
    if found is not None:
        return found
    if is_minor_seventh(chord) and is_dominant_seventh(after) and beyond is not None:
        to_beyond = (beyond.root.pc - after.root.pc) % 12
        home = beyond.root.pc == key.tonic.pc
        out = not home if goes == to_beyond else not _inside(chord, key)
        if goes in (5, 11) and to_beyond in (5, 11) and out and (goes == 5 or to_beyond == 11):
            return "related ii", f"with {after} it makes a ii V to {beyond}"
    return None


def _is_seven_of_minor(chord: Chord, key: Key) -> bool:
    """A major triad on the lowered seventh degree of a minor key, whose fifth below is III."""
    up = (chord.root.pc - key.tonic.pc) % 12
    return up == 10 and key.has((key.tonic.pc + 3) % 12) and {"3", "5"} <= {*chord.kind.degrees}


def _diminished(chord: Chord, key: Key, after: Chord) -> tuple[str, str] | None:
    """What a diminished chord does on its way to the next chord."""
    goes = (after.root.pc - chord.root.pc) % 12
    leads = is_diminished(chord) or (is_half_diminished(chord) and not _inside(chord, key))
    if leads and goes == 1:
        return "leading-tone chord", f"it rises a semitone to {after}"
    if not is_diminished_seventh(chord):
        return None
    leading_tone = (after.root.pc - 1) % 12
    if chord.mask >> leading_tone & 1:
        return "leading-tone chord", f"it holds the leading tone of {after}"
    if goes == 11:
        return "passing diminished", f"it falls a semitone to {after}"
    if chord.mask >> after.root.pc & 1:
        return "common-tone diminished", f"it shares {after.root} with {after}, and goes back to it"
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


def _inside(chord: Chord, key: Key) -> bool:
    return not chord.mask & ~key.mask
