"""Which question can still change the advice, and which to ask next."""
