"""``python -m advisor`` is the same program as ``advisor``."""

from advisor.terminal.app import main

main()
