"""Floor 5: files in the open standards of the trade."""
