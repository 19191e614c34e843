"""The roast: stages, air, gases, what is left."""
