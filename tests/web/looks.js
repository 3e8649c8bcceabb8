({
  // WCAG 2.2, 2.5.8 and more: what is pressed at a station is 44 px tall at least.
  tooSmall() {
    const pressed = "button, select, .button, .choice, nav a, input:not([type=hidden]):not([type=radio])";
    return [...document.querySelectorAll(pressed)]
      .filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 44)
      .map((e) => e.outerHTML);
  },

  // WCAG 2.2, 1.4.3: contrast of each text against the nearest ground that is painted, by relative luminance.
  tooFaint() {
    const parse = (colour) => colour.match(/[\d.]+/g).map(Number);
    const linear = (v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
    const luminance = ([r, g, b]) => 0.2126 * linear(r / 255) + 0.7152 * linear(g / 255) + 0.0722 * linear(b / 255);
    const ground = (e) => {
      for (; e; e = e.parentElement) {
        const colour = parse(getComputedStyle(e).backgroundColor);
        if (colour.length < 4 || colour[3] > 0) return colour;
      }
      return [255, 255, 255];
    };
    const hasText = (e) => [...e.childNodes].some((n) => n.nodeType === Node.TEXT_NODE && n.data.trim());
    const contrast = (e) => {
      const pair = [luminance(parse(getComputedStyle(e).color)), luminance(ground(e))].sort((a, b) => b - a);
      return (pair[0] + 0.05) / (pair[1] + 0.05);
    };
    return [...document.querySelectorAll("main *, header *, footer *")]
      .filter((e) => !e.closest("svg") && e.checkVisibility() && hasText(e) && contrast(e) < 4.5)
      .map((e) => e.outerHTML.slice(0, 120));
  },
})
