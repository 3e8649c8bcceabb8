"""The pages speak German whole: by the shop's setting, or by the choice of one device."""

from __future__ import annotations

from tests.web.shops import WebShop, post_json, submit


def test_a_device_chooses_its_language_and_others_keep_theirs(web_shop: WebShop) -> None:
    """Pages and answers follow the device."""
    code, late = web_shop.take("OB-1"), web_shop.take("OB-2")
    kiosk, phone = web_shop.device(), web_shop.device()
    submit(kiosk, "/language", language="de", back="/at/print")
    page = kiosk.get("/at/print").text
    assert '<html lang="de">' in page
    for word in ("Laufzettel scannen", "Wartet hier", "Gerade erledigt", "80 Stück", "Fr., 4. Dez. 2099"):
        assert word in page, word
    for word in ("Waits", "Scan a ticket", "Just done", "pieces", "Undo"):
        assert word not in page, word
    told = post_json(kiosk, "/api/scan", code=code, station="print").json()
    assert told["says"] == f"40 Stück von {code} gedruckt, weiter zum Pulvern."
    wrong = post_json(kiosk, "/api/scan", code=code, station="print")
    assert (wrong.status_code, wrong.json()["slug"]) == (409, "nothing-waits-here")
    assert wrong.json()["says"] == f"Von {code} wartet beim Drucken nichts: 40 beim Pulvern."
    typed = post_json(kiosk, "/api/scan", code=f"{code[:-1]}", station="print").json()
    assert (typed["slug"], "zu kurz für einen Code" in typed["says"]) == ("code-not-read", True)
    assert typed["do"].startswith("QR-Code scannen")
    submit(kiosk, "/me", station="print", back=f"/t/{late}")
    page = kiosk.get(f"/t/{late}").text
    assert "40 gedruckt" in page
    assert "in Arbeit" in page
    assert "40 beim Drucken." in page
    assert '<html lang="en">' in phone.get("/").text
    assert "Waits here" in phone.get("/at/print").text
    answer = post_json(phone, "/api/scan", code=late, station="print").json()
    assert answer["says"] == f"40 pieces of {late} printed, on to powder."


def test_an_unknown_language_is_not_kept(web_shop: WebShop) -> None:
    """The device is spoken to as before."""
    kiosk = web_shop.device()
    submit(kiosk, "/language", language="tlh", back="/at/print")
    assert '<html lang="en">' in kiosk.get("/at/print").text


def test_problems_of_pages_are_told_in_german(web_shop: WebShop) -> None:
    """Also those that no wording module knows."""
    kiosk = web_shop.device()
    submit(kiosk, "/language", language="de", back="/")
    assert "Diese Seite gibt es nicht." in kiosk.get("/nowhere").text
    assert "Einen Auftrag" in kiosk.get("/orders/XX-9").text
    assert "für eine Station zugelassen" in kiosk.get("/drop").text
