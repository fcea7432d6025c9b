"""``python -m lickwright``."""

from lickwright.cli import main

main()
