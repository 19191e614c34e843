"""What may be in the air, against named limits."""
