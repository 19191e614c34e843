"""The smelting charge: what it melts to, what to weigh, which vessels."""
