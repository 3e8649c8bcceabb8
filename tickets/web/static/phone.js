// The big button of a ticket's page works without the shop's computer too: what was pressed is kept and sent later.
"use strict";
(() => {
  const store = window.filmdocketKept;
  const words = document.getElementById("kept").dataset;

  const number = (form, name) => {
    const text = form.elements[name]?.value.trim() ?? "";
    return /^\d+$/.test(text) ? Number(text) : null;
  };

  function asked(form) {
    const scan = { code: form.elements.code?.value ?? form.dataset.scan, station: form.elements.station?.value ?? form.dataset.station };
    const [good, spoiled] = [number(form, "good"), number(form, "spoiled")];
    if (good !== null) scan.good = good;
    if (spoiled) {
      scan.spoiled = spoiled;
      scan.why = form.elements.other?.value.trim() || form.elements.why?.value || "";
    }
    return scan;
  }

  document.addEventListener("submit", async (event) => {
    const form = event.target;
    const isScan = form.dataset.scan !== undefined;
    if (!isScan && form.dataset.undo === undefined) return;
    event.preventDefault();
    const button = event.submitter ?? form.querySelector("button");
    button.disabled = true;
    const outcome = isScan ? await store.scan(asked(form), form.elements.key?.value || undefined) : await store.undo(form.dataset.undo);
    say(outcome);
    button.disabled = outcome.state === "kept" && form.dataset.once !== undefined; // all of it: there is no more to press
    if (outcome.state !== "refused") {
      if (form.elements.key) form.elements.key.value = store.newKey();
      form.reset();
    }
    if (outcome.state !== "kept") document.dispatchEvent(new CustomEvent("filmdocket-refresh", { detail: outcome.state === "booked" }));
  });

  function say({ state, told }) {
    const isGood = state === "booked" || state === "kept";
    const box = document.createElement("div");
    box.className = isGood ? "said" : "problem";
    box.setAttribute("role", isGood ? "status" : "alert");
    const sign = document.createElement("span");
    sign.className = "sign";
    sign.setAttribute("aria-hidden", "true");
    sign.textContent = state === "booked" ? "✓" : state === "kept" ? "…" : "✕";
    const text = document.createElement("p");
    text.textContent = told ? [told.says, told.do].filter(Boolean).join(" ") : state === "kept" ? words.keptSays : words.noAnswer;
    box.append(sign, text);
    document.querySelectorAll("#page > .said, #page > .problem").forEach((old) => old.remove());
    document.getElementById("page").prepend(box);
    scrollTo(0, 0);
  }

  // On the page that opens instead of one that was never seen: the code is in the address, the station in memory.
  const shell = document.getElementById("kept-scan");
  if (shell) {
    const code = /^\/t\/([^/]+)$/.exec(location.pathname);
    if (code) shell.elements.code.value = decodeURIComponent(code[1]);
    const station = localStorage.getItem("filmdocket-station");
    if (station) shell.elements.station.value = station;
  } else if (document.body.dataset.station) localStorage.setItem("filmdocket-station", document.body.dataset.station);
})();
