"""Nothing is seen or changed by a stranger, and no foreign page changes anything for a device."""

from __future__ import annotations

from datetime import timedelta

import pytest
from fastapi.testclient import TestClient

from intake.certificates import issue_certificate
from tests.web.shops import ADDRESS, WebShop, post_json, submit, token_of
from tickets.ledger.devices import DeviceBook, form_token
from tickets.problems import NotFound
from tickets.web.gate import COOKIE


def routes(shop: WebShop) -> list[tuple[str, str]]:
    """Every method and path of the application, placeholders filled in."""
    code = shop.take("OB-1")
    values = {"{code}": code, "{station}": "press", "{number:path}": "OB-1"}
    found = []
    for path, methods in shop.app.openapi()["paths"].items():
        for name, value in {**values, "{number}": "OB-1"}.items():
            path = path.replace(name, value)
        found += [(method.upper(), path) for method in methods]
    assert len(found) > 20
    return found


def test_a_stranger_sees_and_changes_nothing(web_shop: WebShop) -> None:
    """All but pairing, the root certificate and customers' links is shut; no order or customer is said."""
    stranger = web_shop.stranger()
    for method, path in routes(web_shop):
        if path.startswith(("/pair", "/o/")) or path == "/root-certificate.crt":
            continue
        answer = stranger.request(method, path, params={"order": "OB-1", "item": 1})
        assert answer.status_code == 401, (method, path)
        assert "Otter" not in answer.text
    assert web_shop.waiting("OB-1")["print"] == 40


def test_a_stranger_gets_the_root_and_no_key(web_shop: WebShop) -> None:
    """It must be installed before the device is let in; without one that is said."""
    stranger = web_shop.stranger()
    assert stranger.get("/root-certificate.crt").status_code == 404
    folder = web_shop.shop.folder / "certificates"
    issue_certificate(folder, "Heron Lane Prints", ["print.shop.example"], web_shop.shop.clock())
    answer = stranger.get("/root-certificate.crt")
    assert answer.headers["content-type"] == "application/x-x509-ca-cert"
    assert answer.content == (folder / "root.pem").read_bytes()
    assert b"PRIVATE" not in answer.content


def test_a_made_up_cookie_opens_nothing(web_shop: WebShop) -> None:
    """Only a cookie that was given out counts."""
    stranger = web_shop.stranger()
    stranger.cookies.set(COOKIE, "x" * 43)
    assert stranger.get("/").status_code == 401


def test_a_code_lets_one_device_in_once(web_shop: WebShop) -> None:
    """Typed in lower case with a blank it works; a second time it does not."""
    code = web_shop.devices.new_code("station")
    first, second = web_shop.stranger(), web_shop.stranger()
    typed = f"{code[:4].lower()} {code[4:].lower()}"
    assert first.post("/pair", data={"code": typed, "name": "press kiosk"}).status_code == 303
    assert first.get("/").status_code == 200
    assert second.post("/pair", data={"code": code}).status_code == 404
    assert second.get("/").status_code == 401
    assert [d.name for d in web_shop.devices.devices()] == ["press kiosk"]


def test_an_old_code_lets_nobody_in(web_shop: WebShop) -> None:
    """After ten minutes a code is worth nothing."""
    code = web_shop.devices.new_code("station")
    later = DeviceBook(web_shop.shop.store, lambda: web_shop.shop.clock() + timedelta(minutes=11))
    with pytest.raises(NotFound):
        later.let_in(code)


def test_codes_cannot_be_tried_through(web_shop: WebShop) -> None:
    """After ten wrong ones an address waits, even with the right one."""
    stranger = web_shop.stranger()
    answers = [stranger.post("/pair", data={"code": f"WRONG{n:03}"}).status_code for n in range(11)]
    assert answers == [404] * 10 + [429]
    assert stranger.post("/pair", data={"code": web_shop.devices.new_code("desk")}).status_code == 429


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(web_shop: WebShop) -> None:
    """HttpOnly, SameSite, long-lived; and Secure where the pages are https."""
    code = web_shop.devices.new_code("station")
    plain = web_shop.stranger().post("/pair", data={"code": code}).headers["set-cookie"]
    assert "HttpOnly" in plain
    assert "SameSite=lax" in plain
    assert "Max-Age=34560000" in plain
    assert "Secure" not in plain
    client = TestClient(web_shop.app, base_url="https://shop.example", follow_redirects=False)
    secure = client.post("/pair", data={"code": web_shop.devices.new_code("station")})
    assert "Secure" in secure.headers["set-cookie"]


