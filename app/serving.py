"""A production server for the machine at hand: gunicorn with threads on Linux, waitress elsewhere."""

from __future__ import annotations

import sys

from flask import Flask

from app.settings import Settings


def serve(app: Flask, settings: Settings) -> None:
    """Serve until stopped.

    SQLite wants one process; nothing in process memory matters to correctness, so with
    PostgreSQL more processes or hosts may be started beside this one.
    """
    # Only the server for this platform is loaded.
    if sys.platform == "win32":
        import waitress  # noqa: PLC0415

        waitress.serve(
            app, host=settings.host, port=settings.port, threads=settings.threads, connection_limit=1000
        )
        return
    from gunicorn.app.base import BaseApplication  # noqa: PLC0415

    class Server(BaseApplication):
        def load_config(self) -> None:
            self.cfg.set("bind", f"{settings.host}:{settings.port}")
            self.cfg.set("workers", 1)
            self.cfg.set("worker_class", "gthread")
            self.cfg.set("threads", settings.threads)
            self.cfg.set("worker_connections", 1000)
            self.cfg.set("keepalive", 15)
            self.cfg.set("timeout", 60)
            self.cfg.set("graceful_timeout", 5)
            self.cfg.set("loglevel", "warning")
            self.cfg.set("control_socket_disable", True)

        def load(self) -> Flask:
            return app

    Server().run()
