"""A bench and its pages in a process of their own, to be killed: given a folder and a port."""

import sys
import time
from pathlib import Path

from benched import wren
from rimwright.desk.beginning import begin_run
from rimwright.equipment.probes import parse_probe
from rimwright.journal.opening import open_journal
from rimwright.live.bench import LiveBench
from rimwright.web.serve import serve


def main():
    folder, port = Path(sys.argv[1]), int(sys.argv[2])
    journal, _ = open_journal(folder / "journal.sqlite")
    bench = LiveBench(journal)
    bench.start()
    if not bench.runs():
        begin_run(bench, wren(), hand="treble", settings=(parse_probe("waist=model"),))

    def ready(served):
        print(served.access.port, flush=True)

    serve(bench, journal, port=port, folder=folder, ready=ready)
    while True:
        time.sleep(1.0)


if __name__ == "__main__":
    main()
