"""From the command to the first page: `manage.py start` on a garden that is there already.

    python -m tests.speed.start [--times 5] [--folder DATA]

Prints, run by run, the seconds until /sign-in/ answers with 200 and the memory of the server's
processes then; after that the slowest imports of one more start. FLAG stands where a start takes
more than 2 s, the processes together more than 150 MB, or where a library is loaded that a start
does not need: plots, numbers, PDF, graphs and calendars come when they are first asked for.
"""

from __future__ import annotations

import argparse
import http.client
import os
import re
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
UNNEEDED = ("matplotlib", "numpy", "scipy", "networkx", "reportlab", "icalendar", "PIL")
MOST_SECONDS, MOST_MB, PATIENCE = 2.0, 150, 60


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@contextmanager
def started(folder: Path, *more: str, **environment: str) -> Iterator[tuple[int, int, float]]:
    """The server on its own data folder: (process, port, seconds until it answered)."""
    port, errors = free_port(), folder / "stderr"
    command = [sys.executable, "manage.py", "start", "--here-only", "--port", str(port), *more]
    known = os.environ | {"HAFTBOOK_DATA": str(folder)} | environment
    began = time.perf_counter()
    with errors.open("w") as out:
        server = subprocess.Popen(command, cwd=ROOT, env=known, stderr=out, stdout=out)
    try:
        while not _answers(port):
            if server.poll() is not None or time.perf_counter() - began > PATIENCE:
                raise RuntimeError(f"The server did not open: {errors.read_text()[-2000:]}")
            time.sleep(0.005)
        yield server.pid, port, time.perf_counter() - began
    finally:
        server.send_signal(signal.SIGINT)
        try:
            server.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def _answers(port: int) -> bool:
    door = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        door.request("GET", "/sign-in/")
        return door.getresponse().status == 200
    except OSError:
        return False
    finally:
        door.close()


def family(pid: int) -> list[int]:
    """A process and its children, as Linux lists them."""
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return [pid, *(each for child in children for each in family(int(child)))]


def megabytes(pid: int) -> float:
    """Resident memory; what is shared with other processes is counted by its share where known."""
    told = Path(f"/proc/{pid}/smaps_rollup").read_text()
    return int(re.search(r"^Pss: +(\d+)", told, re.MULTILINE).group(1)) / 1024


def imports(folder: Path) -> dict[str, int]:
    """Microseconds that each module took by itself, over all processes of one start."""
    with started(folder, PYTHONPROFILEIMPORTTIME="1"):
        pass
    found: dict[str, int] = {}
    for line in (folder / "stderr").read_text(errors="replace").splitlines():
        if told := re.match(r"import time: +(\d+) \| +\d+ \| +(\S+)", line):
            found[told[2]] = found.get(told[2], 0) + int(told[1])
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=5)
    parser.add_argument("--folder", type=Path, help="an existing garden; else an empty one is made")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="haftbook-speed-") as made:
        folder = asked.folder or Path(made)
        with started(folder, "--empty") as (_, _, seconds):
            print(f"first start, with tables and static files: {seconds:.2f} s")
        taken = []
        for _ in range(asked.times):
            with started(folder) as (pid, _, seconds):
                sizes = [megabytes(each) for each in family(pid)]
            flag = "FLAG" if seconds > MOST_SECONDS or sum(sizes) > MOST_MB else ""
            parts = " + ".join(f"{size:.0f}" for size in sizes)
            print(f"{seconds:6.2f} s  {parts} = {sum(sizes):.0f} MB  {flag}")
            taken.append(seconds)
        print(f"median {statistics.median(taken):.2f} s")
        slow = imports(folder)
        for name, micro in sorted(slow.items(), key=lambda pair: -pair[1])[:15]:
            print(f"{micro / 1000:8.1f} ms  {name}")
        unneeded = sorted({name.split(".")[0] for name in slow} & {*UNNEEDED})
        print("FLAG loaded at start: " + ", ".join(unneeded) if unneeded else "nothing unneeded")


if __name__ == "__main__":
    main()
