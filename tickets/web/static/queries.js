// The repairs of a question are tried when somebody opens them; new artwork shows how far its sending is.
"use strict";
(() => {
  // Asked on the whole document: the page's contents are exchanged after a sending. A toggle doesn't bubble.
  document.addEventListener("toggle", ({ target }) => {
    if (target.matches("details[data-from]") && target.open && !target.dataset.asked) lay(target);
  }, true);
  document.addEventListener("submit", (event) => {
    if (!event.target.matches("form[data-sending]")) return;
    event.preventDefault();
    send(event.target);
  });

  async function lay(part) {
    part.dataset.asked = "1";
    const told = part.querySelector("[role=status]");
    told.textContent = part.dataset.loading;
    part.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(part.dataset.from, { headers: { Accept: "text/html" } });
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      const found = fresh.querySelector(".repairs") ?? fresh.querySelector(".problem");
      if (!found) { location.assign(part.dataset.from); return; }
      part.querySelector(".repairs-here").replaceChildren(found);
      told.textContent = "";
    } catch {
      delete part.dataset.asked; // opened again, it is tried again
      told.textContent = part.dataset.failed;
    }
    part.removeAttribute("aria-busy");
  }

  async function send(form) {
    const words = form.dataset;
    const told = form.querySelector("[role=status]");
    const button = form.querySelector("button");
    const file = form.querySelector("input[type=file]").files[0];
    if (file && file.size > Number(words.largest)) { told.textContent = words.tooLarge; return; }
    told.replaceChildren();
    button.disabled = true; // a second press would send it twice
    const request = new XMLHttpRequest();
    request.open("POST", form.action);
    request.responseType = "document";
    await sendShown(request, new FormData(form), told, words, file?.name ?? "");
    button.disabled = false;
    const fresh = request.response?.getElementById("page");
    if (!fresh) { told.textContent = words.failed; return; }
    document.getElementById("page").replaceWith(fresh); // with what was said, which the server says once
    const news = fresh.querySelector("[role=status], .problem");
    news?.setAttribute("tabindex", "-1");
    news?.focus();
  }
})();
