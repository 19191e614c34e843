"""The commands of the journal."""
