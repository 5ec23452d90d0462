"""Run the page from the one file that carries everything, and have it decide a job.

`python3 one_file.py FILE`: started by a bare Python, isolated from what is installed here.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
import urllib.parse
import urllib.request
from pathlib import Path


def decide(file: str, folder: str) -> None:
    """Start the page, open the pump job, and look for its verdict."""
    environment = {"PATH": os.environ["PATH"], "HOME": folder, "SHIV_ROOT": f"{folder}/unpacked"}
    command = [sys.executable, "-I", file, "page", "--port", "0", "--data", f"{folder}/data"]
    page = subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environment, cwd="/")
    assert page.stderr is not None
    try:
        line = page.stderr.readline()
        assert " at http://" in line, line + page.stderr.read()
        address = line.split(" at ")[1].split("/  ")[0]
        which = urllib.parse.urlencode({"which": "pump/job"}).encode()
        with urllib.request.urlopen(f"{address}/jobs/example", which, timeout=120) as answer:
            shown = answer.read().decode()
        assert "proven best" in shown and "+0.500" in shown, shown[:2000]
        print(f"{file}: the page decided the pump job")
    finally:
        page.send_signal(signal.SIGINT)
        page.wait(30)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as work:
        decide(str(Path(sys.argv[1]).resolve()), work)
