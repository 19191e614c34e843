"""Exit statuses, the same for every command."""

from advisor.words import tr

ADVICE = 0
UNEXPECTED = 1
BAD_INPUT = 2
STOP = 3
LEFT = 4
INTERRUPTED = 130

HELP = tr(
    "Exit status: 0 advice given, 3 stop work or find out first, 2 bad input, "
    "4 left before the end (answers kept), 1 unexpected fault."
)
