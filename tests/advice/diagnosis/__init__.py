"""Tests of the diagnosis: causes, corrections, the plan of the next batch."""
