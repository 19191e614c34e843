"""How rules, decisions, hazards and changes are worded in a document; what would change it is for its builders."""

__all__ = ["arguments", "common", "computed", "decisions", "spans"]
