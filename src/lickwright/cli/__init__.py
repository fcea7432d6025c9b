"""Floor 6: what a person types.

``main`` is the one place where errors become a sentence and an exit code: 0 when all is well,
1 when a check found only warnings and the caller asked for that, 2 for anything that must be
mended first.
"""

from __future__ import annotations

import sys


def main() -> None:
    """Run the command line; every error is one sentence on stderr and exit code 2."""
    from lickwright.cli.app import app
    from lickwright.errors import LickwrightError

    try:
        app()
    except LickwrightError as error:
        print(error, file=sys.stderr)
        sys.exit(2)
    except SystemExit as ended:
        # An interrupt at the keyboard leaves typer as this exit code, without a word.
        if ended.code == 130:
            print("Stopped; what stood before still stands.", file=sys.stderr)
        raise
    except BrokenPipeError:
        # The reader of our output (a pager, head) went away; there is nobody left to tell.
        sys.stderr.close()
        sys.exit(0)
