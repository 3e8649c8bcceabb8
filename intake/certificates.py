"""The shop's own small certificate authority: its root, which devices install, and the pages' certificate.

X.509 as RFC 5280 has it. The root may vouch only for the names that it was made for and for addresses of
private networks (name constraints, section 4.2.1.10): whoever steals its key cannot pose as another site.
"""

from __future__ import annotations

import ipaddress
import os
import socket
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from intake.durable import write_whole
from tickets.problems import BadInput, SetupProblem

FOLDER = "certificates"
ROOT, ROOT_KEY, PAGES, PAGES_KEY = "root.pem", "root-key.pem", "pages.pem", "pages-key.pem"
ROOT_YEARS = 10
PAGES_DAYS = 397  # the longest that browsers take from public authorities; some hold private ones to it too
BACKDATED = timedelta(hours=24)  # devices' clocks differ
PRIVATE_NETWORKS = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "127.0.0.0/8",
    "169.254.0.0/16",
)  # RFC 1918
PRIVATE_NETWORKS_6 = ("fc00::/7", "fe80::/10", "::1/128")  # RFC 4193, RFC 4291
PRIVATE_NAMES = ("local", "lan", "home.arpa", "internal", "localhost")

Name = x509.DNSName | x509.IPAddress
Key = ec.EllipticCurvePrivateKey


@dataclass(frozen=True, slots=True)
class Issued:
    """Where root, certificate and key lie now, for which names, and until when."""

    root: Path
    certificate: Path
    key: Path
    names: tuple[str, ...]
    until: datetime
    is_new_root: bool


def own_names(address: str) -> list[str]:
    """What this machine is called in its own network, with and without `.local`, and its address there."""
    host = socket.gethostname().partition(".")[0].lower()
    found = [host, f"{host}.local", address, "localhost", "127.0.0.1"]
    return [name for name in dict.fromkeys(found) if _is_name(name)]


def issue_certificate(
    folder: Path, shop: str, names: Sequence[str], now: datetime, *, new_root: bool = False
) -> Issued:
    """Issue a certificate for the pages under `names`, from the shop's root, made when there is none.

    Raises BadInput `no-host-name`, SetupProblem `name-outside-root`, `certificate-wrong`.
    """
    told = [_name(name) for name in names]
    folder.mkdir(parents=True, exist_ok=True)
    is_new = new_root or not (folder / ROOT).exists() or not (folder / ROOT_KEY).exists()
    root, root_key = _make_root(folder, shop, told, now) if is_new else _read_root(folder)
    _require_inside(root, told)
    key = ec.generate_private_key(ec.SECP256R1())
    until = min(now + timedelta(days=PAGES_DAYS), root.not_valid_after_utc)
    made = (
        _begin(
            x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "filmdocket pages")]), root.subject, key, now
        )
        .not_valid_after(until)
        .add_extension(x509.SubjectAlternativeName(told), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(root_key.public_key()), critical=False
        )
        .sign(root_key, hashes.SHA256())
    )
    write_secret(folder / PAGES_KEY, _key_bytes(key))
    write_whole(folder / PAGES, made.public_bytes(serialization.Encoding.PEM))
    return Issued(folder / ROOT, folder / PAGES, folder / PAGES_KEY, tuple(names), until, is_new)


def days_left(certificate: Path, now: datetime) -> int:
    """For how many days yet a certificate is good. Raises SetupProblem `certificate-wrong`."""
    try:
        read = x509.load_pem_x509_certificate(certificate.read_bytes())
    except (OSError, ValueError) as error:
        raise _unreadable(certificate, error) from error
    return (read.not_valid_after_utc - now).days


def write_secret(path: Path, content: bytes) -> None:
    """Write a file that only its owner may read, where the system knows such rights."""
    path.unlink(missing_ok=True)
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags, 0o600), "wb") as file:
        file.write(content)


