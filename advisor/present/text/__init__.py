"""Documents and questions as text, printed on the console they are given."""

__all__ = [
    "advice",
    "calculation",
    "computed",
    "diagnosis",
    "form",
    "letters",
    "lots",
    "notes",
    "page",
    "question",
    "room",
    "trial",
]