def test_neither_code_nor_cookie_lies_in_the_books(web_shop: WebShop) -> None:
    """Who reads the database cannot come as a device."""
    code = web_shop.devices.new_code("station")
    token, _ = web_shop.devices.let_in(code)
    other = web_shop.devices.new_code("desk")
    written = b"".join(p.read_bytes() for p in web_shop.shop.folder.glob("filmdocket.db*"))
    assert code.encode() not in written
    assert other.encode() not in written
    assert token.encode() not in written


def test_a_revoked_device_is_out_at_once(web_shop: WebShop) -> None:
    """Its next request is a stranger's."""
    client = web_shop.device()
    assert client.get("/").status_code == 200
    web_shop.devices.revoke(web_shop.devices.devices()[0].id)
    assert client.get("/").status_code == 401
    assert client.get("/api/line").json()["slug"] == "device-not-let-in"


def test_the_owners_link_is_for_the_first_owner_only(web_shop: WebShop) -> None:
    """A new start makes the older link worthless; with an owner let in there is none."""
    old, new = web_shop.devices.owner_code(), web_shop.devices.owner_code()
    assert old
    assert new
    client = web_shop.stranger()
    assert client.post("/pair", data={"code": old}).status_code == 404
    assert client.get(f"/pair/{new}").status_code == 200
    assert client.post("/pair", data={"code": new}).headers["location"] == "/devices"
    assert client.get("/devices").status_code == 200
    assert web_shop.devices.owner_code() is None


def test_looking_at_a_link_uses_nothing_up(web_shop: WebShop) -> None:
    """Programs that fetch links to show a preview let nobody in and lock nobody out."""
    code = web_shop.devices.new_code("desk")
    for _ in range(3):
        assert "set-cookie" not in web_shop.stranger().get(f"/pair/{code}").headers
    assert web_shop.stranger().post("/pair", data={"code": code}).status_code == 303


FOREIGN = [
    {"Origin": "http://evil.example"},
    {"Origin": "null"},
    {"Sec-Fetch-Site": "cross-site"},
    {"Sec-Fetch-Site": "same-site", "Origin": ADDRESS},
]


@pytest.mark.parametrize("headers", FOREIGN)
def test_a_foreign_page_changes_nothing(web_shop: WebShop, headers: dict[str, str]) -> None:
    """Even with the right token: the browser says where a form comes from."""
    code, client = web_shop.take("OB-1"), web_shop.device("desk")
    token = token_of(client.get("/"))
    asked = {"code": code, "station": "print"}
    answers = [
        client.post("/api/scan", json=asked, headers={"X-Filmdocket-Token": token, **headers}),
        client.post(f"/t/{code}/undo", data={"token": token}, headers=headers),
        client.post("/pair", data={"code": "x"}, headers=headers),
    ]
    assert [a.status_code for a in answers] == [403] * 3
    assert web_shop.waiting("OB-1")["print"] == 40


@pytest.mark.parametrize("token", ["", "0" * 64, form_token("another device's cookie")])
def test_a_form_without_its_devices_token_changes_nothing(web_shop: WebShop, token: str) -> None:
    """Neither none, nor a made-up one, nor another device's."""
    code, client = web_shop.take("OB-1"), web_shop.device("desk")
    asked = {"order": "OB-1", "code": "OB-1", "act": "cancel", "why": "x", "token": token}
    assert client.post("/desk/act", data=asked, headers={"Origin": ADDRESS}).status_code == 403
    scan = {"code": code, "station": "print"}
    answer = client.post("/api/scan", json=scan, headers={"X-Filmdocket-Token": token, "Origin": ADDRESS})
    assert answer.json()["slug"] == "foreign-form"
    assert web_shop.waiting("OB-1")["print"] == 40


