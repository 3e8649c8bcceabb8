"""Orders that are being written on the drop page: kept aside in the shop folder until they are sent."""

from __future__ import annotations

import contextlib
import hashlib
import json
import secrets
import shutil
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from intake.drop_order import ItemRefused, order_document
from intake.durable import make_folder, write_whole
from intake.inbox.claiming import original_path, want_room
from intake.inbox.ignoring import is_temporary
from intake.inbox.listing import Entry, list_inbox
from intake.inbox.opening import Changed, opened_as_seen
from intake.naming import safe_name, shown_path
from intake.shop import Shop
from tickets import wording_drop as wording
from tickets.problems import BadInput, NotFound
from tickets.web.drops import Draft, DraftItem

if TYPE_CHECKING:
    from intake.sandbox import Sandbox

KEPT_SECONDS = 14 * 86400  # a draft that nobody has touched for so long is thrown away
COPY_BYTES = 1 << 20
FIRST_PPI = 300.0  # nobody has said a size yet: as large as it prints crisp (common practice)


@dataclass(frozen=True)
class ShopDrops:
    """The drafts of one shop. `sandbox` gives the processes that open strangers' files."""

    shop: Shop
    sandbox: Callable[[], Sandbox]
    _lock: Lock = field(default_factory=Lock)

    @property
    def largest_bytes(self) -> int:
        """As large as intake takes."""
        return self.shop.settings.intake.largest_file_mb * 1_000_000

    @property
    def _folder(self) -> Path:
        return self.shop.derived / "drafts"

    def lying(self) -> list[str]:
        """Artwork that waits in the inbox and that no order speaks of, as the books know it."""
        from intake.inbox.zipping import is_zip_name
        from tickets.lookup import list_arrivals

        files = list_arrivals(self.shop.store, self.shop.clock()).files
        waiting = [f.path for f in files if f.standing == "waiting" and not f.order and not f.slug]
        return sorted(p for p in waiting if not p.lower().endswith(".json") and not is_zip_name(p))

    def begin(self) -> Draft:
        """An empty draft; those that were forgotten are thrown away."""
        self._sweep()
        draft = Draft(secrets.token_hex(8))
        make_folder(self._folder / draft.id)
        self.save(draft)
        return draft

    def read(self, draft_id: str) -> Draft:
        """A draft. Raises NotFound `draft-not-known`."""
        try:
            told = json.loads((self.place(draft_id) / "draft.json").read_text("utf-8"))
        except (OSError, ValueError):
            raise NotFound("draft-not-known", wording.draft_not_known(), "Begin again.") from None
        return Draft(told["id"], told["fields"], tuple(_item(item) for item in told["items"]))

    def save(self, draft: Draft) -> None:
        """Keep a draft, whole or not at all."""
        told = json.dumps(asdict(draft), ensure_ascii=False)
        write_whole(self.place(draft.id) / "draft.json", told.encode())

    def place(self, draft_id: str) -> Path:
        """The folder of a draft. Raises NotFound `draft-not-known` for what is no draft's name."""
        if len(draft_id) != 16 or set(draft_id) - set("0123456789abcdef"):
            raise NotFound("draft-not-known", wording.draft_not_known(), "Begin again.")
        return self._folder / draft_id

    def art_path(self, draft: Draft, item: DraftItem) -> Path:
        """Where the bytes of an item's artwork are."""
        if item.source == "earlier":
            return original_path(self.shop, item.sha256)
        return self.place(draft.id) / f"{item.key}.art"

    @contextlib.contextmanager
    def receive(self, draft_id: str, name: str) -> Iterator[Callable[[bytes], object]]:
        """Take a file piece by piece; only whole is it an item."""
        item = DraftItem(secrets.token_hex(4), _usable_name(name), "sent")
        path = self.place(draft_id) / f"{item.key}.art"
        came = 0
        try:
            with path.open("xb") as file:

                def write(piece: bytes) -> None:
                    nonlocal came
                    came += len(piece)
                    if came > self.largest_bytes:
                        most = self.largest_bytes // 1_000_000
                        says = f"{item.artwork} is larger than {most} MB."
                        raise BadInput("file-too-large", says, "Send it smaller.")
                    want_room(self.shop, len(piece))
                    file.write(piece)

                yield write
            if not came:
                raise BadInput("file-empty", f"{item.artwork} is empty.", "Choose another file.")
        except BaseException:
            path.unlink(missing_ok=True)
            raise
        self._add(draft_id, [item])

    def add_lying(self, draft_id: str, path: str) -> None:
        """Look at artwork in the inbox; it stays there. Raises NotFound `file-gone`."""
        item = DraftItem(secrets.token_hex(4), path.rpartition("/")[2], "lying", path)
        entry = self._entry(path)
        copy = self.place(draft_id) / f"{item.key}.art"
        try:
            with opened_as_seen(self.shop.inbox, entry) as file, copy.open("xb") as out:
                shutil.copyfileobj(file, out, COPY_BYTES)
        except Changed:
            copy.unlink(missing_ok=True)
            raise NotFound("file-gone", wording.file_gone(path), "Look at the list again.") from None
        self._add(draft_id, [item])

    def _entry(self, path: str) -> Entry:
        listing = list_inbox(self.shop.inbox, self.shop.settings.intake.ignore)
        entry = next((e for e in listing.entries.values() if shown_path(e.path) == path), None)
        if entry is None or entry.ignored or entry.path != path:
            raise NotFound("file-gone", wording.file_gone(path), "Look at the list again.")
        return entry

    def add_earlier(self, draft_id: str, order: str) -> None:
        """The items of an earlier order once more, and its customer. Raises NotFound `order-not-known`."""
        from intake.drop_order import fields_of_earlier, items_of_earlier

        draft = self.read(draft_id)
        fields = fields_of_earlier(self.shop, order)
        self.save(replace(draft, fields={**fields, **{k: v for k, v in draft.fields.items() if v}}))
        self._add(draft_id, items_of_earlier(self.shop, order))

    def _add(self, draft_id: str, items: list[DraftItem]) -> None:
        with self._lock:
            draft = self.read(draft_id)
            for item in items:
                draft = replace(draft, items=(*draft.items, self._with_own_name(draft, item)))
            self.save(draft)

    def _with_own_name(self, draft: Draft, item: DraftItem) -> DraftItem:
        """Two files of one name in an order are told apart: the later one gets a number."""
        if item.source != "sent":
            return item
        taken = {other.artwork.casefold() for other in draft.items}
        name, number = item.artwork, 2
        while name.casefold() in taken:
            stem, dot, ending = item.artwork.rpartition(".")
            name = f"{stem}-{number}{dot}{ending}" if dot else f"{item.artwork}-{number}"
            number += 1
        return replace(item, artwork=name)

    def check(self, draft_id: str) -> Draft:
        """Check what was not checked as it is now, one after another."""
        draft = self.read(draft_id)
        answers = {i.key: self._checked(draft, i) for i in draft.items if not _is_checked(i)}
        with self._lock:
            now = self.read(draft_id)
            draft = replace(now, items=tuple(_laid_over(i, answers.get(i.key)) for i in now.items))
            self.save(draft)
        return draft

    def _checked(self, draft: Draft, item: DraftItem) -> DraftItem:
        from intake.drop_order import first_page, millimetres
        from intake.preflight import PreflightJob

        try:
            width_mm = millimetres(item)
        except ItemRefused:
            width_mm = None
        settings = self.shop.settings
        job = PreflightJob(
            path=self.art_path(draft, item),
            name=item.artwork,
            limits=settings.limits,
            film=settings.film,
            width_mm=width_mm,
            ppi=None if width_mm else FIRST_PPI,
            page=first_page(item),
            garment=item.colour or None,
            mirrored=bool(item.fields.get("mirrored")),
        )
        answer = self.sandbox().preflight(job)
        self._draw(draft, item, answer)
        found = tuple(json.loads(json.dumps(f.as_json())) for f in answer.findings)
        checked = replace(item, verdict=str(answer.verdict), print_mm=answer.print_mm, findings=found)
        if not item.fields.get("width_mm") and answer.print_mm:
            checked = checked.typed(width_mm=f"{min(answer.print_mm[0], settings.film.printable_mm):.1f}")
        return replace(checked, checked_for=checked.wanted)

    def _draw(self, draft: Draft, item: DraftItem, answer: Any) -> None:
        from intake.report import draw_findings

        path = self.place(draft.id) / f"{item.key}.png"
        if answer.picture_png and answer.print_mm:
            write_whole(
                path, draw_findings(answer.picture_png, answer.findings, answer.print_mm, is_listed=False)
            )
        else:
            path.unlink(missing_ok=True)

    def picture(self, draft_id: str, key: str) -> bytes:
        """The picture of the last check."""
        item = self.read(draft_id).item(key)
        path = self.place(draft_id) / f"{item.key}.png" if item else None
        return path.read_bytes() if path and path.is_file() else b""

    def send(self, draft_id: str) -> str:
        """Lay the order into the inbox, written aside and then renamed; the draft is done with."""
        from intake.drop_order import lay_into_inbox

        with self._lock:
            draft = self.read(draft_id)
            document = order_document(self.shop, draft)
            lay_into_inbox(self, draft, document)
            self.forget(draft_id)
        return str(document["order"])

    def forget(self, draft_id: str) -> None:
        """Throw a draft away."""
        shutil.rmtree(self.place(draft_id), ignore_errors=True)

    def _sweep(self) -> None:
        oldest = time.time() - KEPT_SECONDS
        for folder in self._folder.glob("*"):
            with contextlib.suppress(OSError):
                if (folder / "draft.json").stat().st_mtime < oldest:
                    shutil.rmtree(folder, ignore_errors=True)


def _item(told: dict[str, Any]) -> DraftItem:
    size = told.pop("print_mm")
    findings = tuple(told.pop("findings"))
    return DraftItem(**told, print_mm=(size[0], size[1]) if size else None, findings=findings)


def _is_checked(item: DraftItem) -> bool:
    return bool(item.verdict) and item.checked_for == item.wanted


def _laid_over(item: DraftItem, checked: DraftItem | None) -> DraftItem:
    """A check's answer over what was typed meanwhile."""
    if checked is None:
        return item
    answered = {**checked.fields, **{k: v for k, v in item.fields.items() if v}}
    return replace(checked, fields=answered)


def _usable_name(name: str) -> str:
    """A name that an order may give its artwork, close to the one that the file had."""
    last = safe_name(name.replace("\\", "/").rpartition("/")[2])
    if is_temporary(last):
        last = f"artwork-{hashlib.sha256(name.encode()).hexdigest()[:8]}"
    return last
