"""The demo lesson as it ships: page, exchange file and MIDI agree, as other programs read them.

That the sound agrees too stands in ``tests/sound/test_demo_lesson.py``.
"""

from __future__ import annotations

import html.parser
import json
import math
from collections import defaultdict
from pathlib import Path

import av
import av.filter
import mido
import music21
import pypdf
import pytest
from lxml import etree

from lickwright import Score, load_lesson
from lickwright.lesson.compile.examples import Workshop

#: One process asks for the folder first and the other need not wait for it.
pytestmark = pytest.mark.xdist_group("demo")


@pytest.fixture(scope="session")
def scores(demo_path: Path) -> dict[str, Score]:
    """The demo's Scores by the stem of their files."""
    lesson = load_lesson(demo_path)
    shop = Workshop(lesson)
    from lickwright.publish.example_files import slug

    return {
        slug(index, example.name): shop.worked(index).score
        for index, example in enumerate(lesson.examples)
    }


def test_everything_that_was_promised_is_there(shipped: Path, scores: dict[str, Score]) -> None:
    for stem in scores:
        for ending in (".svg", ".musicxml", ".mid", "-slow.wav", "-target.wav"):
            assert (shipped / "examples" / f"{stem}{ending}").stat().st_size > 0
        assert list((shipped / "examples").glob(f"{stem}-neck*.svg"))
    for name in ("lesson.pdf", "index.html", "report.json"):
        assert (shipped / name).stat().st_size > 0


def test_the_first_example_ships_everything(shipped: Path) -> None:
    for ending in ("-ladder.wav", "-loop.wav", "-stems.zip", ".mp4", "-overlay.mov", ".vtt"):
        assert (shipped / "examples" / f"01-two-pairs-one-lick{ending}").stat().st_size > 0
    with av.open(str(shipped / "examples" / "01-two-pairs-one-lick.mp4")) as film:
        video, sound = film.streams.video[0], film.streams.audio[0]
        assert (video.width, video.height) == (1920, 1080)
        lengths = [float(s.duration * s.time_base) for s in (video, sound)]
        assert abs(lengths[0] - lengths[1]) < 1 / 30


def test_music21_reads_the_notes_of_every_example(shipped: Path, scores: dict[str, Score]) -> None:
    for stem, score in scores.items():
        read = music21.converter.parse(shipped / "examples" / f"{stem}.musicxml")
        notation, tablature = read.parts
        for part in (notation, tablature):
            found = [
                (note.offset, note.quarterLength, note.pitch.midi)
                for note in part.stripTies().flatten().getElementsByClass(music21.note.Note)
            ]
            assert found == [
                (note.onset, note.duration, note.pitch.midi) for note in score.lick.notes
            ]


def test_mido_reads_the_notes_of_every_example(shipped: Path, scores: dict[str, Score]) -> None:
    for stem, score in scores.items():
        file = mido.MidiFile(shipped / "examples" / f"{stem}.mid")
        assert file.type == 1
        heard = []
        for track in file.tracks:
            tick = 0
            for message in track:
                tick += message.time
                lead = message.type == "note_on" and message.velocity and message.channel < 6
                if lead:
                    heard.append((tick, message.note, message.channel + 1))
        zero = 4 * file.ticks_per_beat  # after a bar of count-in
        expected = [
            (zero + note.onset * file.ticks_per_beat, note.pitch.midi, note.position.string)
            for note in score.lick.notes
        ]
        assert sorted(heard) == sorted(expected)


def test_every_svg_is_well_formed_and_asks_for_nothing(shipped: Path) -> None:
    files = list((shipped / "examples").glob("*.svg"))
    assert files
    for file in files:
        root = etree.parse(str(file)).getroot()
        for element in root.iter():
            assert element.tag != "{http://www.w3.org/2000/svg}script"
            for name, value in element.attrib.items():
                if name.endswith("href"):
                    assert value.startswith("#")


def test_the_sheet_holds_every_example_and_the_cautions(shipped: Path, demo_path: Path) -> None:
    pdf = pypdf.PdfReader(shipped / "lesson.pdf")
    text = " ".join("\n".join(page.extract_text() for page in pdf.pages).split())
    lesson = load_lesson(demo_path)
    assert lesson.entry.lesson in text
    for example in lesson.examples:
        assert example.name in text
    assert "ask a clinician" in text
    assert "H.870" in text
    assert f"1 / {len(pdf.pages)}" in text


class _Links(html.parser.HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: dict[str, list[str]] = defaultdict(list)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name in ("src", "href") and value:
                self.found[tag].append(value)


def test_the_index_plays_and_links_what_is_there(shipped: Path) -> None:
    links = _Links()
    links.feed((shipped / "index.html").read_text(encoding="utf-8"))
    assert len(links.found["audio"] + links.found["source"]) >= 10
    for values in links.found.values():
        for value in values:
            if value.startswith(("#", "data:")):
                continue
            assert (shipped / value).is_file(), value


def ffmpeg_meter(path: Path) -> tuple[float, float]:
    """Integrated loudness (LUFS) and true peak (dBTP) by FFmpeg's ``ebur128`` (EBU R 128)."""
    with av.open(str(path)) as file:
        stream = file.streams.audio[0]
        graph = av.filter.Graph()
        source = graph.add_abuffer(template=stream)
        meter = graph.add("ebur128", "peak=true:metadata=1")
        sink = graph.add("abuffersink")
        source.link_to(meter)
        meter.link_to(sink)
        graph.configure()
        said: dict[str, str] = {}
        for frame in [*file.decode(stream), None]:
            source.push(frame)
            while True:
                try:
                    said |= graph.pull().metadata  # a last short frame has none
                except (av.error.BlockingIOError, av.error.EOFError):
                    break
    return float(said["lavfi.r128.I"]), 20 * math.log10(float(said["lavfi.r128.true_peak"]))


def test_another_meter_finds_the_same_loudness_and_peak(
    shipped: Path, scores: dict[str, Score]
) -> None:
    for stem in scores:
        lufs, dbtp = ffmpeg_meter(shipped / "examples" / f"{stem}-target.wav")
        assert lufs == pytest.approx(-16.0, abs=0.5), stem
        assert dbtp <= -1.0, stem


def test_loudness_is_on_target_in_every_file(shipped: Path) -> None:
    for name, measured in json.loads((shipped / "report.json").read_text())["audio"].items():
        assert measured["loudness_lufs"] == pytest.approx(-16.0, abs=0.5), name
        assert measured["true_peak_dbtp"] <= -1.0, name
