"""The address that a bag's label carries as a QR code, and whether a phone could reach it."""

from __future__ import annotations

import ipaddress
from io import BytesIO
from urllib.parse import urlsplit

import segno

from runningfit.workshop.pieces.models import Bag

LONGEST_ADDRESS = 200


def address_fault(label_address: str) -> str:
    """Return why phones cannot reach an address that labels would carry; empty when it can be used.

    Parameters
    ----------
    label_address : str
        What the shop said, with or without ``http://``.
    """
    if not label_address.strip():
        return "The shop has not said yet at which address phones find this program: labels carry no QR code."
    parts = urlsplit(_with_scheme(label_address))
    host = parts.hostname or ""
    try:
        _port = parts.port
    except ValueError:
        host = ""
    if parts.scheme not in ("http", "https") or not host or " " in label_address.strip():
        return f"'{label_address}' is no address that a phone can open, so labels carry no QR code."
    if _is_this_machine(host):
        return (
            f"The label address '{label_address}' means 'this very device': a phone that scans it "
            "looks for the program on the phone. Labels carry no QR code until the shop says another one."
        )
    return ""


def bag_address(label_address: str, bag: Bag) -> str:
    """Return the full address of a bag's page, short since every sign makes the QR code finer."""
    return address_of(label_address, f"b/{bag.job_id}/{bag.code}")


def address_of(label_address: str, path: str) -> str:
    """Return the full address of a page of this program, as phones of the shop open it."""
    return f"{_with_scheme(label_address).rstrip('/')}/{path}"


def qr_drawing(address: str) -> bytes:
    """Return an address as a QR code, an SVG drawing."""
    out = BytesIO()
    segno.make(address, error="m", micro=False).save(out, kind="svg", border=2, xmldecl=False)
    return out.getvalue()


def _with_scheme(address: str) -> str:
    address = address.strip()
    return address if "://" in address else f"http://{address}"


def _is_this_machine(host: str) -> bool:
    if host.rstrip(".") in ("localhost", "localhost.localdomain") or host.endswith(".localhost"):
        return True
    try:
        number = ipaddress.ip_address(host)
    except ValueError:
        # Short forms such as 127.1 are read as numbers by browsers, though not by the library.
        return host == "0" or (host.startswith("127.") and host.replace(".", "").isdigit())
    return number.is_loopback or number.is_unspecified
