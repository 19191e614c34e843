"""The sheet for the wall: what goes on it, how it is fitted to the paper, its look as HTML or plain text; the month."""

__all__ = ["choosing", "detail", "fitting", "html", "month", "paper", "plain"]
