// A scanner is a keyboard: whatever is typed anywhere on the page, up to Enter or Tab, is a scan or a number.
"use strict";
(() => {
  const desk = document.getElementById("desk");
  const words = desk.dataset;
  const shown = (id) => document.getElementById(id);
  const store = window.filmdocketKept;
  const LONGEST_NUMBER = 4; // a code has seven characters
  let typed = "";
  let count = null; // pieces that the next scan is about; null: all that wait
  let isSpoiled = false;

  desk.querySelector(".scripted").hidden = false;

  function hear(event) {
    if (event.ctrlKey && event.key !== "j" || event.metaKey || event.isField) return;
    if (event.key === "Enter" || event.key === "Tab" || (event.ctrlKey && event.key === "j")) {
      if (!typed) return; // with nothing typed, Enter and Tab do what they do on every page
      event.stop();
      const whole = typed;
      typed = "";
      take(whole);
    } else if (event.key === "Escape") {
      typed = "";
      choose(null, false);
    } else if (event.key === "Backspace") {
      typed = typed.slice(0, -1);
    } else if (event.key.length === 1 && (typed || event.key !== " ")) {
      event.stop();
      typed += event.key;
    }
    shown("typed").textContent = typed.slice(-24);
  }
  typed = window.filmdocketKeys.take(hear);
  addEventListener("pagehide", () => window.filmdocketKeys.leave(typed));

  addEventListener("paste", (event) => {
    if (event.target instanceof HTMLInputElement) return;
    const text = event.clipboardData.getData("text").trim();
    if (text) take(text);
  });

  function take(text) {
    const number = text.trim();
    if (/^\d+$/.test(number) && number.length <= LONGEST_NUMBER) choose(Number(number), isSpoiled);
    else send(text);
  }

  function choose(pieces, spoiled) {
    count = pieces;
    isSpoiled = spoiled;
    const what = spoiled ? `${pieces ?? 1} ${words.spoiled}` : pieces === null ? words.all : `${pieces} ${words.good}`;
    shown("next").textContent = what;
    shown("spoil").setAttribute("aria-pressed", String(spoiled));
    shown("reasons").hidden = !spoiled;
  }

  function send(text) {
    const asked = { code: text, station: words.station };
    if (isSpoiled) {
      asked.spoiled = count ?? 1;
      asked.why = document.querySelector("#reasons input:checked").value;
    } else if (count !== null) asked.good = count;
    choose(null, false);
    store.scan(asked).then(show, () => tell("refused", words.noAnswer, ""));
  }

  function show({ state, told }) {
    if (state === "kept") tell(state, words.keptSays, words.keptDo);
    else if (state === "away") tell("refused", words.undoAway, "");
    else tell(state, told.says, told.do ?? "");
    sayKeyboard(told?.keyboard);
    if (state !== "kept") document.dispatchEvent(new Event("filmdocket-refresh"));
  }

  // A scanner that is set to another keyboard is told of until somebody has understood it, then never again.
  const KEYBOARD = "filmdocket-keyboard";
  function sayKeyboard(says) {
    const box = shown("keyboard");
    let known = null;
    try { known = localStorage.getItem(KEYBOARD); } catch { /* it is told again */ }
    if (!says || says === known) return;
    box.querySelector("p").textContent = says;
    box.hidden = false;
  }
  shown("keyboard").querySelector("button").addEventListener("click", () => {
    const box = shown("keyboard");
    box.hidden = true;
    try { localStorage.setItem(KEYBOARD, box.querySelector("p").textContent); } catch { /* as above */ }
  });

  const LOOKS = { booked: ["done", "✓"], kept: ["kept-here", "…"], asked: ["not-done", "?"], refused: ["not-done", "✕"] };
  function tell(state, says, what) {
    const box = shown("answer");
    const [name, shape] = LOOKS[state];
    box.className = `answer ${name}`;
    box.querySelector(".shape").textContent = shape;
    box.querySelector(".answer-word").textContent = words[state === "asked" ? "refused" : state];
    box.querySelector(".answer-says").textContent = says;
    box.querySelector(".answer-do").textContent = what;
    sound(state);
  }

  // Two rising notes: booked. Two alike: kept here. One low, long one: not booked.
  const NOTES = { booked: [[880, 0, 0.09], [1320, 0.1, 0.12]], kept: [[660, 0, 0.09], [660, 0.15, 0.09]], refused: [[150, 0, 0.55]] };
  let player = null;
  function sound(state) {
    try {
      player ??= new AudioContext();
      for (const [pitch, start, length] of NOTES[state] ?? NOTES.refused) {
        const tone = player.createOscillator();
        tone.type = state === "booked" || state === "kept" ? "sine" : "sawtooth";
        tone.frequency.value = pitch;
        tone.connect(player.destination);
        tone.start(player.currentTime + start);
        tone.stop(player.currentTime + start + length);
      }
    } catch { /* no sound here: the words and the shape say it */ }
  }

  desk.addEventListener("click", (event) => {
    const key = event.target.closest("button");
    if (!key) return;
    if (key.id === "spoil") choose(count, !isSpoiled);
    else if (key.dataset.count !== undefined) choose(key.dataset.count ? Number(key.dataset.count) : null, isSpoiled && !!key.dataset.count);
    key.blur(); // the next Enter is a scanner's
  });
  desk.addEventListener("change", (event) => event.target.blur());

  document.addEventListener("submit", (event) => {
    const code = event.target.dataset.undo;
    if (!code) return;
    event.preventDefault();
    document.activeElement?.blur();
    store.undo(code).then((outcome) => {
      if (outcome.state === "kept") tell("refused", words.undoWaits, "");
      else show(outcome);
    });
  });
})();
