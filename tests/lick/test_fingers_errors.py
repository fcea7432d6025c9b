"""Every bad case says which note, counted from 1, and why."""

from __future__ import annotations

from typing import Any

import pytest

from lickwright.errors import LickwrightError
from lickwright.lick.fingering.fingers import assign_fingers
from lickwright.lick.fingering.task import Pin
from lickwright.neck.instrument import Guitar

BAD: dict[str, tuple[list[tuple[int, int]], dict[str, Any], str]] = {
    "no such string": ([(3, 5), (7, 5)], {}, r"note 2: there is no string 7 fret 5"),
    "no such fret": ([(3, 30)], {}, r"note 1: there is no string 3 fret 30"),
    "no such fret over a capo": (
        [(3, 20)],
        {"guitar": Guitar(frets=22, capo=3)},
        r"note 1: there is no string 3 fret 20 .*frets 0 to 19",
    ),
    "finger 5": ([(3, 5)], {"pins": {0: 5}}, r"note 1: there is no finger 5"),
    "pin beyond the line": ([(3, 5)], {"pins": {1: 2}}, r"note 2 of 1"),
    "open pinned on a stopped note": (
        [(3, 5)],
        {"pins": {0: 0}},
        r"note 1: pinned as an open string but written at fret 5",
    ),
    "finger pinned on an open string": (
        [(3, 5), (3, 0)],
        {"pins": {1: 2}},
        r"note 2: finger 2 is pinned to an open string",
    ),
    "finger behind the nut": (
        [(3, 5), (3, 1)],
        {"pins": {1: 4}},
        r"note 2: finger 4 cannot reach string 3 fret 1: the index would lie behind the nut",
    ),
    "finger out of its pinned place": (
        [(3, 12)],
        {"pins": {0: Pin(finger=1, place=5)}},
        r"note 1: finger 1 cannot reach string 3 fret 12 from position 5",
    ),
    "place too far": (
        [(3, 12)],
        {"pins": {0: Pin(place=5)}},
        r"note 1: string 3 fret 12 cannot be reached from position 5",
    ),
    "pinned to another string": (
        [(3, 12)],
        {"pins": {0: Pin(string=2)}},
        r"note 1: pinned to string 2 but written on string 3",
    ),
    "fingers crossed on one string in one place": (
        [(3, 7), (3, 6)],
        {"pins": {0: Pin(2, place=5), 1: Pin(3, place=5)}},
        r"note 2: finger 3 on string 3 fret 6 cannot follow finger 2 on string 3 fret 7 \(note 1\)",
    ),
    "two notes on one string at once": (
        [(3, 5), (3, 7)],
        {"onsets": [0, 0]},
        r"notes 1 and 2 start together on string 3",
    ),
    "open string under another note": (
        [(1, 2), (3, 0), (3, 7)],
        {"onsets": [0, 1, 1]},
        r"notes 2 and 3 start together on string 3",
    ),
    "two open notes on one string": (
        [(3, 0), (3, 0)],
        {"onsets": [0, 0]},
        r"notes 1 and 2 start together on string 3",
    ),
    "chord wider than the hand": (
        [(3, 5), (6, 1), (2, 9)],
        {"onsets": [0, 1, 1]},
        r"notes 2, 3: note 2 \(fret 1\) and note 3 \(fret 9\) lie \d+ mm apart",
    ),
    "more notes than fingers": (
        [(6, 5), (5, 6), (4, 7), (3, 8), (2, 9)],
        {"onsets": [0] * 5},
        r"notes 1, 2, 3, 4, 5 start together: 5 stopped notes",
    ),
    "pins that no grip keeps": (
        [(5, 3), (4, 2), (2, 1)],
        {"onsets": [0, 0, 0], "pins": {0: 1, 2: 3}},
        r"notes 1, 2, 3: no grip keeps what is pinned \(finger 1 on note 1, finger 3 on note 3\)",
    ),
    "fingers lying across a lower note": (
        [(4, 5), (3, 0), (2, 5)],
        {"onsets": [0, 0, 0], "pins": {0: 1, 2: 1}},
        r"no grip keeps what is pinned",
    ),
    "onsets too few": ([(3, 5), (3, 7)], {"onsets": [0]}, r"1 onsets for 2 notes"),
    "onsets that fall": (
        [(3, 5), (3, 7)],
        {"onsets": [1, 0]},
        r"note 2 starts before note 1",
    ),
    "no tempo": ([(3, 5)], {"tempo_bpm": 0}, r"tempo of 0"),
    "no objective": ([(3, 5)], {"objective": "best"}, r"no objective 'best'"),
    "no hand": ([(3, 5)], {"hand": "lrge"}, r"no hand 'lrge'.*large"),
    "no tuning": ([(3, 5)], {"guitar": "drp D"}, r"drop D"),
}


@pytest.mark.parametrize(("line", "arguments", "said"), BAD.values(), ids=list(BAD))
def test_a_bad_case_is_one_sentence_with_its_note(
    line: list[tuple[int, int]], arguments: dict[str, Any], said: str
) -> None:
    with pytest.raises(LickwrightError, match=said):
        assign_fingers(line, **arguments)
