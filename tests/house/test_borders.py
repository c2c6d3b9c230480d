"""Nothing in the project names this machine, a package registry or a place that users do not have."""

from __future__ import annotations

import ipaddress
import re

from house.tree import PACKAGE, ROOT, text_files

# The only hosts that may stand in a file: the licence's own, and names of document types.
KNOWN_HOSTS = {
    "www.apache.org",
    "www.w3.org",
    "schemas.openxmlformats.org",
    "doi.org",
}
# Names that RFC 2606 keeps free for examples, and those of a shop's own network (RFC 6762).
EXAMPLE_HOST = re.compile(r"(^|\.)(example(\.(com|org|net))?|invalid|test|localhost|local)$")
URL = re.compile(r"https?://(\[[0-9a-f:]+\]|[A-Za-z0-9.-]+)", re.IGNORECASE)
# Written in two halves, so that this file does not name what it forbids.
REGISTRIES = (
    "py" + "pi",
    "python" + "hosted",
    "npm" + "js",
    "deb." + "debian",
    "security." + "debian",
    "crat" + "es",
)
REGISTRY = re.compile(r"\b(" + "|".join(map(re.escape, REGISTRIES)) + r")\.(org|com|io)\b", re.IGNORECASE)
MACHINE_PATH = re.compile(r"(?<![\w.}/-])/(" + "|".join(("wo" + "rk", "ro" + "ot", "ho" + "me")) + r")/\w")
TEMPORARY_PATH = re.compile(r"(?<![\w.}/-])/tm" + r"p\b")


def is_known(host: str) -> bool:
    """Whether a host is on the list, free for examples, or an address that never leaves a shop's network."""
    if host in KNOWN_HOSTS or EXAMPLE_HOST.search(host) or host.startswith("127."):
        return True
    try:
        return not ipaddress.ip_address(host.strip("[]")).is_global
    except ValueError:
        return False


def places(pattern: re.Pattern[str], *, under: str = "") -> list[tuple[str, re.Match[str]]]:
    return [
        (f"{where}:{number}", match)
        for where, text in text_files()
        if where.startswith(under)
        for number, line in enumerate(text.splitlines(), start=1)
        for match in pattern.finditer(line)
    ]


def test_no_file_names_an_unknown_host() -> None:
    offenders = [
        f"{where} {match.group()}" for where, match in places(URL) if not is_known(match.group(1).lower())
    ]
    assert not offenders, "The project works without any of these:\n" + "\n".join(offenders)


def test_no_file_names_a_package_registry() -> None:
    offenders = [f"{where} {match.group()}" for where, match in places(REGISTRY)]
    assert not offenders, "Each machine asks the registry it is set up for:\n" + "\n".join(offenders)


def test_no_file_holds_a_path_of_one_machine() -> None:
    source = PACKAGE.relative_to(ROOT).as_posix()
    offenders = [f"{where} {match.group()}" for where, match in places(MACHINE_PATH)]
    offenders += [f"{where} {match.group()}" for where, match in places(TEMPORARY_PATH, under=source)]
    assert not offenders, "Nobody else has these:\n" + "\n".join(offenders)


def test_nothing_leans_on_papers_outside_the_project() -> None:
    outside = re.compile(
        r"\b" + "sha" + r"red/|\b(" + "|".join(("DES" + "IGN", "STA" + "CK", "ANCH" + "ORS")) + r")\.md\b"
    )
    offenders = [f"{where} {match.group()}" for where, match in places(outside)]
    assert not offenders, "A reader of the project does not have these:\n" + "\n".join(offenders)
