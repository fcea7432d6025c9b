"""``lickwright film`` from the outside: the table, what is kept of it, and what is made."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import opentimelineio as otio
import pytest
import soundfile
import typer
from typer.testing import CliRunner

from lickwright.cli import film
from lickwright.errors import LickwrightError, OutputError, Spot
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.publish.film import Film, corrected, find_film, read_table, write_table
from lickwright.publish.film.table import clock, seconds
from lickwright.sound.mix.rendering import Playing, lead_stem
from lickwright.take.errors import TakeError

DEMO = Path(__file__).parents[1] / "take" / "session.yaml"
RATE = 44_100
#: What is played: example, tempo, and how long after the beginning its first note sounds.
PLAYED = ((0, 54, 1.5), (2, 72, 14.0), (0, 80, 24.0))


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three playings of two examples by our strings, in a room without anything else."""
    shop = Workshop(load_lesson(DEMO))
    wave = np.zeros(34 * RATE, np.float32)
    for index, tempo, at in PLAYED:
        stem = lead_stem(shop.worked(index).score, tempo, Playing(count_in_bars=0))
        stem = stem if stem.ndim == 1 else stem.mean(axis=1)
        first = round(at * RATE)
        room = wave[first : first + len(stem)]
        room += stem[: len(room)]
    wave += 1e-4 * np.random.default_rng(1).standard_normal(len(wave)).astype(np.float32)
    path = tmp_path_factory.mktemp("film") / "session.wav"
    soundfile.write(path, 0.5 * wave / np.abs(wave).max(), RATE)
    return path


@pytest.fixture(scope="module")
def found(recording: Path) -> Film:
    return find_film(load_lesson(DEMO), [recording])


def run(*arguments: str | Path) -> tuple[int, str, str]:
    app = typer.Typer()
    app.callback()(lambda: None)
    film.register(app)
    result = CliRunner().invoke(app, ["film", *map(str, arguments)])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


def test_each_playing_has_a_row_and_the_best_are_proposed(found: Film) -> None:
    names = [example.entry.name for example in found.examples]
    assert [(row.example, round(row.tempo_bpm)) for row in found.rows] == [
        (names[index], tempo) for index, tempo, _ in PLAYED
    ]
    assert [row.start_s for row in found.rows] == pytest.approx(
        [at for _, _, at in PLAYED], abs=0.02
    )
    assert [row.speed for row in found.rows] == ["slow", "target", "target"]
    assert all(row.whole and row.taken for row in found.rows)
    assert all("only whole one" in row.proposed for row in found.rows)


def test_the_command_prints_writes_and_makes(recording: Path, tmp_path: Path) -> None:
    out, table = tmp_path / "out", tmp_path / "table.csv"
    code, text, _ = run(DEMO, recording, "--table", table, "--make", "cuts", "-o", out, "--json")
    assert code == 0
    data = json.loads(text)
    assert [p["example"] for p in data["playings"]] == ["The pair", "In fives", "The pair"]
    first = data["playings"][0]["notes"]
    assert len(first) == 32
    assert {note["verdict"] for note in first} == {"played"}
    with table.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["bars"] for row in rows] == ["whole"] * 3
    assert sorted(p.name for p in out.iterdir()) == [
        "cuts.edl",
        "cuts.otio",
        "recording-chapters.vtt",
        "recording.vtt",
    ]
    rough, _ = otio.adapters.read_from_file(str(out / "cuts.otio")).tracks
    # The lesson's order, slow before fast.
    assert [clip.name for clip in rough] == [
        "The pair, ♩ = 54",
        "The pair, ♩ = 80",
        "In fives, ♩ = 72",
    ]
    text_vtt = (out / "recording-chapters.vtt").read_text("utf-8")
    assert text_vtt.startswith("WEBVTT\n\n00:00:01.5")


