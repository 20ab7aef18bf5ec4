"""Standard output for our own lines alone: what a library written in C prints past Python is dropped.

The solver of plans prints a line when it mends a value, whatever it is told; in a stream of JSON that is a fault.
"""

import io
import os
import sys

STDOUT = 1  # its descriptor


def prepare(*, is_own_process: bool) -> None:
    """Let people's words through, whatever the machine's code page is; in a process of our own keep its output ours."""
    for stream in (sys.stdin, sys.stdout):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    out = sys.stdout
    if not is_own_process or not isinstance(out, io.TextIOWrapper) or out.fileno() != STDOUT:
        return
    out.flush()
    kept = os.dup(STDOUT)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, STDOUT)
    os.close(nowhere)
    sys.stdout = open(  # noqa: SIM115 - it stays open for as long as the process lives
        kept, "w", encoding="utf-8", errors="backslashreplace", buffering=1 if out.line_buffering else -1
    )
