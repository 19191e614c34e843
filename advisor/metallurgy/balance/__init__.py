"""Where the gold went."""
