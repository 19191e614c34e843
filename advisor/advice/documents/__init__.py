"""The frozen documents that every view draws from."""
