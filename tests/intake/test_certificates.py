"""The shop's own certificate: devices that installed its root trust it, for the shop's own names alone."""

from __future__ import annotations

import json
import os
import shutil
import socket
import ssl
import subprocess
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from intake import cli
from intake.certificates import days_left, issue_certificate, own_names
from intake.doctor import examine_shop
from intake.shop import make_shop
from tickets.problems import BadInput, SetupProblem

NOW = datetime.now(UTC).replace(microsecond=0)  # as certificates have it
NAMES = ("print.shop.example", "192.168.1.20", "203.0.113.7")


def greet(folder: Path, name: str) -> str:
    """Speak TLS with a server of that certificate, trusting its root alone; "" when the name is trusted."""
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(folder / "pages.pem", folder / "pages-key.pem")
    trusting = ssl.create_default_context(cafile=str(folder / "root.pem"))
    near, far = socket.socketpair()
    far.settimeout(20)
    near.settimeout(20)

    def serve() -> None:
        try:
            with serving.wrap_socket(far, server_side=True) as there:
                there.recv(1)
        except OSError:
            far.close()

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        with trusting.wrap_socket(near, server_hostname=name) as here:
            here.send(b"x")
            return ""
    except ssl.SSLCertVerificationError as error:
        return error.verify_message
    finally:
        near.close()
        thread.join(20)


@pytest.mark.parametrize("name", NAMES)
def test_whoever_trusts_the_root_trusts_the_pages(tmp_path: Path, name: str) -> None:
    """By host name and by address, as Python's TLS checks it; by any other name not."""
    issue_certificate(tmp_path, "Heron Lane Prints", NAMES, NOW)
    assert greet(tmp_path, name) == ""
    assert "mismatch" in greet(tmp_path, "other.example")


@pytest.mark.skipif(shutil.which("openssl") is None, reason="no openssl on this machine")
def test_another_program_finds_the_chain_in_order(tmp_path: Path) -> None:
    """OpenSSL's own strict check of RFC 5280, for the purpose of a server."""
    issue_certificate(tmp_path, "Heron Lane Prints", NAMES, NOW)
    words = ["openssl", "verify", "-x509_strict", "-purpose", "sslserver", "-CAfile", "root.pem", "pages.pem"]
    told = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr


def test_a_stolen_root_vouches_for_nobody_else(tmp_path: Path) -> None:
    """A certificate for another site, signed with the root's own key, is trusted by nobody."""
    issue_certificate(tmp_path, "Heron Lane Prints", ["print.shop.example"], NOW)
    with pytest.raises(SetupProblem) as refused:
        issue_certificate(tmp_path, "Heron Lane Prints", ["bank.example"], NOW)
    assert refused.value.slug == "name-outside-root"
    with pytest.MonkeyPatch.context() as thief:
        thief.setattr("intake.certificates._require_inside", lambda *_: None)
        issue_certificate(tmp_path, "Heron Lane Prints", ["bank.example"], NOW)
    assert "permitted subtree violation" in greet(tmp_path, "bank.example")


def test_renewing_leaves_the_devices_alone(tmp_path: Path) -> None:
    """The root stays; a new one is made only when it is asked for."""
    issue_certificate(tmp_path, "Heron Lane Prints", NAMES, NOW - timedelta(days=380))
    root, before = (tmp_path / "root.pem").read_bytes(), (tmp_path / "pages.pem").read_bytes()
    assert days_left(tmp_path / "pages.pem", NOW) == 17
    renewed = issue_certificate(tmp_path, "Heron Lane Prints", NAMES, NOW)
    assert not renewed.is_new_root
    assert (tmp_path / "root.pem").read_bytes() == root
    assert (tmp_path / "pages.pem").read_bytes() != before
    assert days_left(tmp_path / "pages.pem", NOW) == 397
    assert issue_certificate(tmp_path, "x", NAMES, NOW, new_root=True).is_new_root
    assert (tmp_path / "root.pem").read_bytes() != root


@pytest.mark.skipif(os.name == "nt", reason="rights of files are others there")
def test_keys_are_for_their_owner_alone(tmp_path: Path) -> None:
    """Nobody else on this machine reads them."""
    issue_certificate(tmp_path, "Heron Lane Prints", NAMES, NOW)
    assert [p.stat().st_mode & 0o777 for p in sorted(tmp_path.glob("*-key.pem"))] == [0o600, 0o600]


@pytest.mark.parametrize("name", ["", "http://shop.example", "two words", "-x.example", "*.example", "a..b"])
def test_what_is_no_name_is_refused(tmp_path: Path, name: str) -> None:
    """Before anything is made."""
    with pytest.raises(BadInput) as refused:
        issue_certificate(tmp_path, "x", [name], NOW)
    assert refused.value.slug == "no-host-name"
    assert list(tmp_path.iterdir()) == []


def test_a_root_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    """And never silently made anew, for that would lock every device out."""
    issue_certificate(tmp_path, "x", NAMES, NOW)
    (tmp_path / "root.pem").write_text("broken", "utf-8")
    with pytest.raises(SetupProblem) as refused:
        issue_certificate(tmp_path, "x", NAMES, NOW)
    assert refused.value.slug == "certificate-wrong"


def test_the_command_says_what_to_do_next(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The two lines for shop.toml; once they are there the doctor watches the date."""
    shop = tmp_path / "shop"
    make_shop(shop)
    assert cli.main(["certificate", "--shop", str(shop), "--name", "print.shop.example"]) == 0
    said = capsys.readouterr().out
    assert 'certificate = "certificates/pages.pem"' in said
    assert "root.pem" in said
    lines = [line.strip() for line in said.splitlines() if line.startswith("    ")]
    (shop / "shop.toml").write_text("\n".join(lines), "utf-8")
    assert cli.main(["certificate", "--shop", str(shop), "--name", "print.shop.example", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["new_root"] is False
    checks = {c.name: c for c in examine_shop(shop).checks}
    assert checks["certificate"].ok
    old = examine_shop(shop, lambda: datetime.now(UTC) + timedelta(days=380))
    assert not next(c for c in old.checks if c.name == "certificate").ok


def test_a_machine_knows_names_of_its_own() -> None:
    """Its host name and the one in the local network, its address, and itself."""
    names = own_names("192.168.1.20")
    assert names[-3:] == ["192.168.1.20", "localhost", "127.0.0.1"]
