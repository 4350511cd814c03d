"""A server that does the work itself and nothing else: Flask, SQLAlchemy and waitress, as small as can be.

    python -m tests.benchmarks.load.bare PORT THREADS DATABASE_URL JOURNAL_MODE

Nothing of the product is loaded. SQLite is asked for the same promises as the product asks for: everything on
the disk before it says so, the same journal, threads of one process in turns (without turns they ask the file
again and again, which is slower). PostgreSQL commits as it does by itself.

/first    a small page
/insert   one row, durable
/send     one session looked up, two rows inserted, one revision raised, durable
/known    304, with one session and one revision looked up
/nothing  304
"""

from __future__ import annotations

import sys
import threading
from contextlib import nullcontext
from datetime import UTC, datetime
from typing import Any

from flask import Flask, Response, jsonify, render_template_string, request
from sqlalchemy import ForeignKey, create_engine, event, select
from sqlalchemy.orm import DeclarativeBase, Mapped, Session, mapped_column
from waitress import serve

TOKEN = "a-token"
READINGS = (
    "shot_mass",
    "tube_length",
    "end_allowance",
    "inversions",
    "start_temperature",
    "end_temperature",
)
PAGE = "<!doctype html><title>{{ name }}</title><p>{{ name }}</p>"


class Base(DeclarativeBase):
    pass


class Login(Base):
    __tablename__ = "login"
    id: Mapped[int] = mapped_column(primary_key=True)
    token: Mapped[str] = mapped_column(unique=True)


class Lesson(Base):
    __tablename__ = "lesson"
    id: Mapped[int] = mapped_column(primary_key=True)
    revision: Mapped[int] = mapped_column(default=1)


class Entry(Base):
    __tablename__ = "entry"
    id: Mapped[int] = mapped_column(primary_key=True)
    lesson_id: Mapped[int] = mapped_column(ForeignKey("lesson.id"), index=True)
    key: Mapped[str] = mapped_column(unique=True)
    at: Mapped[datetime]


class Version(Base):
    __tablename__ = "version"
    id: Mapped[int] = mapped_column(primary_key=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), index=True)
    shot_mass: Mapped[str]
    tube_length: Mapped[str]
    end_allowance: Mapped[str]
    inversions: Mapped[str]
    start_temperature: Mapped[str]
    end_temperature: Mapped[str]


def make(address: str, journal: str) -> Flask:
    """The application, with its tables made and one session and one lesson in them."""
    engine = create_engine(address, pool_size=16, max_overflow=16)
    turn: Any = nullcontext()
    if engine.dialect.name == "sqlite":
        turn = threading.Lock()

        @event.listens_for(engine, "connect")
        def _prepare(connection: Any, _record: Any) -> None:
            connection.isolation_level = None
            for pragma in (f"journal_mode = {journal}", "synchronous = FULL", "busy_timeout = 5000"):
                connection.execute(f"PRAGMA {pragma}").fetchall()

        @event.listens_for(engine, "begin")
        def _begin(connection: Any) -> None:
            connection.exec_driver_sql("BEGIN")

    Base.metadata.create_all(engine)
    with Session(engine) as session, session.begin():
        session.merge(Login(id=1, token=TOKEN))
        session.merge(Lesson(id=1, revision=1))
    app = Flask("bare")

    def _known(session: Session) -> bool:
        token = request.cookies.get("session", "")
        return session.scalar(select(Login.id).where(Login.token == token)) is not None

    @app.get("/first")
    def first() -> str:
        return render_template_string(PAGE, name="bare")

    @app.post("/insert")
    def insert() -> Response:
        with turn, Session(engine) as session, session.begin():
            entry = Entry(lesson_id=1, key=request.form["key"], at=datetime.now(UTC).replace(tzinfo=None))
            session.add(entry)
            session.flush()
            number = entry.id
        return jsonify(saved=number)

    @app.post("/send")
    def send() -> tuple[Response, int]:
        with Session(engine) as session:
            known = _known(session)
        if not known:
            return jsonify(problem="unknown"), 401
        form = request.form
        with turn, Session(engine) as session, session.begin():
            lesson = session.scalars(select(Lesson).where(Lesson.id == 1).with_for_update()).one()
            entry = Entry(lesson_id=1, key=form["key"], at=datetime.now(UTC).replace(tzinfo=None))
            session.add(entry)
            session.flush()
            session.add(Version(entry_id=entry.id, **{name: form[name] for name in READINGS}))
            lesson.revision += 1
            number = entry.id
        return jsonify(saved=number), 200

    @app.get("/known")
    def known() -> Response:
        with Session(engine) as session:
            if not _known(session):
                return Response(status=401)
            revision = session.scalar(select(Lesson.revision).where(Lesson.id == 1))
        answer = Response(status=304)
        answer.set_etag(str(revision))
        return answer

    @app.get("/nothing")
    def nothing() -> Response:
        return Response(status=304)

    return app


if __name__ == "__main__":
    port, threads, address, journal = sys.argv[1:]
    serve(make(address, journal), host="127.0.0.1", port=int(port), threads=int(threads), ident=None)
