"""Property tests here have no time limit for one example: a busy machine is no fault of the code."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