def test_a_station_scans_and_does_not_cancel(web_shop: WebShop) -> None:
    """What the desk does needs a desk's device, and devices an owner's."""
    code, station, desk = web_shop.take("OB-1"), web_shop.device("station"), web_shop.device("desk")
    assert post_json(station, "/api/scan", code=code, station="print").status_code == 200
    assert post_json(station, "/api/cancel", code="OB-1", why="x").status_code == 403
    assert submit(station, "/desk/act", order="OB-1", code="OB-1", act="hold", why="x").status_code == 403
    assert station.get("/devices").status_code == 403
    assert desk.get("/devices").status_code == 403
    assert submit(desk, "/devices/add", role="owner").status_code == 403
    assert post_json(desk, "/api/hold", code="OB-1", why="customer rings back").status_code == 200


def test_every_answer_carries_the_strict_headers(web_shop: WebShop) -> None:
    """Every route, for a stranger and the owner, and errors: nothing inline or from elsewhere, no frame."""
    web_shop.app.state.is_stopping = lambda: True  # the stream of changes ends at once
    others = ("/static/docket.css", "/no/such/page", "/t/nonsense", "/o/wrong")
    every = [*routes(web_shop), *(("GET", path) for path in others)]
    for client in (web_shop.device("owner"), web_shop.stranger()):
        for method, path in every:
            answer = client.request(method, path, params={"order": "OB-1", "item": 1})
            policy = answer.headers["content-security-policy"]
            assert "default-src 'none'" in policy, path
            assert "unsafe" not in policy, path
            assert "frame-ancestors 'none'" in policy, path
            assert answer.headers["x-content-type-options"] == "nosniff", path
            assert answer.headers["referrer-policy"] in ("same-origin", "no-referrer"), path
            is_kept = path.startswith(("/static/", "/art", "/service-worker"))
            assert is_kept or "no-store" in answer.headers["cache-control"], path


def test_pages_hold_nothing_inline(web_shop: WebShop) -> None:
    """No inline script, style or handler, which the policy would stop."""
    code = web_shop.take("OB-1", verdict="query")
    client = web_shop.device("owner")
    for path in (
        "/",
        "/where?words=otter",
        "/queries",
        "/orders/OB-1",
        f"/t/{code}",
        "/at/press",
        "/devices",
    ):
        page = client.get(path)
        assert page.status_code == 200, path
        assert " style=" not in page.text
        assert "<style" not in page.text
        assert " onclick=" not in page.text
        assert "<script>" not in page.text


def test_customers_words_stay_words(web_shop: WebShop) -> None:
    """A customer's name with markup in it is shown, not obeyed."""
    web_shop.take("<b>&1", customer_name="<script>alert(1)</script>", verdict="query")
    client = web_shop.device("desk")
    for path in ("/", "/where?words=alert", "/queries", "/orders/%3Cb%3E%261"):
        page = client.get(path)
        assert page.status_code == 200, path
        assert "<script>alert" not in page.text
        assert "&lt;script&gt;alert" in page.text


def test_the_way_back_leads_to_own_pages_only(web_shop: WebShop) -> None:
    """Nobody is sent elsewhere by a link."""
    client = web_shop.device()
    for back in ("//evil.example", "https://evil.example", "/\\evil.example"):
        assert submit(client, "/me", station="press", back=back).headers["location"] == "/"


def test_the_list_of_routes_is_behind_the_gate(web_shop: WebShop) -> None:
    """OpenAPI is served to devices only, and not at the usual open addresses."""
    stranger = web_shop.stranger()
    assert stranger.get("/api/openapi.json").status_code == 401
    assert [stranger.get(p).status_code for p in ("/docs", "/redoc", "/openapi.json")] == [404] * 3
    assert "/api/scan" in web_shop.device().get("/api/openapi.json").json()["paths"]
