"""`python -m hotfolder_demo`: sets the project up where that is needed, and tells its story."""

from __future__ import annotations

import sys

from config import bootstrap

if __name__ == "__main__":
    bootstrap.enter("hotfolder_demo")
    from hotfolder_demo.telling import main

    sys.exit(main())
