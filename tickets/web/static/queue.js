// Scans are kept in this device until the shop's computer has answered each: in order, with keys, so that each counts once.
"use strict";
(() => {
  const RETRY_MS = 1500;
  const WAIT_MS = 10000; // for one answer
  const AWAY = 0; // no answer, or a proxy's: nobody knows whether it was booked, so it is sent again with its key
  const here = document.body.dataset;
  const who = window.filmdocketPerson;
  const memory = { waiting: new Map(), questions: new Map(), last: 0 };
  const channel = "BroadcastChannel" in window ? new BroadcastChannel("filmdocket-kept") : null;
  const asking = new Map(); // by key: who on this page waits for the answer
  let isAway = false;
  let isSending = false;
  let isWanted = false;
  let retry = 0;

  // Without IndexedDB (some browsers' private windows) scans are kept while the page is open.
  const books = new Promise((opened) => {
    try {
      const request = indexedDB.open("filmdocket", 1);
      request.onupgradeneeded = () => {
        const waiting = request.result.createObjectStore("waiting", { keyPath: "sequence", autoIncrement: true });
        waiting.createIndex("key", "key", { unique: true });
        request.result.createObjectStore("questions", { keyPath: "sequence" });
      };
      request.onsuccess = () => opened(request.result);
      request.onerror = request.onblocked = () => opened(null);
    } catch { opened(null); }
  });

  function inBooks(stores, act) {
    return books.then((db) => new Promise((done, failed) => {
      const change = db.transaction(stores, "readwrite", { durability: "strict" });
      const answer = act(...stores.map((name) => change.objectStore(name)));
      change.oncomplete = () => done(answer && answer.result);
      change.onabort = () => failed(change.error);
    }));
  }

  async function add(entry) {
    if (await books) return { ...entry, sequence: await inBooks(["waiting"], (waiting) => waiting.add(entry)) };
    memory.last += 1;
    memory.waiting.set(memory.last, { ...entry, sequence: memory.last });
    return memory.waiting.get(memory.last);
  }

  async function all(name) {
    const db = await books;
    if (!db) return [...memory[name].values()];
    return new Promise((done, failed) => {
      const read = db.transaction(name).objectStore(name).getAll();
      read.onsuccess = () => done(read.result);
      read.onerror = () => failed(read.error);
    });
  }

  async function first() {
    const db = await books;
    if (!db) return memory.waiting.values().next().value;
    return new Promise((done, failed) => {
      const read = db.transaction("waiting").objectStore("waiting").openCursor();
      read.onsuccess = () => done(read.result?.value);
      read.onerror = () => failed(read.error);
    });
  }

  // Off the waiting list and, when a person must answer for it, onto the list of questions: in one transaction.
  async function settle(entry, question) {
    if (await books) {
      await inBooks(["waiting", "questions"], (waiting, questions) => {
        waiting.delete(entry.sequence);
        if (question) questions.put(question);
      });
    } else {
      memory.waiting.delete(entry.sequence);
      if (question) memory.questions.set(entry.sequence, question);
    }
  }

  async function markLate() {
    if (!await books) {
      for (const entry of memory.waiting.values()) entry.isLate = true;
      return;
    }
    await inBooks(["waiting"], (waiting) => {
      waiting.openCursor().onsuccess = (event) => {
        const at = event.target.result;
        if (!at) return;
        if (!at.value.isLate) at.update({ ...at.value, isLate: true });
        at.continue();
      };
    });
  }

  function newKey() {
    const bytes = crypto.getRandomValues(new Uint8Array(12));
    return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
  }

  function token() { return document.querySelector("meta[name=form-token]").content; }

  async function post(address, asked) {
    let answer;
    try {
      answer = await fetch(address, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Filmdocket-Token": token() },
        body: JSON.stringify(asked),
        signal: AbortSignal.timeout(WAIT_MS),
      });
      const told = await answer.json();
      const isAnswer = answer.ok || (told.slug && answer.status < 500) || told.slug === "unexpected";
      return isAnswer && answer.status !== 429 ? { status: answer.status, told } : { status: AWAY };
    } catch { return { status: AWAY }; }
  }

  // The device was let in anew since this page was loaded: its forms' token is another one now.
  async function renewToken() {
    try {
      const page = await fetch("/kept", { signal: AbortSignal.timeout(WAIT_MS) });
      const fresh = new DOMParser().parseFromString(await page.text(), "text/html").querySelector("meta[name=form-token]");
      if (!page.ok || !fresh || fresh.content === token()) return false;
      document.querySelector("meta[name=form-token]").content = fresh.content;
      return true;
    } catch { return false; }
  }

  async function sendAll() {
    for (let entry = await first(); entry; entry = await first()) {
      const asked = { ...entry.asked, key: entry.key, device_at: entry.at, device_sequence: entry.sequence };
      const { status, told } = await post("/api/scan", asked);
      if (status === 403 && told.slug === "foreign-form" && await renewToken()) continue;
      if (status === AWAY || status === 401 || status === 403) { await stayAway(status); return; }
      isAway = false;
      const isBooked = status === 200;
      // Nobody stands before a scan that waited: what cannot be booked becomes a question, never a loss.
      await settle(entry, !isBooked && entry.isLate ? { ...entry, told } : null);
      tell({ key: entry.key, state: isBooked ? "booked" : entry.isLate ? "asked" : "refused", told });
    }
    if (isAway) { isAway = false; changed(); }
  }

  async function stayAway(status) {
    isAway = true;
    await markLate();
    for (const [key] of asking) tell({ key, state: "kept", told: null });
    clearTimeout(retry);
    retry = setTimeout(send, RETRY_MS);
    document.dispatchEvent(new CustomEvent("filmdocket-away", { detail: status }));
  }

  function tell(outcome) {
    asking.get(outcome.key)?.(outcome);
    asking.delete(outcome.key);
    channel?.postMessage(outcome);
    document.dispatchEvent(new Event("filmdocket-kept"));
  }

  function changed() {
    channel?.postMessage({});
    document.dispatchEvent(new Event("filmdocket-kept"));
  }

  // One page of this device sends at a time. Where there are no locks (plain http) two may: the keys make it harmless.
  async function send() {
    if (isSending) { isWanted = true; return; }
    isSending = true;
    try {
      if (navigator.locks) await navigator.locks.request("filmdocket-send", sendAll);
      else await sendAll();
    } finally { isSending = false; }
    if (isWanted) { isWanted = false; if (!isAway) send(); }
  }

  // Resolves with how it went: booked, refused (told at once), kept (to be sent later). `watch` hears what follows.
  async function scan(asked, key = newKey()) {
    if (here.nameNeeded && !who.name()) return { key, state: "refused", told: { says: here.nameNeeded, do: here.nameNeededDo } };
    who.isDoing();
    const entry = { key, at: new Date().toISOString(), asked: { by: who.name(), ...asked }, isLate: isAway };
    const heard = new Promise((told) => asking.set(key, told));
    try {
      await add(entry);
    } catch (error) {
      asking.delete(key);
      if (error?.name === "ConstraintError") return { key, state: "kept", told: null }; // pressed twice
      throw error;
    }
    if (isAway) { asking.delete(key); changed(); send(); return { key, state: "kept", told: null }; }
    send();
    return heard;
  }

  // A scan that was not sent yet is only taken off the list; one that was booked needs the shop's computer.
  async function takeOff(sequence) {
    const entry = (await all("waiting")).find((one) => one.sequence === sequence);
    if (entry && entry !== await first()) await settle(entry, null);
    changed();
  }

  async function undo(code) {
    while (!isAway && await first()) await new Promise((later) => { setTimeout(later, 30); });
    if (isAway) return { state: "kept", told: null };
    const { status, told } = await post("/api/undo", { code, key: newKey(), by: who.name() });
    return { state: status === 200 ? "booked" : status === AWAY ? "away" : "refused", told };
  }

  // A question is answered: sent once more, as it was or with what the person adds; or left out.
  async function answer(sequence, more) {
    const question = (await all("questions")).find((one) => one.sequence === sequence);
    if (!question) return;
    if (more) {
      const asked = { ...question.asked, ...more };
      const { status, told } = await post("/api/scan", { ...asked, key: question.key, device_at: question.at, device_sequence: sequence });
      if (status === AWAY || status === 401) { document.dispatchEvent(new CustomEvent("filmdocket-away", { detail: status })); return; }
      if (status !== 200) await settle(question, { ...question, told });
      else await forget(sequence);
    } else await forget(sequence);
    changed();
    document.dispatchEvent(new Event("filmdocket-refresh"));
  }

  async function forget(sequence) {
    if (await books) await inBooks(["questions"], (questions) => questions.delete(sequence));
    else memory.questions.delete(sequence);
  }

  channel?.addEventListener("message", ({ data }) => {
    asking.get(data.key)?.(data);
    asking.delete(data.key);
    document.dispatchEvent(new Event("filmdocket-kept"));
  });
  addEventListener("online", send);
  addEventListener("pageshow", send);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
  addEventListener("beforeunload", (event) => {
    // Without a service worker a reload would show nothing while the shop's computer is away.
    if (isAway && !navigator.serviceWorker?.controller) event.preventDefault();
  });
  if (document.querySelector("meta[name=form-token]") && "serviceWorker" in navigator) {
    navigator.serviceWorker.register("/service-worker.js").catch(() => { /* a certificate that is not trusted: kept in the open page */ });
    navigator.storage?.persist?.();
  }

  window.filmdocketKept = {
    scan, undo, takeOff, answer, newKey,
    waiting: () => all("waiting"), questions: () => all("questions"), isAway: () => isAway,
  };
})();
