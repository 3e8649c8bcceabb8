// Sends a body and shows how far it is: in words beside a bar, which goes when the request is over.
"use strict";
window.sendShown = (request, body, told, words, name) => new Promise((over) => {
  const bar = document.createElement("progress");
  bar.max = 100;
  bar.setAttribute("aria-label", name);
  told.after(bar);
  request.upload.addEventListener("progress", (event) => {
    bar.value = event.total ? Math.floor(100 * event.loaded / event.total) : 0;
    told.textContent = `${words.sending}: ${bar.value} %`;
  });
  request.upload.addEventListener("load", () => {
    if (!words.checking) return;
    bar.removeAttribute("value"); // how long that takes is not known
    told.textContent = words.checking;
  });
  request.addEventListener("loadend", () => { bar.remove(); over(); });
  request.send(body);
});
