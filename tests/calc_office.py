"""A LibreOffice started with a profile and worked in as by its user, and its worker processes counted."""

from __future__ import annotations

import json
import signal
import subprocess
import time
import uuid
from collections.abc import Callable
from contextlib import AbstractContextManager, ExitStack
from pathlib import Path
from types import TracebackType
from typing import Any

import psutil

import xlfuncs.hosts.calc as calc
from xlfuncs.hosts.calc import office

MARK = "XLFUNCS_OFFICE_UNDER_TEST"
"""In the environment of the office and of what it starts."""


def office_python() -> str:
    """LibreOffice's own Python: beside its program, or the system's."""
    beside = office.find_office().resolve().parent
    found = (path for path in (beside / "python", beside / "python.exe") if path.is_file())
    return str(next(found, "/usr/bin/python3"))


class CalcOffice:
    """A new document is open in it. What is still there at the end is ended.

    Where LibreOffice ends of itself, the step in which it did fails and `ended` is true from then on.
    """

    def __init__(self, profile: Path, *arguments: str, headless: bool = True) -> None:
        self.ended = False
        self._mark = uuid.uuid4().hex
        pipe = f"xlfuncs-{self._mark}"
        command = [
            str(office.find_office()),
            f"-env:UserInstallation={profile.absolute().as_uri()}",
            f"--accept=pipe,name={pipe};urp",
            *("--norestore", "--nologo"),
            *(["--headless"] if headless else []),
            *arguments,
        ]
        nothing = subprocess.DEVNULL
        environment = office.environment() | {MARK: self._mark}
        self._office = subprocess.Popen(
            command, stdin=nothing, stdout=nothing, stderr=nothing, env=environment
        )
        remote = [office_python(), str(Path(__file__).with_name("calc_remote.py")), pipe]
        remote.append(str(Path(calc.__file__).with_name("jobs.py")))
        self._remote = subprocess.Popen(
            remote, stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=office.environment(), text=True
        )

    def __enter__(self) -> CalcOffice:
        try:
            self.do("open", path=None)
        except BaseException:
            self.kill()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.kill()

    def kill(self) -> None:
        """End the office and its workers at once."""
        for process in (*self.processes(), self._remote):
            process.kill()
        self._office.wait()
        self._remote.communicate()

    def do(self, what: str, **step: Any) -> Any:
        """One step of `calc_remote`, or of `xlfuncs.hosts.calc.jobs`."""
        reply = self._reply(json.dumps({"do": what, **step}))
        if not reply:
            self.ended = True
            status = self._status()
            if what == "quit" and status == 0:  # before it has answered
                return None
            raise AssertionError(f"{_end(status)} at {what} {step}")
        found = json.loads(reply)
        assert "failed" not in found, found["failed"]
        return found["gave"]

    def _reply(self, step: str) -> str:
        """The line that `calc_remote` writes; none where it has found LibreOffice gone."""
        assert self._remote.stdin is not None
        assert self._remote.stdout is not None
        try:
            self._remote.stdin.write(step + "\n")
            self._remote.stdin.flush()
        except BrokenPipeError:
            return ""
        return self._remote.stdout.readline()

    def _status(self) -> int | None:
        try:
            return self._office.wait(20)
        except subprocess.TimeoutExpired:
            return None

    def type(self, **cells: str) -> None:
        """Type texts into cells."""
        for cell, text in cells.items():
            self.do("type", cell=cell, text=text)

    def read(self, area: str, sheet: str = "Sheet1") -> list[list[Any]]:
        """Values of a range."""
        rows: list[list[Any]] = self.do("read", areas={sheet: [area]})[sheet][0]
        return rows

    def value(self, cell: str) -> Any:
        """Value of a cell."""
        return self.read(cell)[0][0]

    def processes(self) -> list[psutil.Process]:
        """The office and all that it has started, whether or not it still is their parent."""
        found = []
        for process in psutil.process_iter():
            try:
                if process.environ().get(MARK) == self._mark and process.status() != psutil.STATUS_ZOMBIE:
                    found.append(process)
            except psutil.Error:
                continue
        return found

    def workers(self) -> list[psutil.Process]:
        """The worker processes."""
        return [p for p in self.processes() if "xlfuncs.hosts.calc.worker" in p.cmdline()]

    def seconds(self, work: Callable[[], object]) -> float:
        """Processor time of the office and its workers for something, which other programs do not change."""
        before = self._processor_time()
        work()
        return self._processor_time() - before

    def _processor_time(self) -> float:
        return sum(sum(p.cpu_times()[:2]) for p in self.processes())

    def gone(self, seconds: float = 20) -> bool:
        """Whether office and workers are gone, at the latest after some seconds."""
        end = time.monotonic() + seconds
        while self.processes():
            if time.monotonic() > end:
                return False
            time.sleep(0.1)
        return True


def _end(status: int | None) -> str:
    if status is None:
        return "the connection to LibreOffice has ended"
    number = -status if status < 0 else status - 128  # its first process says so of the second
    if number in signal.valid_signals():
        return f"LibreOffice has ended by {signal.Signals(number).name}"
    return f"LibreOffice has ended with status {status}"


class SharedOffice:
    """An office for all tests of a module, and a new one after the test in which it ended."""

    def __init__(self, start: Callable[[], AbstractContextManager[CalcOffice]]) -> None:
        self._start = start
        self._open = ExitStack()
        self._office: CalcOffice | None = None

    def __enter__(self) -> SharedOffice:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._open.close()

    def running(self) -> CalcOffice:
        """The office; one that ended unnoticed is not replaced, so that a test tells of it."""
        if self._office is None or self._office.ended:
            self._open.close()
            self._office = None
            self._office = self._open.enter_context(self._start())
        return self._office
