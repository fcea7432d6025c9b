"""Floor 3: progressions, and carrying a lick across them."""
