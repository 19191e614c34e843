"""The advisor: which way to refine tonight's gold concentrate without mercury, and how to do it safely."""

__version__ = "0.1.0"
