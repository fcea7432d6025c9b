"""In which key does each chord of a progression sound, where nobody says so?

The cheapest path through the 24 major and minor keys, chord by chord (a Viterbi search): a chord
costs the notes that a key does not hold, less where it leads to a chord of the key as its dominant
or leading-tone chord; a tonic, a dominant and above all a cadence from one to the other speak for
a key; a change of key costs more the farther it goes.  Common practice, no source; the prices stand
in :data:`KEY_COSTS`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from lickwright.changes.progression.chart import Changes
from lickwright.theory import Chord, Key, NoteName, rotate_mask, spell_root

#: Points; only their proportions matter.
KEY_COSTS: dict[str, float] = {
    "note outside": 0.68,
    "leads to a chord of the key": -0.62,
    "tonic": -0.7,
    "dominant": -0.3,
    "cadence": -0.96,
    "first or last on the tonic": -1.2,
    "change of key": 1.92,
    "fifth of the way": 0.08,
}
_MAJOR = 0b101010110101
#: Natural minor with its raised sixth and seventh: what chords of a minor key are made of.
_MINOR = 0b111110101101


@dataclass(frozen=True, slots=True)
class _KeyState:
    tonic: int
    minor: bool

    @property
    def mask(self) -> int:
        return rotate_mask(_MINOR if self.minor else _MAJOR, self.tonic)

    @property
    def fifths(self) -> int:
        """Its place on the circle of fifths, by its relative major."""
        return (self.tonic + (3 if self.minor else 0)) * 7 % 12


_STATES = tuple(_KeyState(tonic, minor) for minor in (False, True) for tonic in range(12))


def infer_keys(chords: Sequence[Chord], lengths: Sequence[Fraction] | None = None) -> list[Key]:
    """The key in which each chord sounds.

    Parameters
    ----------
    chords : in order, one at least.
    lengths : quarter notes of each; all alike where they are left out.

    Returns
    -------
    list of Key
        One a chord; a change of key lies where two neighbours differ.

    Examples
    --------
    >>> from lickwright.theory import parse_chord
    >>> chords = [parse_chord(text) for text in "Dm7 G7 Cmaj7 Cm7 F7 Bbmaj7".split()]
    >>> [str(key) for key in infer_keys(chords)]
    ['C major', 'C major', 'C major', 'Bb major', 'Bb major', 'Bb major']
    """
    weights = _weights(chords, lengths)
    every = range(len(_STATES))
    costs = [[weights[0] * _cost(chords, 0, state) for state in _STATES]]
    back: list[list[int]] = []
    for at in range(1, len(chords)):
        last = costs[-1]
        came = [min(every, key=lambda past: last[past] + _change(past, now)) for now in every]
        own = [weights[at] * _cost(chords, at, state) for state in _STATES]
        costs.append([own[now] + last[came[now]] + _change(came[now], now) for now in every])
        back.append(came)
    state = min(every, key=costs[-1].__getitem__)
    path = [state]
    for came in reversed(back):
        state = came[state]
        path.append(state)
    return [_key(_STATES[each], chords) for each in reversed(path)]


def in_inferred_keys(changes: Changes) -> Changes:
    """The changes with a key for every chord that has none; keys that are written stand.

    Parameters
    ----------
    changes : as they are read.

    Returns
    -------
    Changes
        The same chords in the same time.

    Examples
    --------
    >>> from lickwright.changes.progression.chart import parse_changes
    >>> [str(placed.key) for placed in in_inferred_keys(parse_changes("Dm7 | G7 | C")).chords]
    ['C major', 'C major', 'C major']
    """
    if all(placed.key is not None for placed in changes.chords):
        return changes
    chords = [placed.chord for placed in changes.chords]
    keys = infer_keys(chords, [placed.length for placed in changes.chords])
    return replace(
        changes,
        chords=tuple(
            placed if placed.key is not None else replace(placed, key=key)
            for placed, key in zip(changes.chords, keys, strict=True)
        ),
    )


def pivot_before(changes: Changes, index: int) -> Chord | None:
    """The chord before a change of key, where it belongs to both keys.

    Parameters
    ----------
    changes : every chord with its key.
    index : of the first chord in the new key.

    Returns
    -------
    Chord or None
        ``None`` where the key does not change there, or nothing leads over.

    Examples
    --------
    >>> from lickwright.changes.progression.chart import parse_changes
    >>> changes = in_inferred_keys(parse_changes("C | F | G | C | Am | D7 | G | Am | D7 | G"))
    >>> [(str(p.chord), str(pivot_before(changes, i))) for i, p in enumerate(changes.chords)
    ...  if pivot_before(changes, i)]
    [('D7', 'Am')]
    """
    if not 0 < index < len(changes.chords):
        return None
    before, now = changes.chords[index - 1], changes.chords[index]
    if before.key is None or now.key is None or before.key == now.key:
        return None
    mask = before.chord.mask
    return before.chord if not mask & ~before.key.mask and not mask & ~now.key.mask else None


def _weights(chords: Sequence[Chord], lengths: Sequence[Fraction] | None) -> list[float]:
    """A long chord speaks louder, but not in proportion."""
    if lengths is None:
        return [1.0] * len(chords)
    mean = sum(lengths, Fraction(0)) / len(chords)
    return [min(2.0, max(0.5, float(length / mean) ** 0.5)) if mean else 1.0 for length in lengths]


def _cost(chords: Sequence[Chord], at: int, state: _KeyState) -> float:
    chord = chords[at]
    after = chords[at + 1] if at + 1 < len(chords) else None
    up = (chord.root.pc - state.tonic) % 12
    outside = _outside(chord.mask, state)
    cost = KEY_COSTS["note outside"] * outside
    degrees = set(chord.kind.degrees)
    tonic_third = "b3" if state.minor else "3"
    if up == 0 and tonic_third in degrees and "b5" not in degrees and "b7" not in degrees:
        cost += KEY_COSTS["tonic"]
        if at in (0, len(chords) - 1):
            cost += KEY_COSTS["first or last on the tonic"]
    dominant = (up == 7 and "3" in degrees) or (up == 11 and {"b3", "b5"} <= degrees)
    if dominant:
        cost += KEY_COSTS["dominant"]
    if after is None:
        return cost
    leads = (after.root.pc - chord.root.pc) % 12 == (1 if "b5" in degrees else 5)
    if dominant and _is_tonic(after, state):
        cost += KEY_COSTS["cadence"]
    elif outside and leads and not _outside(after.mask, state):
        cost += KEY_COSTS["leads to a chord of the key"] * min(outside, 2)
    return cost


def _is_tonic(chord: Chord, state: _KeyState) -> bool:
    third = "b3" if state.minor else "3"
    return chord.root.pc == state.tonic and third in chord.kind.degrees


@lru_cache(maxsize=8192)
def _outside(mask: int, state: _KeyState) -> int:
    return (mask & ~state.mask).bit_count()


@lru_cache(maxsize=1024)
def _change(before: int, after: int) -> float:
    if before == after:
        return 0.0
    way = (_STATES[before].fifths - _STATES[after].fifths) % 12
    return KEY_COSTS["change of key"] + KEY_COSTS["fifth of the way"] * min(way, 12 - way)


def _key(state: _KeyState, chords: Sequence[Chord]) -> Key:
    """The key as the chords spell its tonic, or as it is usually written."""
    mode = "minor" if state.minor else "major"
    names = [chord.root for chord in chords if chord.root.pc == state.tonic]
    usual = spell_root(state.tonic, minor=state.minor)
    for name in (*names[:1], usual):
        if _writable(name, state):
            return Key(name, mode)
    return Key(usual, mode)


def _writable(name: NoteName, state: _KeyState) -> bool:
    return abs(name.line_of_fifths - (3 if state.minor else 0)) <= 7
