"""What a flood of half-open connections costs everybody else: `python -m tests.benchmarks.connections`.

One process opens connections as fast as it can, sends half a head on each and keeps it, from the phones' own
address. Another asks for a page again and again, on a new connection each time. Prints medians and longest
waits, without the flood and with it, side by side.
"""

from __future__ import annotations

import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path
from statistics import median

from tests.serving import Served, serving

ROUNDS, PAGES = 5, 40
FLOOD = """
import socket, sys
host, port = sys.argv[1:]
kept = []
while True:
    try:
        kept.append(socket.create_connection((host, int(port)), timeout=5))
        kept[-1].sendall(b"GET / HTTP/1.1\\r\\nHost: phones\\r\\n")
    except OSError:
        pass
    if len(kept) > 5000:
        kept.pop(0).close()
    print(len(kept), flush=True)
"""


def waits(served: Served) -> list[float]:
    """How long each page took, in seconds."""
    taken = []
    for _ in range(PAGES):
        begun = time.perf_counter()
        with urllib.request.urlopen(f"{served.address}/sign-in", timeout=60) as answer:
            answer.read()
        taken.append(time.perf_counter() - begun)
    return taken


def _shown(taken: list[float]) -> str:
    return f"{1000 * median(taken):16.1f} {1000 * max(taken):12.1f}"


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, serving(Path(folder)) as served:
        place = served.address.removeprefix("http://").split(":")
        waits(served)
        print("round   quiet: median, longest /ms   flooded: median, longest /ms   opened")
        for number in range(1, ROUNDS + 1):
            quiet = waits(served)
            flood = subprocess.Popen([sys.executable, "-c", FLOOD, *place], stdout=subprocess.PIPE, text=True)
            assert flood.stdout is not None
            for _ in range(1100):
                flood.stdout.readline()
            flooded = waits(served)
            flood.terminate()
            opened = flood.stdout.read().split()
            print(f"{number:5d} {_shown(quiet)} {_shown(flooded)} {opened[-1]:>8}")


if __name__ == "__main__":
    socket.setdefaulttimeout(60)
    main()
