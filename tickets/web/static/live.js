// Keeps the parts of a page that are marked data-live as the server has them now.
"use strict";
(() => {
  const RELOAD_MS = 20000;
  let isFetching = false;
  let isWanted = false;
  let isOwn = false; // the person at this page has just done something: all of it is shown anew

  async function refresh(event) {
    isOwn ||= event?.detail === true;
    if (isFetching) { isWanted = true; return; }
    isFetching = true;
    try {
      const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
      if (answer.ok) {
        const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
        window.filmdocketPerson?.adopt(fresh.body.dataset); // signed in or out elsewhere, or sent away
        swap(fresh);
      }
      else if (answer.status === 401) location.reload();
    } catch { /* the server is away: the next change or the timer tries again */ }
    isFetching = false;
    if (isWanted) { isWanted = false; refresh(); }
  }

  function swap(fresh) {
    for (const old of document.querySelectorAll("[data-live]")) {
      const now = fresh.getElementById(old.id);
      // Nothing is taken out of somebody's hands: a part that is being filled in stays until it is left.
      const isInUse = !isOwn && (old.contains(document.activeElement) || old.querySelector("details[open]"));
      if (now && now.innerHTML !== old.innerHTML && !isInUse) old.replaceWith(now);
    }
    isOwn = false;
  }

  document.addEventListener("filmdocket-refresh", refresh);
  setInterval(refresh, RELOAD_MS); // ages grow without events, and a browser without streams keeps up too
  if ("EventSource" in window) {
    const stream = new EventSource("/events");
    stream.addEventListener("changed", refresh);
    addEventListener("pagehide", () => stream.close());
  }
})();
