"""The frozen documents that every view draws from: the advice, the diagnosis, and what both are made of."""

__all__ = ["advice", "common", "diagnosis", "ledger", "lots", "trial"]
