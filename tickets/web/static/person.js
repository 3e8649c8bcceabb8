// Who is signed in at this device, also on pages that are shown as they were last while the shop's computer is away.
"use strict";
(() => {
  const KEY = "filmdocket-person";
  const LOOK_MS = 2000;
  let memory = { name: "", drawn: 0, until: 0 };

  function known() {
    try { return JSON.parse(localStorage.getItem(KEY)) ?? memory; } catch { return memory; }
  }

  function keep(now) {
    memory = now;
    try { localStorage.setItem(KEY, JSON.stringify(now)); } catch { /* kept while the page is open */ }
    show();
  }

  // What a page says counts if it was drawn later than what is known: pages may come from the device's own store.
  function adopt({ person, drawn, personLeft }) {
    if (!(Number(drawn) > known().drawn)) return;
    keep({ name: person ?? "", drawn: Number(drawn), until: personLeft ? Date.now() + Number(personLeft) * 1000 : 0 });
  }

  function name() {
    const { name: found, until } = known();
    return until && Date.now() >= until ? "" : found;
  }

  // Something was done by whoever is signed in: the time until they are signed out begins anew.
  function isDoing() {
    const idle = Number(document.body.dataset.idleSeconds);
    if (idle && name()) keep({ ...known(), until: Date.now() + idle * 1000 });
  }

  let shown = null;
  function show() {
    const now = name();
    if (now === shown) return;
    shown = now;
    for (const place of document.querySelectorAll("[data-person-name]")) place.textContent = now || place.dataset.nobody;
    for (const link of document.querySelectorAll("[data-person-choose]")) link.textContent = now ? link.dataset.personChange : link.dataset.personChoose;
    for (const form of document.querySelectorAll("[data-person-out]")) form.hidden = !now;
    document.body.dataset.person = now;
  }

  window.filmdocketPerson = { adopt, name, isDoing };
  adopt(document.body.dataset);
  show();
  addEventListener("storage", ({ key }) => { if (key === KEY) show(); });
  setInterval(show, LOOK_MS); // who does nothing for long is signed out before everybody's eyes
})();
