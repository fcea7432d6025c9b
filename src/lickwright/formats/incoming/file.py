"""Is this a MusicXML file, and what parts and bars does it hold?

Reads what the standard allows: ``score-partwise`` and ``score-timewise``, plain or compressed
(``.mxl``).  The file is data from elsewhere: its size, its encoding and its entities are refused
before they can cost anything.

Source: W3C MusicXML 4.0 (2021), "Compressed .mxl files" and the two ``score`` document types.
"""

from __future__ import annotations

import io
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from lickwright.errors import LickwrightError, Spot

#: A whole orchestra fits; anything larger is refused before it is read.
MAX_BYTES = 16_000_000

_ENCODING = re.compile(rb"""^<\?xml[^>]{0,200}?\bencoding\s*=\s*["']([A-Za-z0-9._-]{1,40})["']""")
_ENCODINGS = re.compile(r"utf-?8|us-ascii|ascii|iso-8859-\d{1,2}|latin-?1|windows-125\d|cp125\d")
_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))


class ScoreFileError(LickwrightError):
    """A MusicXML file that cannot be read, or holds no single line of notes."""


@dataclass(frozen=True, slots=True)
class Measure:
    """One ``measure`` of one part.

    Parameters
    ----------
    implicit : it carries no number of its own, as a pickup does.
    """

    number: str
    implicit: bool
    content: Sequence[Element]


@dataclass(frozen=True, slots=True)
class XmlPart:
    """One part by its id and its printed name."""

    id: str
    name: str
    measures: Sequence[Measure]


@dataclass(frozen=True, slots=True)
class ScoreFile:
    """A MusicXML score: its title (empty where it has none) and its parts in order."""

    title: str
    parts: tuple[XmlPart, ...]


def read_score_file(data: bytes, where: Spot) -> ScoreFile:
    """The parts of a MusicXML file.

    Raises
    ------
    ScoreFileError
        For a file that is too large, damaged, or not MusicXML.
    """
    if len(data) > MAX_BYTES:
        raise _too_large(where)
    if data.startswith(b"PK"):
        data = _unpacked(data, where)
    root = _root(_decoded(data, where), where)
    names = {part.get("id", ""): _text(part.find("part-name")) for part in root.iter("score-part")}
    grouped = dict(_parts(root, where))
    parts = tuple(XmlPart(id_, names.get(id_, "") or id_, bars) for id_, bars in grouped.items())
    if not any(part.measures for part in parts):
        raise ScoreFileError("the score has no bars", mend="Give a score with music", where=where)
    title = _text(root.find("work/work-title")) or _text(root.find("movement-title"))
    return ScoreFile(title, parts)


def _text(element: Element | None) -> str:
    return "" if element is None else " ".join((element.text or "").split())[:80]


def _too_large(where: Spot) -> ScoreFileError:
    return ScoreFileError(
        f"the file is larger than {MAX_BYTES // 1_000_000} MB",
        mend="Export the one part alone",
        where=where,
    )


def _unpacked(data: bytes, where: Spot) -> bytes:
    """The score inside a compressed file."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            name = _score_name(archive, where)
            score = _member(archive, name, MAX_BYTES + 1, where)
    except (
        zipfile.BadZipFile,
        struct.error,  # a header that ends too soon
        zlib.error,
        EOFError,
        KeyError,
        NotImplementedError,  # a newer kind of archive, or patched data
        OSError,
        OverflowError,
        RuntimeError,  # encrypted
        ValueError,
    ) as error:
        raise ScoreFileError(
            "the compressed score cannot be unpacked",
            mend="Export it once more, or uncompressed",
            where=where,
        ) from error
    if len(score) > MAX_BYTES:
        raise _too_large(where)
    return score


def _member(archive: zipfile.ZipFile, name: str, most: int, where: Spot) -> bytes:
    """The first bytes of a member.  Scores are deflated; the other ways of packing that Python
    undoes (LZMA and its kin) take what memory the file names, and are refused unopened."""
    if archive.getinfo(name).compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise ScoreFileError(
            "the compressed score is packed in a way that MusicXML does not use",
            mend="Export it once more, or uncompressed",
            where=where,
        )
    with archive.open(name) as member:
        return member.read(most)


def _score_name(archive: zipfile.ZipFile, where: Spot) -> str:
    """Which member the container names; without a container, the first score in the file."""
    names = archive.namelist()
    if "META-INF/container.xml" in names:
        content = _member(archive, "META-INF/container.xml", 100_000, where)
        container = _root(_decoded(content, where), where)
        for rootfile in container.iter("rootfile"):
            if rootfile.get("full-path") in names:
                return rootfile.get("full-path", "")
    scores = [name for name in names if re.fullmatch(r"(?!META-INF/).*\.(?:music)?xml", name)]
    if not scores:
        raise ScoreFileError(
            "the compressed file holds no score", mend="Export it once more", where=where
        )
    return scores[0]


def _decoded(data: bytes, where: Spot) -> str:
    encoding = next((name for mark, name in _MARKS if data.startswith(mark)), "")
    if not encoding:
        declared = _ENCODING.match(data)
        encoding = declared[1].decode("ascii").lower() if declared else "utf-8"
        if not _ENCODINGS.fullmatch(encoding):
            raise ScoreFileError(
                f"the file says it is in the encoding '{encoding}'",
                mend="Save it as UTF-8",
                where=where,
            )
    try:
        return data.decode(encoding)
    except (UnicodeDecodeError, LookupError) as error:
        raise ScoreFileError(
            f"the file is not text in the encoding '{encoding}'",
            mend="Save it as UTF-8",
            where=where,
        ) from error


def _root(text: str, where: Spot) -> Element:
    # A score needs no entities of its own, and a few of them can swell to any size.
    if "<!ENTITY" in text:
        raise ScoreFileError(
            "the file defines entities", mend="Export the score without them", where=where
        )
    try:
        return ElementTree.fromstring(text)
    except ElementTree.ParseError as error:
        raise ScoreFileError(
            f"this is not XML: {str(error).partition(':')[0]}",
            mend="Export the score once more",
            where=Spot(where.file, error.position[0]),
        ) from error


def _parts(root: Element, where: Spot) -> Iterator[tuple[str, list[Measure]]]:
    if root.tag == "score-partwise":
        for part in root.findall("part"):
            bars = [_measure(bar, list(bar)) for bar in part.findall("measure")]
            yield part.get("id", ""), bars
    elif root.tag == "score-timewise":
        grouped: dict[str, list[Measure]] = {}
        for bar in root.findall("measure"):
            for part in bar.findall("part"):
                grouped.setdefault(part.get("id", ""), []).append(_measure(bar, list(part)))
        yield from grouped.items()
    else:
        raise ScoreFileError(
            f"the file holds no score: it begins with <{root.tag[:40]}>",
            mend="Give a MusicXML file",
            where=where,
        )


def _measure(bar: Element, content: list[Element]) -> Measure:
    return Measure(bar.get("number", ""), bar.get("implicit") == "yes", content)
