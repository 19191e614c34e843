"""The sheet for the wall: what goes on it, how it is fitted to the paper, and its look as HTML or plain text."""

__all__ = ["choosing", "detail", "fitting", "html", "paper", "plain"]
