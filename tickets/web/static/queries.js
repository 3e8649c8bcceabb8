// The repairs of a question are tried when somebody opens them, and laid into the page.
"use strict";
(() => {
  for (const part of document.querySelectorAll("details[data-from]")) {
    part.addEventListener("toggle", () => { if (part.open && !part.dataset.asked) lay(part); });
  }

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
})();
