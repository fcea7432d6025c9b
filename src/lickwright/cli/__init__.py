"""Floor 6: what a person types."""
