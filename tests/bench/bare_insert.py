"""The yardstick of the pages: a FastAPI route that does one durable SQLite insert and nothing else."""

from __future__ import annotations

import sqlite3
import sys
import threading
from pathlib import Path
from typing import Any

import uvicorn
from fastapi import FastAPI


def build(file: Path) -> FastAPI:
    """POST /insert keeps what it is sent, synced before it answers."""
    app = FastAPI(docs_url=None, redoc_url=None, openapi_url=None)
    own = threading.local()

    def connection() -> sqlite3.Connection:
        if not hasattr(own, "connection"):
            own.connection = sqlite3.connect(file, timeout=30, isolation_level=None)
            own.connection.execute("PRAGMA journal_mode = WAL")
            own.connection.execute("PRAGMA synchronous = FULL")
        found: sqlite3.Connection = own.connection
        return found

    connection().execute("CREATE TABLE IF NOT EXISTS kept (id INTEGER PRIMARY KEY, said TEXT NOT NULL)")

    @app.post("/insert")
    def insert(asked: dict[str, Any]) -> dict[str, bool]:
        here = connection()
        here.execute("BEGIN IMMEDIATE")
        here.execute("INSERT INTO kept (said) VALUES (?)", (str(asked),))
        here.execute("COMMIT")
        return {"kept": True}

    return app


if __name__ == "__main__":
    uvicorn.run(build(Path(sys.argv[1])), host="127.0.0.1", port=int(sys.argv[2]), log_level="error")
