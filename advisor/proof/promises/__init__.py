"""The six promises of a rule base."""
