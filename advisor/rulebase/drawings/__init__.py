"""What a drawing in a rule file is made of."""
