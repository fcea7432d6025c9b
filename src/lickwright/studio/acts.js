"use strict";
// What a hand does is told by the name of the thing it was done to.  While the hand was on its way
// the page may have been drawn anew; the same thing stands there again then, under the same name.
(() => {
  const words = (el) => (el.tagName === "BUTTON" ? el.getAttribute("aria-label") || el.textContent : "").trim();
  const alike = (a, b) => a && b && a.dataset.key === b.dataset.key && words(a) === words(b);
  const tell = (el, kind, value) => emitEvent("lw-act", {
    number: Number(el.dataset.act), kind, key: el.dataset.key || "", words: words(el), value,
  });
  const pressable = (el) => (el && el.closest ? el.closest("button[data-act]") : null);
  let held = null; // the button under the finger, or that of the space bar

  document.addEventListener("pointerdown", (e) => { held = pressable(e.target); }, true);
  document.addEventListener("pointercancel", () => { held = null; }, true);
  // A button that went while it was held down hears no click; its like under the finger is meant.
  document.addEventListener("pointerup", (e) => {
    const gone = held && !held.isConnected ? held : null;
    held = null;
    const here = gone && pressable(document.elementFromPoint(e.clientX, e.clientY));
    if (gone && alike(gone, here) && !here.disabled) tell(here, "press", null);
  }, true);
  document.addEventListener("keydown", (e) => { if (e.key === " ") held = pressable(e.target); }, true);
  document.addEventListener("keyup", (e) => {
    const gone = e.key === " " && held && !held.isConnected ? held : null;
    if (e.key === " ") held = null;
    const here = gone && pressable(e.target);
    if (gone && alike(gone, here) && !here.disabled) tell(here, "press", null);
  }, true);

  document.addEventListener("click", (e) => {
    const here = pressable(e.target);
    if (here && here.type !== "submit") tell(here, "press", null);
  });
  document.addEventListener("change", (e) => {
    const here = e.target.closest("[data-act]");
    if (!here || here.tagName === "FORM") return;
    if (here.type === "checkbox") tell(here, "tick", here.checked);
    else tell(here, "value", here.value);
  });
  document.addEventListener("submit", (e) => {
    if (!e.target.dataset.act) return;
    e.preventDefault();
    tell(e.target, "form", Array.from(e.target.querySelectorAll("input"), (box) => box.value));
  });
})();