def _make_root(folder: Path, shop: str, names: Iterable[Name], now: datetime) -> tuple[x509.Certificate, Key]:
    key = ec.generate_private_key(ec.SECP256R1())
    called = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"{shop[:40]}: own pages")])
    made = (
        _begin(called, called, key, now)
        .not_valid_after(now + timedelta(days=365 * ROOT_YEARS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(x509.NameConstraints(_permitted(names), None), critical=True)
        .sign(key, hashes.SHA256())
    )
    write_secret(folder / ROOT_KEY, _key_bytes(key))
    write_whole(folder / ROOT, made.public_bytes(serialization.Encoding.PEM))
    return made, key


def _begin(subject: x509.Name, issuer: x509.Name, key: Key, now: datetime) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - BACKDATED)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _permitted(names: Iterable[Name]) -> list[x509.GeneralName]:
    nets = [ipaddress.ip_network(one) for one in (*PRIVATE_NETWORKS, *PRIVATE_NETWORKS_6)]
    for name in names:
        if isinstance(name, x509.IPAddress):
            nets.append(ipaddress.ip_network(str(name.value)))
    hosts = [name.value for name in names if isinstance(name, x509.DNSName)]
    return [*map(x509.DNSName, dict.fromkeys((*PRIVATE_NAMES, *hosts))), *map(x509.IPAddress, nets)]


def _require_inside(root: x509.Certificate, names: Iterable[Name]) -> None:
    permitted = root.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    for name in names:
        if not any(_covers(one, name) for one in permitted):
            raise SetupProblem(
                "name-outside-root",
                f"The shop's root certificate was not made for {name.value}.",
                "Make a new root with --new-root, and install it on every device again.",
            )


def _covers(permitted: x509.GeneralName, name: Name) -> bool:
    if isinstance(permitted, x509.DNSName) and isinstance(name, x509.DNSName):
        return name.value == permitted.value or name.value.endswith(f".{permitted.value}")
    if isinstance(permitted, x509.IPAddress) and isinstance(name, x509.IPAddress):
        network, address = permitted.value, name.value
        return not isinstance(network, ipaddress.IPv4Address | ipaddress.IPv6Address) and address in network
    return False


def _read_root(folder: Path) -> tuple[x509.Certificate, Key]:
    try:
        root = x509.load_pem_x509_certificate((folder / ROOT).read_bytes())
        key = serialization.load_pem_private_key((folder / ROOT_KEY).read_bytes(), None)
    except (OSError, ValueError, TypeError) as error:
        raise _unreadable(folder / ROOT, error) from error
    if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != root.public_key():
        raise _unreadable(folder / ROOT, ValueError("the key belongs to another certificate"))
    return root, key


def _unreadable(path: Path, error: Exception) -> SetupProblem:
    return SetupProblem(
        "certificate-wrong",
        f"{path} cannot be used: {getattr(error, 'strerror', None) or error}.",
        "Put it back from a copy, or make new ones: filmdocket certificate --new-root",
    )


def _key_bytes(key: Key) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _name(text: str) -> Name:
    """An address or host name. Raises BadInput `no-host-name`."""
    bare = text.strip().strip("[]").rstrip(".").lower()
    try:
        return x509.IPAddress(ipaddress.ip_address(bare))
    except ValueError:
        pass
    if not _is_name(bare):
        raise BadInput(
            "no-host-name",
            f"{text!r} is neither a host name nor an address.",
            "Name the shop's computer as devices type it, for example: --name print.shop.example",
        )
    return x509.DNSName(bare)


def _is_name(text: str) -> bool:
    """RFC 1123: letters, digits and hyphens between dots; an address is one too here."""
    labels = text.split(".")
    plain = all(
        label.isascii() and label.replace("-", "").isalnum() and 0 < len(label) < 64 for label in labels
    )
    return plain and len(text) < 254 and not any(one.startswith("-") or one.endswith("-") for one in labels)
