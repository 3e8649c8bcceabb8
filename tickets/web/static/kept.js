// Shows what waits in this device to be sent, and the scans that could not be booked when they arrived.
"use strict";
(() => {
  const box = document.getElementById("kept");
  const words = box.dataset;
  const store = window.filmdocketKept;
  let isOut = false;

  function made(tag, text, name = "") {
    const element = document.createElement(tag);
    element.textContent = text;
    if (name) element.className = name;
    return element;
  }

  function button(text, act, name = "quiet") {
    const key = made("button", text, name);
    key.type = "button";
    key.addEventListener("click", () => { key.disabled = true; act(); });
    return key;
  }

  function says({ asked, at }) {
    const time = new Date(at).toLocaleTimeString(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hour12: false });
    const numbers = [asked.good !== undefined && asked.good !== null ? `${asked.good} ${words.good}` : asked.spoiled ? "" : words.all,
      asked.spoiled ? `${asked.spoiled} ${words.spoiled}` : ""].filter(Boolean).join(", ");
    return `${time} · ${asked.station} · ${asked.code.slice(-40)} · ${numbers}`;
  }

  const counted = (count, one, many) => (count === 1 ? one : many).replace("{n}", String(count));

  async function draw() {
    const [waiting, questions] = [await store.waiting(), await store.questions()];
    const held = store.isAway() || waiting.some((one) => one.isLate) ? waiting : [];
    box.hidden = !held.length && !questions.length && !store.isAway();
    const parts = [];
    if (store.isAway()) parts.push(made("p", isOut ? words.out : words.away, "kept-away"));
    if (held.length) parts.push(made("p", counted(held.length, words.waitsOne, words.waitsMany), "kept-count"));
    if (questions.length) parts.push(made("p", counted(questions.length, words.questionOne, words.questionMany), "kept-count"));
    if (words.whole === undefined) {
      const link = made("a", words.look, "button quiet");
      link.href = "/kept";
      parts.push(link);
    } else parts.push(...questions.map(drawQuestion), drawWaiting(held));
    box.replaceChildren(...parts);
    document.body.dataset.kept = String(held.length);
    document.body.dataset.questions = String(questions.length);
  }

  function drawWaiting(held) {
    const list = made("ol", "", "lines kept-waiting");
    held.forEach((entry, at) => {
      const row = made("li", "", "line-row");
      row.append(made("div", says(entry)));
      // The first may have arrived without its answer having come back: it can only be undone later.
      if (at) row.append(button(words.takeOff, () => store.takeOff(entry.sequence)));
      list.append(row);
    });
    return list;
  }

  function drawQuestion(question) {
    const part = made("article", "", "docket kept-question");
    const acts = made("div", "", "kept-acts");
    const again = (more) => () => store.answer(question.sequence, more);
    part.append(made("h2", says(question)), made("p", question.told.says, "says"), made("p", question.told.do ?? ""), acts);
    // Refused for want of a name: it is sent again with the name of who is signed in now.
    const named = question.told.slug === "sign-in-needed" ? { by: window.filmdocketPerson.name() } : {};
    acts.append(button(words.again, () => again(named)(), ""));
    if (question.told.slug === "more-than-waits") acts.append(button(words.bookAll, again({ good: null })));
    if (question.told.do?.includes("--catch-up")) acts.append(button(words.missed, again({ catch_up: true })));
    acts.append(button(words.leaveOut, () => {
      const sure = button(words.sure, again(null), "");
      acts.replaceChildren(made("p", words.leaveOutSays), sure, button(words.no, draw));
      sure.focus();
    }));
    return part;
  }

  document.addEventListener("filmdocket-kept", draw);
  document.addEventListener("filmdocket-away", (event) => { isOut = event.detail === 401 || event.detail === 403; draw(); });
  draw();
})();
