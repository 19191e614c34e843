"""Parts of documents: arguments, decisions, hazards, changes."""
