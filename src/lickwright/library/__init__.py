"""Beside floor 5: the shelf of finished lessons and licks, searched, compared and kept."""
