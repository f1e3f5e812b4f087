"""The functions as a process: the length of a message in four bytes and the message, each way, until the
input ends.
"""

from __future__ import annotations

import contextlib
import json
import marshal
import os
import sys
from typing import Any, BinaryIO

ACTION = "action"
"""In place of the name of a function: a request of the menu."""


def serve(requests: BinaryIO, replies: BinaryIO) -> None:
    """Answer calls, each a name and its cells, with a result and those of calls that may follow."""
    from xlfuncs.hosts.calc.ahead import Ahead

    ahead = Ahead()
    while size := int.from_bytes(requests.read(4), "little"):
        request = requests.read(size)
        if len(request) < size:  # LibreOffice has ended
            return
        try:
            name, cells = marshal.loads(request)
            content = _message((asked(cells), ()) if name == ACTION else ahead.answer(name, cells))
        except Exception as error:  # one bad cell must not end the process
            content = _message(({"failed": f"{type(error).__name__}: {error}"}, []))
        replies.write(len(content).to_bytes(4, "little") + content)
        replies.flush()


def asked(request: str) -> str:
    """What the menu asks, as JSON."""
    from xlfuncs.hosts import actions
    from xlfuncs.hosts.calc.answer import evaluate

    return json.dumps(actions.answer(json.loads(request), evaluate))


def _message(result: Any) -> bytes:
    try:
        return marshal.dumps(result, 2)
    except ValueError:  # a subclass of str or float
        return marshal.dumps(json.loads(json.dumps(result)), 2)


def main() -> None:
    """Serve on standard input and output; what else is printed goes to standard error."""
    replies = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    with contextlib.suppress(BrokenPipeError, KeyboardInterrupt):  # LibreOffice has ended
        serve(sys.stdin.buffer, replies)


if __name__ == "__main__":
    main()
