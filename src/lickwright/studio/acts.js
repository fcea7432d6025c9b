"use strict";
// What a hand does is told by the name of the thing it was done to.  While the hand was on its way
// the page may have been drawn anew; the same thing stands there again then, under the same name.
(() => {
  const words = (el) => (el.tagName === "BUTTON" ? el.getAttribute("aria-label") || el.textContent : "").trim();
  const tell = (el, kind, value) => window.lickwrightWire.tell("act", {
    number: Number(el.dataset.act), kind, key: el.dataset.key || "", words: words(el), value,
  });
  const pressable = (el) => (el && el.closest ? el.closest("button[data-act]") : null);
  let held = null; // what is pressed down, by the pointer or the space bar: {el, x, y}
  const take = (e) => { const el = pressable(e.target); held = el ? { el, x: e.clientX, y: e.clientY } : null; };
  // A button that went while it was held down hears no click; its like is meant, wherever the page
  // has it by now.
  const gone = () => { const was = held; held = null; return was && !was.el.isConnected ? was : null; };

  document.addEventListener("pointerdown", take, true);
  document.addEventListener("pointercancel", () => { held = null; }, true);
  document.addEventListener("pointerup", (e) => {
    const was = gone();
    if (was && Math.hypot(e.clientX - was.x, e.clientY - was.y) < 12) tell(was.el, "press", null);
  }, true);
  document.addEventListener("keydown", (e) => { if (e.key === " " && !e.repeat) take(e); }, true);
  document.addEventListener("keyup", (e) => {
    const was = e.key === " " ? gone() : null;
    if (was) tell(was.el, "press", null);
  }, true);

  document.addEventListener("click", (e) => {
    const here = pressable(e.target);
    if (here && here.type !== "submit") tell(here, "press", null);
  });
  // What is written in several lines is told at a short distance while it is being written.
  const WRITING_MS = 400;
  let writing = null; // what is about to be told: {box, value, timer}
  const written = () => {
    const was = writing;
    writing = null;
    if (!was) return;
    clearTimeout(was.timer);
    tell(was.box, "value", was.value);
  };
  document.addEventListener("input", (e) => {
    const box = e.target.closest("textarea[data-act]");
    if (!box) return;
    if (writing && writing.box.dataset.key !== box.dataset.key) written();
    if (!writing) writing = { timer: setTimeout(written, WRITING_MS) };
    writing.box = box;
    writing.value = box.value;
  });
  document.addEventListener("change", (e) => {
    const here = e.target.closest("[data-act]");
    if (!here || here.tagName === "FORM") return;
    if (writing && writing.box === here) { clearTimeout(writing.timer); writing = null; }
    if (here.type === "checkbox") tell(here, "tick", here.checked);
    else tell(here, "value", here.value);
  });
  document.addEventListener("submit", (e) => {
    if (!e.target.dataset.act) return;
    e.preventDefault();
    tell(e.target, "form", Array.from(e.target.querySelectorAll("input"), (box) => box.value));
  });
})();
