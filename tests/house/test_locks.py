"""The lock files hold every dependency, with hashes, and no address to fetch it from."""

from __future__ import annotations

import re
import tomllib

import pytest

from house.tree import ROOT

LOCKS = ("requirements.lock", "requirements-dev.lock", "requirements-tools.lock")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def pins(lock: str) -> set[tuple[str, str]]:
    """Name and version of everything that a lock holds, whatever machine it is for."""
    text = (ROOT / lock).read_text(encoding="utf-8")
    return set(re.findall(r"^([a-z0-9.-]+)==([^\s;]+)", text, re.MULTILINE))


def names(requirements: list[str]) -> set[str]:
    found = (re.match(r"[A-Za-z0-9._-]+", requirement) for requirement in requirements)
    return {re.sub(r"[-_.]+", "-", match.group()).lower() for match in found if match}


def locked_names(lock: str) -> set[str]:
    return {name for name, _version in pins(lock)}


@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_names_no_address(lock: str) -> None:
    text = (ROOT / lock).read_text(encoding="utf-8")
    assert "http" not in text
    assert "://" not in text
    assert "--index" not in text


@pytest.mark.parametrize("lock", LOCKS)
def test_everything_locked_has_hashes(lock: str) -> None:
    text = (ROOT / lock).read_text(encoding="utf-8").replace("\\\n", " ")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    assert lines
    assert [line for line in lines if "--hash=sha256:" not in line] == []


def test_every_dependency_of_the_project_is_locked() -> None:
    project = PROJECT["project"]
    wanted = names(project["dependencies"])
    for extra in project["optional-dependencies"].values():
        wanted |= names(extra)
    assert wanted - locked_names("requirements.lock") == set(), "run scripts/lock"
    wanted |= names(PROJECT["dependency-groups"]["dev"])
    assert wanted - locked_names("requirements-dev.lock") == set(), "run scripts/lock"


def test_testing_uses_the_versions_that_people_run() -> None:
    assert pins("requirements.lock") - pins("requirements-dev.lock") == set(), "run scripts/lock"
