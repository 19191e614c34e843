"""The computation by subject: pure functions, every figure from a table of the rules with its source."""
