"""The commands about rules."""
