"""Pages to print, as HTML or plain text: what goes on them, how it is fitted to the paper, and how it looks."""

__all__ = ["chart", "choosing", "detail", "fitting", "html", "kit", "month", "paper", "plain"]
