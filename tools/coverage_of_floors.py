"""Lines and branches that the tests reach, floor by floor: ``make coverage``."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

#: What counts: statements and branches, and those of them that were reached.
_ALL = ("num_statements", "num_branches")
_REACHED = ("covered_lines", "covered_branches")


def by_floor(files: dict[str, dict[str, dict[str, int]]]) -> dict[str, tuple[int, int]]:
    """For each floor how many lines and branches were reached, and how many there are."""
    reached: Counter[str] = Counter()
    there: Counter[str] = Counter()
    for name, said in files.items():
        inside = Path(name).parts[Path(name).parts.index("lickwright") + 1 :]
        floor = inside[0].removesuffix(".py")
        reached[floor] += sum(said["summary"][key] for key in _REACHED)
        there[floor] += sum(said["summary"][key] for key in _ALL)
    return {floor: (reached[floor], there[floor]) for floor in sorted(there)}


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "coverage.json"
        subprocess.run(
            [sys.executable, "-m", "coverage", "json", "--quiet", "-o", str(path)], check=True
        )
        files = json.loads(path.read_text("utf-8"))["files"]
    for floor, (reached, there) in by_floor(files).items():
        print(f"{floor:12} {reached / there if there else 1:6.1%} of {there} lines and branches")


if __name__ == "__main__":
    main()
