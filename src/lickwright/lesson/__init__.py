"""Floor 5: the lesson file, its checks, the build plan and its cache."""
