"""A backup's folder tells by itself whether it is one, whole, and of a version that can be read."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from lifecycle.exchange.backup import folder as form

AT = datetime(2026, 11, 26, 3, 0, 5, tzinfo=UTC)


def made(folder: Path) -> form.About:
    """A small whole backup written with the same functions, of one table and one file."""
    (folder / "tables").mkdir(parents=True)
    (folder / "files" / "documents").mkdir(parents=True)
    (folder / "tables" / "t.jsonl.gz").write_bytes(b"rows")
    (folder / "files" / "documents" / "a b.pdf").write_bytes(b"scan")
    (folder / form.README).write_text("Read me")
    table = form.Table(name="t", rows=1, digest="d", last_number=1, columns=["id"])
    about = form.About(
        taken_at=AT,
        museum="Hollinshire County Museum",
        program="0.1.0",
        database="sqlite",
        steps=[("records", "0001_initial")],
        digest="e",
        files=1,
        bytes=4,
        tables=[table],
    )
    form.write_about(folder, about)
    names = ["tables/t.jsonl.gz", "files/documents/a b.pdf", form.README, form.ABOUT]
    form.write_sums(folder, {name: form.sha256_of(folder / name) for name in names})
    return about


def wrong(folder: Path) -> list[str]:
    sums = form.read_sums(folder)
    about = form.read_about(folder)
    found = form.check_files(folder, sums, tell=lambda *_: None)
    return form.faults_of_list(about, sums) + [text for _, text in found]


def test_what_is_written_is_read_and_has_no_fault(tmp_path: Path) -> None:
    about = made(tmp_path / "b")
    assert form.read_about(tmp_path / "b") == about
    assert wrong(tmp_path / "b") == []


def test_a_name_is_the_moment_and_nothing_else(tmp_path: Path) -> None:
    assert form.name_of(AT) == "showrest-2026-11-26T03-00-05Z"
    assert form.moment_of(form.name_of(AT)) == AT
    for other in ("showrest-2026-11-26T03-00-05Z.part", "showrest", "2026-11-26"):
        assert form.moment_of(other) is None
        (tmp_path / other).mkdir()
    (tmp_path / form.name_of(AT)).mkdir()
    assert form.backups_in(tmp_path) == {AT: tmp_path / form.name_of(AT)}
    assert form.backups_in(tmp_path / "not there") == {}


def test_each_file_that_is_missing_or_damaged_is_named(tmp_path: Path) -> None:
    made(tmp_path / "b")
    (tmp_path / "b" / "tables" / "t.jsonl.gz").write_bytes(b"rowS")
    (tmp_path / "b" / form.README).unlink()
    assert wrong(tmp_path / "b") == [
        "README.txt is missing from the backup.",
        "tables/t.jsonl.gz is damaged: it is no longer what was written.",
    ]


def test_a_list_of_checksums_that_was_cut_off_is_not_taken_for_a_whole_one(tmp_path: Path) -> None:
    made(tmp_path / "b")
    sums = tmp_path / "b" / form.SUMS
    lines = sums.read_text().splitlines(keepends=True)
    sums.write_text("".join(lines[:-2]))
    assert wrong(tmp_path / "b") == [
        "checksums.sha256 does not name tables/t.jsonl.gz.",
        "checksums.sha256 names 0 kept files; there were 1.",
    ]
    sums.write_text("".join(lines)[:-20])
    with pytest.raises(form.BadBackup, match=r"Line 4 of .* is no checksum and name"):
        wrong(tmp_path / "b")


@pytest.mark.parametrize("name", ["../x", "/etc/x", "files/../../x", "a\\..\\x", "files/\tx"])
def test_a_name_that_leads_out_of_the_folder_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / form.SUMS).write_text(f"{'a' * 64}  {name}\n")
    with pytest.raises(form.BadBackup, match="Line 1 of"):
        form.read_sums(tmp_path)


def test_what_is_no_backup_or_of_a_newer_format_is_refused_in_words(tmp_path: Path) -> None:
    with pytest.raises(form.BadBackup, match=r"holds no backup\.json"):
        form.read_about(tmp_path)
    (tmp_path / form.ABOUT).write_text("{}")
    with pytest.raises(form.BadBackup, match="can't be read"):
        form.read_about(tmp_path)
    (tmp_path / form.ABOUT).write_text('{"kind": "Showrest backup", "format": 2}')
    with pytest.raises(form.BadBackup, match="written by a newer version of Showrest"):
        form.read_about(tmp_path)
    made(tmp_path / "b.part")
    with pytest.raises(form.BadBackup, match="was begun and never ended"):
        form.read_about(tmp_path / "b.part")
