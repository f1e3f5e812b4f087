"""The functions as a process: a line of JSON in, a line of JSON out, until the input ends."""

from __future__ import annotations

import json
import os
import sys
from typing import BinaryIO


def serve(requests: BinaryIO, replies: BinaryIO) -> None:
    """Answer `[name, cells]` lines."""
    from xlfuncs.hosts.calc.answer import answer

    for line in requests:
        try:
            name, cells = json.loads(line)
            result = answer(name, cells)
        except Exception as error:  # one bad cell must not end the process
            result = {"failed": f"{type(error).__name__}: {error}"}
        replies.write(json.dumps(result).encode() + b"\n")
        replies.flush()


def main() -> None:
    """Serve on standard input and output; what else is printed goes to standard error."""
    replies = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    serve(sys.stdin.buffer, replies)


if __name__ == "__main__":
    main()
