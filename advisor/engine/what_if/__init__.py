"""What would change the advice."""
