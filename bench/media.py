"""Sound and film in one run: ``bench/sound.py``, then ``bench/video.py``."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

for name in ("sound.py", "video.py"):
    print(f"--- {name}", flush=True)
    subprocess.run([sys.executable, str(Path(__file__).parent / name)], check=True)
