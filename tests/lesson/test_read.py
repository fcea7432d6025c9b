"""Reading lesson files: what is accepted, and what a fault says."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from lickwright.errors import LessonError, LickwrightError
from lickwright.lesson.compile import Workshop
from lickwright.lesson.file.reading import MAX_BYTES, load_lesson
from lickwright.lick.hands import read_player

Write = Callable[[str], Path]


def line_of(text: str, part: str) -> int:
    return text[: text.index(part)].count("\n") + 1


def test_a_small_lesson_is_read_whole(small: str, write: Write) -> None:
    lesson = load_lesson(write(small))
    assert lesson.entry.lesson == "A Small One"
    assert [str(triad) for triad in lesson.examples[0].triads or ()] == ["D", "F#m"]
    assert lesson.examples[0].kind == "triads"
    assert lesson.examples[1].kind == "tab"
    assert lesson.guitar.tuning == "E2 A2 D3 G3 B3 E4"
    assert lesson.tempo_of(lesson.examples[0]).target == 90


def test_an_example_takes_the_tempi_it_does_not_name_from_the_lesson(
    small: str, write: Write
) -> None:
    text = small.replace("    rhythm: 16ths\n", "    rhythm: 16ths\n    tempo: {target: 140}\n")
    lesson = load_lesson(write(text))
    tempo = lesson.tempo_of(lesson.examples[0])
    assert (tempo.slow, tempo.target) == (60, 140)


def test_every_key_and_every_line_of_a_block_has_its_line(small: str, write: Write) -> None:
    lesson = load_lesson(write(small))
    assert lesson.spot("examples", 0, "rhythm").line == line_of(small, "rhythm: 16ths")
    assert lesson.spot("examples", 1, "tab").line == line_of(small, "tab: |")
    assert lesson.spot("examples", 1, "tab", line=4).line == line_of(small, "D|-12")


#: What changes in the small lesson, what the sentence must say, the text whose line it names.
FAULTS = [
    ("rhythm: 16ths", "rythm: 16ths", r"no key 'rythm'.*Did you mean 'rhythm'\?", "rythm"),
    ("lesson: A", "leson: A", r"no key 'leson'.*Did you mean 'lesson'\?", "leson"),
    ("slow: 60", "slo: 60", r"no key 'slo'.*Did you mean 'slow'\?", "slo: 60"),
    ("key: B dorian", "key: B doriann", r"doriann.*dorian", "key: B"),
    ("key: B dorian\n", "", r"'key' is missing", "lesson:"),
    ("over: B\n    implies", "over: H\n    implies", r"'H' is not a note", "over: H"),
    ("implies: Bm9", "implies: Bm99", r"Bm99", "implies"),
    ("[D, F#m]", "[D, F#moll]", r"F#moll", "triads"),
    ("[D, F#m]", "[]", r"0 triads", "triads"),
    ("frets: 9-16", "frets: nine", r"'nine' is not a range", "frets"),
    ("rhythm: 16ths", "rhythm: 16thz", r"16thz", "rhythm: 16thz"),
    ("contour: up down", "contour: upp", r"upp", "contour"),
    ("slow: 60", "slow: 600", r"a tempo of 600", "tempo"),
    ("slow: 60", "slow: 95", r"faster than the target", "tempo"),
    ("name: Own notes", "name: The pair", r"two examples are named 'The pair'", "over: B\n    tab"),
    ("    over: B\n    tab", "    tab", r"has no bass", "name: Own"),
    ("rhythm: q", "rhythm: q\n    frets: 3-5", r"'frets' has no place in .* tab", "frets: 3-5"),
    ("rhythm: q", "rhythm: q\n    strokes: DXU", r"X", "strokes"),
    ("rhythm: q", "rhythm: q\n    fingers: 1 2 7", r"'7' is not a finger", "fingers"),
    ("lesson: A", "guitar: {frets: 99}\nlesson: A", r"frets", "guitar"),
    ("lesson: A", "guitar: {tuning: E2 A2 D3}\nlesson: A", r"3 strings", "guitar"),
    ("lesson: A", "paper: a5\nlesson: A", r"'paper' cannot be 'a5'", "paper"),
    ("lesson: A", "number: seven\nlesson: A", r"'number' must be a whole number", "number"),
    ("lesson: A", "lesson: A\nlesson: B", r"not YAML.*duplicate key", "lesson: B"),
    ("tempo: {", "tempo: {{", r"not YAML|neither text", "tempo: {{"),
]


@pytest.mark.parametrize(("old", "new", "says", "near"), FAULTS)
def test_a_fault_says_what_where_and_how_to_mend_it(
    small: str, write: Write, old: str, new: str, says: str, near: str
) -> None:
    assert old in small
    text = small.replace(old, new, 1)
    path = write(text)
    with pytest.raises(LessonError) as caught:
        load_lesson(path)
    error = caught.value
    sentence = str(error)
    assert re.search(says, sentence), sentence
    assert "\n" not in sentence
    assert error.mend
    assert error.where is not None
    assert error.where.file == str(path)
    expected = line_of(text, near)
    assert error.where.line is not None
    assert abs(error.where.line - expected) <= 1, sentence


def test_an_example_without_music_is_told_so(small: str, write: Write) -> None:
    with pytest.raises(LessonError, match="has no music"):
        load_lesson(write("lesson: L\nkey: C\nexamples:\n  - name: Empty\n"))
    with pytest.raises(LessonError, match="'examples' is empty"):
        load_lesson(write("lesson: L\nkey: C\nexamples: []\n"))


def test_a_carried_lick_must_stand_above(small: str, write: Write) -> None:
    text = small + "  - name: Third\n    lick: The pear\n    changes: Bm9 | E13\n"
    with pytest.raises(LessonError, match="no earlier one is named so"):
        load_lesson(write(text))


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "holds no lesson"),
        (b"- a\n- b\n", "holds no lesson"),
        (b"\xff\xfe\x00lesson", "not UTF-8"),
        (b"lesson: \x00\n", "not YAML"),
        (b"[" * 5000, "nested too deep"),
        (b"a: &a [x,x]\nb: &b [*a,*a,*a]\nc: [*b,*b,*b,*b]\n", "no key"),
        (b"lesson: !!python/object/apply:os.system [x]\n", "neither text nor a number|must be"),
        (b"x" * (MAX_BYTES + 1), "larger than a lesson"),
    ],
)
def test_what_is_no_lesson_is_refused_in_one_sentence(
    tmp_path: Path, data: bytes, says: str
) -> None:
    path = tmp_path / "odd.yaml"
    path.write_bytes(data)
    with pytest.raises(LickwrightError, match=says) as caught:
        load_lesson(path)
    assert "\n" not in str(caught.value)


def test_text_that_refers_to_itself_without_end_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "bomb.yaml"
    levels = [f"k{n}: &k{n} [{', '.join([f'*k{n - 1}'] * 9)}]" for n in range(1, 9)]
    path.write_text("\n".join(["k0: &k0 [x]", *levels]), encoding="utf-8")
    with pytest.raises(LessonError, match="too large"):
        load_lesson(path)


def test_a_missing_file_names_its_neighbour(small: str, write: Write) -> None:
    path = write(small)
    with pytest.raises(LessonError, match=r"no such file.*Did you mean 'lesson\.yaml'"):
        load_lesson(path.with_name("leson.yaml"))
    with pytest.raises(LessonError, match="cannot be read"):
        load_lesson(path.parent)


@pytest.mark.parametrize(
    ("lesson", "example", "said"),
    [
        ("{slow: 120}", "", "120 is faster than 112, the target where none is written."),
        ("{target: 50}", "", "the target 50 is slower than 66, the slow tempo where none is"),
        ("{slow: 120, target: 80}", "", "120 is faster than the target 80. Swap them."),
        (
            "{slow: 50, target: 90}",
            "{slow: 100}",
            "100 is faster than 90, the target of the lesson",
        ),
        ("{slow: 50, target: 90}", "{target: 40}", "40 is slower than 50, the slow tempo of the"),
        ("{target: 90}", "{slow: 30, target: 25}", "30 is faster than the target 25. Swap them."),
        ("{slow: 100, target: 190}", "{slow: 180}", ""),
    ],
)
def test_a_tempo_that_nobody_wrote_is_not_quoted_as_written(
    tmp_path: Path, lesson: str, example: str, said: str
) -> None:
    path = tmp_path / "lesson.yaml"
    own = f", tempo: {example}" if example else ""
    path.write_text(
        f"lesson: T\nkey: B dorian\ntempo: {lesson}\nexamples:\n"
        f"  - {{name: a, triads: [D], over: B{own}}}\n"
    )
    if not said:
        entry = load_lesson(path)
        assert entry.tempo_of(entry.examples[0]).target == 190
        return
    with pytest.raises(LessonError) as refused:
        load_lesson(path)
    assert said in str(refused.value)
    assert f":{5 if example else 3}:" in str(refused.value)


def test_the_player_is_read_with_the_lessons_hand_and_side(small: str, write: Write) -> None:
    usual = load_lesson(write(small)).player
    assert usual == read_player()
    text = small.replace(
        "key: B dorian\n",
        "key: B dorian\nhand: small\nguitar: {left_handed: true}\n"
        "player: {level: growing, escape: up, alternate: 9, trills: {3-4: 6}}\n",
    )
    lesson = load_lesson(write(text))
    assert lesson.player == read_player(
        "growing", hand="small", left_handed=True, escape="up", alternate=9, trills={"3-4": 6}
    )
    assert (lesson.hand, lesson.guitar.left_handed) == ("small", True)
    text = small.replace(
        "key: B dorian\n", "key: B dorian\nplayer: {hand: large, left_handed: true}\n"
    )
    lesson = load_lesson(write(text))
    assert (lesson.hand, lesson.guitar.left_handed) == ("large", True)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ("player: {level: virtuos}", "Did you mean 'virtuoso'"),
        ("player: {trills: {3-5: 7}}", "'3-5' is not a pair of fingers"),
        ("player: {trills: {3-4: 70}}", "trills of 3-4 is 70 notes a second"),
        ("player: {speed: 7}", "speed"),
        ("player: {escape: sideways}", "escape"),
        ("hand: small\nplayer: {hand: large}", "the hand is small, and the player's is large"),
        (
            "guitar: {left_handed: false}\nplayer: {left_handed: true}",
            "not both left-handed",
        ),
    ],
)
def test_a_player_that_cannot_be_is_told_with_its_line(
    small: str, write: Write, keys: str, words: str
) -> None:
    path = write(small.replace("key: B dorian\n", f"key: B dorian\n{keys}\n"))
    with pytest.raises(LessonError) as raised:
        load_lesson(path)
    assert words in str(raised.value)
    assert raised.value.where is not None
    assert raised.value.where.line == 2 + len(keys.splitlines())


def test_a_line_may_be_told_on_which_stroke_to_begin(small: str, write: Write) -> None:
    def strokes(start: str) -> list[object]:
        path = write(small.replace("    rhythm: q\n", f"    rhythm: s\n    {start}\n"))
        return [note.stroke for note in Workshop(load_lesson(path)).worked(1).score.lick.notes]

    assert strokes("start: up")[0] == "U"
    assert strokes("start: down")[0] == "D"
    with pytest.raises(LessonError, match="told twice"):
        load_lesson(write(small.replace("    rhythm: q\n", "    start: up\n    strokes: DU\n")))
    with pytest.raises(LessonError, match="start"):
        load_lesson(write(small.replace("    rhythm: q\n", "    start: sideways\n")))
