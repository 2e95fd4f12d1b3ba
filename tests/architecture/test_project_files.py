"""The files round the code: what a fresh clone relies on."""

import os
import re
import subprocess
import tomllib
from pathlib import Path

import pytest

from lifecycle import __version__
from lifecycle.urls import SUBJECTS

ROOT = Path(__file__).resolve().parents[2]
INSTALL = "python3 -m venv .venv && .venv/bin/pip install -q -c .ci/constraints.txt -e "


def blocks() -> list[str]:
    return re.findall(r"^```\w*\n(.*?)^```$", (ROOT / "README.md").read_text(), re.M | re.S)


def test_the_readme_opens_with_the_two_commands_each_in_a_block_of_its_own() -> None:
    first, second = blocks()[:2]
    assert first == f"{INSTALL}. && .venv/bin/python manage.py demo\n"
    assert second == f"{INSTALL}'.[test]' && .venv/bin/python -m pytest -n auto --dist loadfile\n"


def test_the_constraints_name_exact_versions_and_no_address() -> None:
    lines = (ROOT / ".ci" / "constraints.txt").read_text().splitlines()
    assert [line for line in lines if not re.fullmatch(r"[A-Za-z0-9._-]+==[\w.+!-]+", line)] == []
    assert [line for line in lines if "://" in line or "@" in line] == []


def test_every_dependency_has_an_exact_version_in_the_constraints() -> None:
    pinned = {
        re.sub(r"[-_.]+", "-", line.partition("==")[0]).lower()
        for line in (ROOT / ".ci" / "constraints.txt").read_text().splitlines()
    }
    text = (ROOT / "pyproject.toml").read_text()
    text = text[text.index("dependencies = [") : text.index("[tool.setuptools]")]
    named = {
        re.sub(r"[-_.]+", "-", found).lower()
        for found in re.findall(r'^  "([A-Za-z0-9._-]+)', text, re.M)
    }
    assert named - pinned == set()


def test_the_top_level_holds_what_the_house_fixed() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    ).stdout.split("\n")
    if not any(listed):  # a copy without its history: what lies there is looked at instead
        listed = [path.name for path in ROOT.iterdir()]
    top = {path.partition("/")[0] for path in listed if path}
    visible = {name for name in top if not name.startswith(".")}
    left_by_tools = {"data", "build"} | {name for name in visible if name.endswith(".egg-info")}
    fixed = {
        *("README.md", "DEVELOPERS.md", "LICENSE", "manage.py", "pyproject.toml"),
        *("lifecycle", "templates", "tests", "demo_fixtures"),
    }
    assert visible - left_by_tools == fixed


def test_the_check_of_a_change_can_be_run_and_parses() -> None:
    run = ROOT / ".ci" / "run"
    assert os.access(run, os.X_OK)
    assert subprocess.run(["bash", "-n", str(run)], check=False).returncode == 0


@pytest.mark.parametrize("name", ["README.md", ".ci/run", "pyproject.toml"])
def test_no_path_of_a_private_machine_stands_in_the_project_files(name: str) -> None:
    text = (ROOT / name).read_text()
    assert re.findall(r"(?:/root|/work|/home)/\S*", text) == []


def test_every_route_file_is_in_the_list_of_addresses() -> None:
    files = {path.stem for path in (ROOT / "lifecycle" / "pages" / "routes").glob("*.py")}
    assert files - {"__init__"} == set(SUBJECTS)


def test_the_program_knows_the_version_it_is_packed_as() -> None:
    packed = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["version"]
    assert packed == __version__
