"""Documents and questions as text, printed on the console they are given."""

__all__ = ["advice", "calculation", "computed", "diagnosis", "form", "letters", "notes", "page", "question", "trial"]
