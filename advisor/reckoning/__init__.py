"""The metallurgy put to work: figures of the rule base in, one document of figures out for each computation."""
