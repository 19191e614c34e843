"""The commands and views: the only place that prints or asks."""

__all__ = ["app"]
