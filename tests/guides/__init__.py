"""The guides of the documents, performed as they stand there."""
