"""How does a lesson file, or a MusicXML file, become an entry for the shelf?"""

from __future__ import annotations

from pathlib import Path

from lickwright.formats.incoming import ANY_LINE, Wanted, load_musicxml
from lickwright.lesson.compile import Workshop
from lickwright.lesson.file import Lesson
from lickwright.shelf.licks.facts import facts_of, score_facts
from lickwright.shelf.licks.shelved import ShelvedLesson, ShelvedLick
from lickwright.theory import NoteName

#: Endings by which a MusicXML file is known.
MUSICXML_ENDINGS = frozenset({".musicxml", ".mxl", ".xml"})


def shelved_lesson(lesson: Lesson, text: str | None = None) -> ShelvedLesson:
    """A lesson with every example worked out.

    Parameters
    ----------
    text : what its file says, word for word; ``None`` reads the file once more.

    Raises
    ------
    LickwrightError
        Where the music of an example is impossible, with the file and the line.
    """
    shop = Workshop(lesson)
    worked = [shop.worked(index) for index in range(len(lesson.examples))]
    if text is None:
        text = lesson.path.read_bytes().decode("utf-8-sig")
    return ShelvedLesson(
        title=lesson.entry.lesson,
        number=lesson.entry.number,
        teacher=lesson.entry.teacher,
        file=lesson.path.name,
        text=text,
        licks=tuple(ShelvedLick(one.score, facts_of(one, lesson)) for one in worked),
    )


def shelved_musicxml(
    path: Path, wanted: Wanted = ANY_LINE, over: NoteName | None = None
) -> tuple[ShelvedLick, tuple[str, ...]]:
    """The line of a MusicXML file, and what was left out of it.

    Parameters
    ----------
    over : the bass that sounds under it, where the file has no chord symbols.

    Raises
    ------
    LickwrightError
        Where the file cannot be read, or its line not be played.
    """
    read = load_musicxml(path, wanted)
    facts = score_facts(read.score, over, wanted.hand, wanted.picking)
    return ShelvedLick(read.score, facts), read.left_out
