"""Batches in files: answers, worked cases, and consultations that were left and can be resumed."""

from advisor.cases.batch_file import Batch, ExpectedAdvice, read_batch, write_batch

__all__ = ["Batch", "ExpectedAdvice", "read_batch", "write_batch"]
