"""Everything that is weighed and computed for one batch or one piece."""
