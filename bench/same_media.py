"""Are the media of two built folders the same, byte for byte?

    lickwright build LESSON.yaml -o before     (with the code of before)
    lickwright build LESSON.yaml -o after      (with the code of now)
    python bench/same_media.py before after

Compares every SVG, MusicXML, MIDI, sound and caption file and says which differ.  The manifest of
a build may differ: it names the code.  Exit code 1 where anything else does.
"""

from __future__ import annotations

import sys
from hashlib import sha256
from pathlib import Path

MEDIA = frozenset({".svg", ".musicxml", ".mid", ".wav", ".flac", ".ogg", ".mp3", ".vtt", ".pdf"})


def media(folder: Path) -> dict[str, str]:
    """The digest of every media file, by its place in the folder that was made."""
    return {
        str(path.relative_to(made)): sha256(path.read_bytes()).hexdigest()
        for made in (folder / "made").iterdir()
        for path in sorted(made.rglob("*"))
        if path.suffix in MEDIA
    }


def main() -> None:
    before, after = (media(Path(name)) for name in sys.argv[1:3])
    differ = sorted(
        name for name in before.keys() | after.keys() if before.get(name) != after.get(name)
    )
    for name in differ:
        print(f"differs: {name}")
    print(f"{len(before)} files before, {len(after)} after, {len(differ)} differ")
    if differ or not before:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
