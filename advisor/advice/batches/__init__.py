"""Batches in files: answers, worked cases, and consultations that were left and can be resumed."""

from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.advice.batches.entries import ExpectedAdvice

__all__ = [
    "BatchFile",
    "ExpectedAdvice",
    "answers",
    "batch_file",
    "entries",
    "fact_schema",
    "own_room",
    "read_batch",
    "rooms",
]