def test_what_a_teacher_corrects_is_kept(found: Film, tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    film_now, beside = corrected(found, ())
    write_table(path, film_now.rows, beside)
    names = [example.entry.name for example in found.examples]
    assert corrected(found, read_table(path, names))[0].rows == found.rows
    lines = list(csv.reader(path.read_text("utf-8").splitlines()))
    head = lines[0]
    lines[1][head.index("use")] = "no"
    lines[2][head.index("example")] = "Over the tide line"
    lines.append(["yes", "0:00:30.50", "0:00:33.00", "The pair", "2", *[""] * 7])
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(lines)
    for _ in range(2):  # and once more: what was written is read back
        kept, beside = corrected(found, read_table(path, names))
        assert [row.example for row in kept.rows] == [
            "The pair",
            "Over the tide line",
            "The pair",
            "The pair",
        ]
        assert [row.use for row in kept.rows] == ["no", "", "", "yes"]
        assert [row.corrected for row in kept.rows] == [False, True, False, True]
        assert not kept.rows[0].taken
        assert kept.rows[3].taken
        assert (kept.rows[3].bars, kept.rows[3].whole) == ((2, 2), False)
        write_table(path, kept.rows, beside)


def test_a_spreadsheet_that_writes_semicolons_is_read(found: Film, tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    path.write_text(
        "use;start;end;example;bars;found\r\nyes;0:01.00;0:09.00;The pair;whole;\r\n", "utf-8"
    )
    (line,) = read_table(path, ["The pair"])
    assert (line.use, line.start_s, line.end_s, line.found) == ("yes", 1.0, 9.0, None)


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        ("maybe,0:01.00,0:09.00,The pair,whole,", "stands under use"),
        ("yes,0:01.00,0:09.00,The pear,whole,", "no example 'The pear'"),
        ("yes,0:09.00,0:01.00,The pair,whole,", "ends before it begins"),
        ("yes,soon,0:01.00,The pair,whole,", "'soon' is no time"),
        ("yes,0:01.00,0:09.00,The pair,two,", "stands under bars"),
        ("yes,0:01.00,0:09.00,The pair,whole,words", "last column was changed"),
    ],
)
def test_a_table_that_makes_no_sense_is_told_with_its_line(
    tmp_path: Path, row: str, fault: str
) -> None:
    path = tmp_path / "table.csv"
    path.write_text(f"use,start,end,example,bars,found\n{row}\n", "utf-8")
    with pytest.raises(OutputError, match=fault) as told:
        read_table(path, ["The pair"])
    assert told.value.where == Spot(str(path), 2)


def test_a_table_without_its_columns_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    path.write_text("use,start\n", "utf-8")
    with pytest.raises(OutputError, match="lacks one of the columns"):
        read_table(path, [])


@pytest.mark.parametrize("time_s", [0.0, 0.01, 59.99, 60.0, 3599.99, 10799.5])
def test_times_come_back(time_s: float) -> None:
    assert seconds(clock(time_s)) == pytest.approx(time_s)


def _wav(path: Path, wave: np.ndarray) -> Path:
    soundfile.write(path, wave, RATE)
    return path


def test_bad_recordings_are_told_in_a_sentence_and_nothing_is_written(
    recording: Path, tmp_path: Path
) -> None:
    noise = 0.1 * np.random.default_rng(1).standard_normal(6 * RATE)
    nothing = _wav(tmp_path / "noise.wav", noise)
    cut = tmp_path / "cut.wav"
    cut.write_bytes(recording.read_bytes()[: 10 * RATE])
    silent = tmp_path / "silent.mp4"
    with av.open(str(silent), "w") as out:
        stream = out.add_stream("libx264", rate=25)
        stream.width, stream.height, stream.pix_fmt = 64, 64, "yuv420p"
        for number in range(50):
            grey = np.full((64, 64, 3), number, np.uint8)
            out.mux(stream.encode(av.VideoFrame.from_ndarray(grey, "rgb24")))
        out.mux(stream.encode())
    table = tmp_path / "t.csv"
    for path, fault in (
        (nothing, "no playing"),
        (cut, "cut off"),
        (silent, "no sound track"),
        (tmp_path / "absent.mp4", "cannot be read"),
    ):
        with pytest.raises(LickwrightError, match=fault):
            run(DEMO, path, "--table", table, "--make", "cuts", "-o", tmp_path / "out")
    with pytest.raises(TakeError, match="do not hold the same sound"):
        run(DEMO, recording, nothing)
    assert not table.exists()
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("option", "word", "fault"),
    [
        ("--make", "overlay", "Did you mean 'overlays'"),
        ("--fps", "12", "--fps 12"),
        ("--shape", "4:3", "--shape 4:3"),
        ("--coding", "vp9", "--coding vp9"),
    ],
)
def test_settings_that_are_none_are_told_before_anything_is_heard(
    tmp_path: Path, option: str, word: str, fault: str
) -> None:
    with pytest.raises(OutputError, match=fault):
        run(DEMO, tmp_path / "absent.mp4", option, word)


def test_a_sound_file_alone_makes_no_film(found: Film, tmp_path: Path) -> None:
    from lickwright.publish.film import make_film

    with pytest.raises(OutputError, match="none of the recordings has a picture"):
        make_film(found, tmp_path, found.lesson.entry.film)
    assert list(tmp_path.iterdir()) == []


def test_overlays_follow_the_player(found: Film, tmp_path: Path) -> None:
    from lickwright.publish.film import make_overlays

    one = replace(found, rows=(replace(found.rows[2], use="yes"),))
    (made,) = make_overlays(one, tmp_path, found.lesson.entry.film)
    assert made.path.name == "01-the-pair-80.mov"
    with av.open(str(made.path)) as strip:
        stream = strip.streams.video[0]
        assert (stream.width, stream.height, stream.average_rate) == (1920, 360, 30)
        length = float(stream.duration * stream.time_base)
    row = found.rows[2]
    assert length == pytest.approx(row.end_s - row.start_s + 2.5, abs=0.05)
