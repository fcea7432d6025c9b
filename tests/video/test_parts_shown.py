"""A lick of parts on the screen: each part has its own neck, and says what it does."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from lickwright.lick.notes import Part, PartLink
from lickwright.video.film import screen_of
from lickwright.video.frames.clock import Clock, Passage
from lickwright.video.frames.painter import Placed
from lickwright.video.frames.pixels import Album
from lickwright.video.overlay import strip_of
from lickwright.video.panels.tab_page import PageMaker, taken_up

#: The demo lesson's first example: part 1 of D and Bm, part 2 of D and F#m.
MERGED = 0
#: Its lick over four chords.
CARRIED = 2


def test_each_part_has_a_neck_of_its_own_triads(demo_passage: Callable[[int], Passage]) -> None:
    neck = strip_of(Clock(demo_passage(MERGED)), Album()).neck
    assert [[scene.name(voice) for voice in scene.voices()] for scene in neck.scenes] == [
        ["D", "Bm"],
        ["D", "F♯m"],
    ]
    # As the tones of the triads are spelled: A is of D alone in part 1, of D and F#m in part 2.
    by_note = [{str(note.pitch.name): note.triads for note in scene.notes} for scene in neck.scenes]
    assert by_note[0] == {"A": (0,), "B": (1,), "D": (0, 1), "F#": (0, 1)}
    assert by_note[1] == {"A": (0, 2), "F#": (0, 2), "D": (0,), "C#": (2,)}


def test_a_carried_lick_has_a_neck_for_each_part_of_each_chord(
    demo_passage: Callable[[int], Passage],
) -> None:
    passage = demo_passage(CARRIED)
    neck = strip_of(Clock(passage), Album()).neck
    assert len(neck.scenes) == len(passage.score.lick.parts) == 8
    for index, note in enumerate(passage.score.lick.notes):
        assert neck.scene_of[index] == note.belongs.part


def test_every_triad_of_the_sounding_note_is_underlined(
    demo_passage: Callable[[int], Passage],
) -> None:
    passage = demo_passage(MERGED)
    neck = strip_of(Clock(passage), Album()).neck
    for index, note in enumerate(passage.score.lick.notes):
        shown: list[Placed] = list(neck.at(passage.seconds(note.onset) + 0.01))
        underline = neck._underline[neck.scene_of[index]]
        assert sum(placed.sprite is underline for placed in shown) == len(note.triads)


def test_the_tab_says_where_a_part_begins_and_what_it_does(
    demo_passage: Callable[[int], Passage],
) -> None:
    passage = demo_passage(MERGED)
    tab = screen_of(Clock(passage), Album(), (1920, 1080), "degrees", "").panels[3]
    maker = PageMaker(passage.score, tab.rows, 1800.0, 420, 1.2)
    words = {word.text: word for page in tab.pages for word in maker.page(page).words}
    assert {"Part 1", "Part 2", "strokes turned round"} <= words.keys()
    assert words["Part 1"].y == words["Part 2"].y < words["Bm9"].y
    assert words["Part 1"].x < words["Part 2"].x < words["strokes turned round"].x


def test_what_a_part_takes_up_is_said_in_words() -> None:
    parts = [Part("Call", Fraction(0), Fraction(4))]
    said = [taken_up(Part("Next", Fraction(4), Fraction(4), link, 0), parts) for link in PartLink]
    assert taken_up(parts[0], parts) == ""
    assert dict(zip(PartLink, said, strict=True)) == {
        PartLink.REPEAT: "as Call",
        PartLink.MIRROR: "strokes turned round",
        PartLink.ANSWER: "answers Call",
        PartLink.VARY: "varies Call",
    }
