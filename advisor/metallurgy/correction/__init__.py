"""What puts a bad piece right, in grams, degrees and minutes."""
