"""What is in the concentrate."""
