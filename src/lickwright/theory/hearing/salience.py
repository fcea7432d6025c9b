"""How strongly does each pitch class sound as the root of what sounds?

After E. Terhardt's virtual pitch, R. Parncutt (1988, "Revision of Terhardt's psychoacoustical
model of the root(s) of a musical chord", Music Perception 6:1; revised 1997, "A model of the
perceptual root(s) of a chord accounting for voicing and prevailing tonality") lets every note
that sounds support the pitch classes of which it could be a low harmonic.  A root is supported
by the notes a unison, a fifth, a major third, a minor seventh and a major second above it.

Conventions
-----------
* Masks are relative to the bass: bit 0 is the bass.
* The weights are those of the 1997 revision, from memory: 10, 5, 3, 2, 1.  (The paper of 1988
  gives the same order in fractions and lets the minor third support a little; the revision
  drops it.)
* The revision also emphasises the bass.  Here the bass note counts ``BASS_EMPHASIS`` times as
  a supporter; the amount is ours, and prevailing tonality is left out: a key spells, it does
  not change what is heard as the root.
"""

from __future__ import annotations

from functools import cache

#: Semitones of a note above the root that it supports -> weight.
ROOT_SUPPORT: dict[int, int] = {0: 10, 7: 5, 4: 3, 10: 2, 2: 1}

#: How many times the bass note counts as a supporter.
BASS_EMPHASIS = 2

_WEIGHTS = tuple(ROOT_SUPPORT.get(semitones, 0) for semitones in range(12))


@cache
def root_salience(mask: int) -> tuple[int, ...]:
    """The support of each pitch class, 0-11 semitones above the bass, as a root.

    Parameters
    ----------
    mask : the pitch classes that sound, relative to the bass (bit 0 is the bass).
    """
    notes = [pc for pc in range(12) if mask >> pc & 1]
    return tuple(
        sum(_WEIGHTS[(note - root) % 12] * (BASS_EMPHASIS if note == 0 else 1) for note in notes)
        for root in range(12)
    )


def root_share(mask: int, root: int) -> float:
    """The support of one root beside the best supported one, 0 to 1."""
    support = root_salience(mask)
    return support[root] / max(support) if mask else 0.0
