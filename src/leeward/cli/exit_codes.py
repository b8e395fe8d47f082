"""The exit codes, the same whatever the format."""

from enum import IntEnum


class ExitCode(IntEnum):
    """What the command's exit code says; a reader that leaves early does not change it."""

    DONE = 0
    GATE = 1
    USAGE = 2
    INPUT = 3
    OUTPUT = 4
    NOTHING_ASSESSED = 10
    FAULT = 70
    INTERRUPTED = 130


MEANINGS: dict[ExitCode, str] = {
    ExitCode.DONE: "done, and no finding at or above the gate (none is set without --fail-on)",
    ExitCode.GATE: "findings at or above --fail-on",
    ExitCode.USAGE: "usage, or a reference that several parts share",
    ExitCode.INPUT: "a board, bench, parts, run or log file is unreadable or unsupported",
    ExitCode.OUTPUT: "the result cannot be written",
    ExitCode.NOTHING_ASSESSED: "nothing could be assessed: no such reference, nothing to solder",
    ExitCode.FAULT: "a fault in leeward",
    ExitCode.INTERRUPTED: "interrupted",
}
