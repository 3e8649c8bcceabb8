// Answers as one types: the page itself is fetched and its answers are laid in.
"use strict";
(() => {
  const field = document.getElementById("words");
  const form = document.getElementById("ask");
  let waiting = 0;
  let asking = null;

  async function ask() {
    const address = `/where?words=${encodeURIComponent(field.value)}`;
    asking?.abort();
    asking = new AbortController();
    try {
      const answer = await fetch(address, { signal: asking.signal });
      if (!answer.ok) { location.assign(address); return; }
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      document.getElementById("answers").replaceWith(fresh.getElementById("answers"));
      history.replaceState(null, "", address);
    } catch (error) {
      if (error.name !== "AbortError") form.dataset.failed = "1";
    }
  }

  field.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(ask, 120); });
  form.addEventListener("submit", (event) => { event.preventDefault(); clearTimeout(waiting); ask(); });
})();
