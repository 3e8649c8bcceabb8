// Artwork that is dropped or chosen is sent at once, and its way is shown; what is typed is checked again by itself.
"use strict";
(() => {
  const token = document.querySelector("meta[name=form-token]").content;
  if (document.querySelector("[data-sent]")) { setTimeout(() => location.reload(), 1500); return; }

  const drop = document.getElementById("drop");
  const words = drop.dataset;
  const files = document.getElementById("files");
  const form = document.getElementById("draft");
  let waiting = 0;
  let asking = null;
  drop.classList.add("scripted-drop");
  let draft = words.draft;

  for (const kind of ["dragenter", "dragover"]) {
    addEventListener(kind, (event) => { event.preventDefault(); drop.classList.add("over"); });
  }
  addEventListener("dragleave", (event) => { if (!event.relatedTarget) drop.classList.remove("over"); });
  addEventListener("drop", (event) => {
    event.preventDefault();
    drop.classList.remove("over");
    sendAll([...event.dataTransfer.files]);
  });
  files.addEventListener("change", () => sendAll([...files.files]));
  drop.addEventListener("submit", (event) => { event.preventDefault(); sendAll([...files.files]); });

  async function sendAll(chosen) {
    if (!chosen.length) return;
    await keepTyped();
    let arrived = 0;
    for (const file of chosen) arrived += await send(file) ? 1 : 0; // one after another: the first makes the draft
    if (arrived === chosen.length) location.assign(`/drop/${draft}`);
    else files.value = "";
  }

  async function send(file) {
    const row = document.createElement("li");
    const told = document.createElement("span");
    row.append(`${file.name}: `, told);
    document.getElementById("sendings").append(row);
    if (file.size > Number(words.largest)) { told.textContent = words.tooLarge; return false; }
    const request = new XMLHttpRequest();
    request.open("POST", `/drop/art?draft=${encodeURIComponent(draft)}&name=${encodeURIComponent(file.name)}`);
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.setRequestHeader("X-Filmdocket-Token", token);
    request.setRequestHeader("Accept", "application/json");
    request.responseType = "json";
    await sendShown(request, file, told, words, file.name);
    const isThere = request.status === 200;
    if (isThere) draft = request.response.draft;
    told.textContent = isThere ? "✓" : request.response?.says ?? words.failed;
    return isThere;
  }

  function typed() {
    const fields = new URLSearchParams(new FormData(form));
    fields.set("act", "check");
    return fields;
  }

  async function check() {
    asking?.abort();
    asking = new AbortController();
    try {
      const answer = await fetch(form.action, { method: "POST", body: typed(), signal: asking.signal });
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      for (const old of document.querySelectorAll("[data-checked]")) {
        const now = fresh.getElementById(old.id);
        if (now && now.innerHTML !== old.innerHTML) old.replaceWith(now);
      }
    } catch { /* the next change or the button checks again */ }
  }

  async function keepTyped() { if (form) await check(); }

  form?.addEventListener("change", () => { clearTimeout(waiting); waiting = setTimeout(check, 300); });
})();
