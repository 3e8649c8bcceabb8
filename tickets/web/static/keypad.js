// A keypad for gloves; the keyboard types into the same field. After wrong PINs it waits as long as the page says.
"use strict";
(() => {
  const form = document.getElementById("pin-form");
  const field = document.getElementById("pin");
  const send = document.getElementById("pin-send");
  const word = send.textContent;

  form.querySelector(".keypad").hidden = false;
  field.inputMode = "none"; // no second keypad over this one
  field.focus();

  form.addEventListener("click", ({ target }) => {
    const key = target.closest("button[type=button]");
    if (!key) return;
    if (key.dataset.digit !== undefined) field.value += key.dataset.digit;
    else field.value = key.dataset.back === undefined ? "" : field.value.slice(0, -1);
    field.focus();
  });

  const ends = Date.now() + Number(form.dataset.wait) * 1000;
  function count() {
    const left = Math.ceil((ends - Date.now()) / 1000);
    send.disabled = left > 0;
    send.textContent = left > 0 ? form.dataset.waitWord.replace("{n}", String(left)) : word;
    if (left > 0) setTimeout(count, 250);
  }
  count();
  form.addEventListener("submit", (event) => { if (Date.now() < ends) event.preventDefault(); });
})();
