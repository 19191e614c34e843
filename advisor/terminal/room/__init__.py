"""``advisor room``: the gold room, answered once, shown and changed."""
