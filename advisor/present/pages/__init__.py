"""The sheet for the wall: what goes on it, how it is fitted to the paper, its look as HTML or plain text; the month; how to install."""

__all__ = ["chart", "choosing", "detail", "fitting", "html", "kit", "month", "paper", "plain"]
