"""From rule files to entries: YAML, the shape of each entry, and layers laid over each other."""
