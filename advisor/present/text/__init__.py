"""Documents as text: readable at 80 columns, in a pipe and without colour."""
