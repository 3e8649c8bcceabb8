"""A printer for tests: keeps what it is given, and fails or hangs as the file `mood` beside it says."""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
from pathlib import Path


def main() -> int:
    """`fake_printer.py TRAY FILE CODE`: a copy of the file, numbered, is the printed paper."""
    tray, file, code = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
    mood = tray / "mood"
    said = mood.read_text() if mood.is_file() else ""
    with (tray / "asked").open("a") as asked:
        asked.write(f"{code}\n")
    if said == "jam" or said == f"jam {code}":
        sys.stderr.write("paper jam\nin tray 2\n")
        return 7
    if said == "hang":
        subprocess.Popen([sys.executable, "-c", "import time; time.sleep(600)"])  # holds stderr open
        time.sleep(600)
    shutil.copyfile(file, tray / f"{len(list(tray.glob('*.pdf'))) + 1:03d}-{code}.pdf")
    return 0


if __name__ == "__main__":
    sys.exit(main())
