"""The advisor: which way to refine tonight's gold concentrate without mercury."""

__version__ = "0.1.0"
