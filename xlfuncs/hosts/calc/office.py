"""LibreOffice found on this machine, and started without a window for a list of jobs."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from xlfuncs.errors import XlfuncsError
from xlfuncs.hosts.calc.basic import JOB_MODULE
from xlfuncs.hosts.calc.profile import private_profile

_PLACES = (
    "/usr/lib/libreoffice/program/soffice",
    "/opt/libreoffice*/program/soffice",
    "/Applications/LibreOffice.app/Contents/MacOS/soffice",
    "C:/Program Files/LibreOffice/program/soffice.com",
    "C:/Program Files (x86)/LibreOffice/program/soffice.com",
)


def find_office() -> Path:
    """The command that starts LibreOffice. XLFUNCS_SOFFICE names another one."""
    named = os.environ.get("XLFUNCS_SOFFICE")
    if named:
        if not Path(named).is_file():
            raise XlfuncsError(f"XLFUNCS_SOFFICE: there is no file {named}")
        return Path(named)
    for command in ("soffice", "libreoffice"):
        found = shutil.which(command)
        if found:
            return Path(found)
    for pattern in _PLACES:
        root = Path(pattern).anchor
        for place in sorted(Path(root).glob(pattern[len(root) :]), reverse=True):
            return place
    raise XlfuncsError(
        "LibreOffice was not found; install it (its parts Calc and Python scripting), "
        "or set XLFUNCS_SOFFICE to the path of its program 'soffice'"
    )


def environment() -> dict[str, str]:
    """The environment for LibreOffice: without what would lead its own Python to another library."""
    hidden = ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")
    kept = {key: value for key, value in os.environ.items() if key not in hidden}
    folders = kept.get("PATH", "").split(os.pathsep)
    if sys.platform != "win32":
        own = ("/usr/bin", "/bin")
        kept["PATH"] = os.pathsep.join(f for f in folders if f in own or not Path(f, "python3").exists())
    return kept


def start(profile: Path, arguments: Sequence[str], seconds: float) -> None:
    """Run LibreOffice with a profile until it ends; XlfuncsError if it takes too long."""
    command = [
        str(find_office()),
        f"-env:UserInstallation={profile.absolute().as_uri()}",
        "--headless",
        "--norestore",
        "--nologo",
        *arguments,
    ]
    process = subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=environment(),
        start_new_session=True,  # to be ended with the processes that it starts
    )
    try:
        process.wait(seconds)
    except BaseException as error:
        _kill(process)
        if isinstance(error, subprocess.TimeoutExpired):
            raise XlfuncsError(f"LibreOffice did not finish within {seconds:g} s and was ended") from None
        raise


def _kill(process: subprocess.Popen[bytes]) -> None:
    if sys.platform == "win32":
        subprocess.run(["taskkill", "/T", "/F", "/PID", str(process.pid)], capture_output=True, check=False)
    else:
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def run(steps: Sequence[dict[str, Any]], in_process: bool = False, seconds: float = 300) -> list[Any]:
    """Do the steps (see `jobs`) in a LibreOffice of their own, with the functions installed."""
    with tempfile.TemporaryDirectory(prefix="xlfuncs-", ignore_cleanup_errors=True) as folder:
        profile, result, jobs = (Path(folder) / name for name in ("profile", "result.json", "jobs.json"))
        private_profile(profile, in_process)
        jobs.write_text(json.dumps({"result": str(result), "steps": list(steps)}), encoding="utf-8")
        start(profile, [f'macro:///Standard.{JOB_MODULE}.Run("{jobs}")'], seconds)
        try:
            outcome = json.loads(result.read_text(encoding="utf-8"))
        except FileNotFoundError:
            raise XlfuncsError(
                "LibreOffice started, but not its Python; install its part 'Python scripting' "
                "(Debian, Ubuntu: python3-uno) and see 'xlfuncs doctor'"
            ) from None
    if "failed" in outcome:
        raise XlfuncsError(f"LibreOffice: {outcome['failed'].strip().splitlines()[-1]}")
    found: list[Any] = outcome["results"]
    return found
