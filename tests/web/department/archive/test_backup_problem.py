"""The head learns on the department's page that the latest backup could not be made."""

from __future__ import annotations

from pathlib import Path

import pytest

from app import create_app
from app.practicals.people.actors import TeacherIdentity
from app.records.backup import BackupProblem
from app.records.engine import Database
from app.settings import Settings
from tests.practicals.a_class import NOW
from tests.web.desk.conftest import Reader


def test_a_failed_backup_is_shown_to_the_head_until_one_was_made(
    sqlite_database: Database, teacher: TeacherIdentity, the_head: TeacherIdentity, tmp_path: Path
) -> None:
    folder = tmp_path / "copies"
    school = create_app(
        Settings.from_environment(
            {
                "PLUMBFALL_DATA": str(tmp_path),
                "DATABASE_URL": str(sqlite_database.url),
                "PLUMBFALL_BACKUP_FOLDER": str(folder),
            }
        )
    )
    heads, teachers = (Reader(school.test_client()).let_in(who.login) for who in (the_head, teacher))
    assert "could not be made" not in heads.text("/department/")
    backups = school.extensions["plumbfall_backups"]
    with pytest.raises(BackupProblem):
        backups.look(NOW)
    page = heads.text("/department/")
    assert "The latest backup could not be made." in page
    assert f"The folder for backups, {folder}, is not there" in page
    assert "could not be made" not in teachers.text("/department/")
    folder.mkdir()
    assert backups.look(NOW.replace(hour=23))
    assert "could not be made" not in heads.text("/department/")
    school.extensions["plumbfall_database"].close()
