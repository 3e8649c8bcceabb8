// Hears what a scanner types from the page's first line on: the page is drawn meanwhile, and nothing typed is lost.
"use strict";
(() => {
  const LEFT = "filmdocket-half-typed"; // the part of a scan that the page before this one has heard
  const GONE_MS = 3000;
  const early = [];
  let hear = null;

  function told(event) {
    const { key, ctrlKey, metaKey, target } = event;
    const isField = target instanceof HTMLInputElement && target.type !== "radio" || target instanceof HTMLSelectElement;
    return { key, ctrlKey, metaKey, isField, stop() { event.preventDefault(); } };
  }

  addEventListener("keydown", (event) => {
    const key = told(event);
    if (hear) { hear(key); return; }
    early.push(key);
    const isTyping = key.key.length === 1 || key.key === "Enter" || key.key === "Tab";
    if (isTyping && !key.isField && !key.ctrlKey && !key.metaKey) event.preventDefault();
  });

  function leftBefore() {
    try {
      const { text, at } = JSON.parse(sessionStorage.getItem(LEFT)) ?? {};
      sessionStorage.removeItem(LEFT);
      return at > Date.now() - GONE_MS ? text : "";
    } catch { return ""; }
  }

  window.filmdocketKeys = {
    // From now on `listener` hears each key, after all that came before it; returns what was begun on the page before.
    take(listener) {
      const begun = leftBefore();
      queueMicrotask(() => {
        hear = listener;
        for (const key of early.splice(0)) listener({ ...key, stop() {} });
      });
      return begun;
    },
    leave(text) {
      try {
        if (text) sessionStorage.setItem(LEFT, JSON.stringify({ text, at: Date.now() }));
      } catch { /* it is typed again */ }
    },
  };
})();
