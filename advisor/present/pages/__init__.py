"""One or two pages for the wall beside the furnace: chosen and condensed from an advice, and drawn."""
