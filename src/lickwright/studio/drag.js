"use strict";
// Dragging a triad over the whole neck in Place.  A ghost stands under the pointer at the nearest
// place where the triad can really lie; letting go there tells the lesson, Esc lets it be.
window.lickwrightDrag = (() => {
  const $ = (id) => document.getElementById(id);
  let facts = null; // see _facts in place_neck.py
  let held = null; // what is dragged: {pointer, voice, grip, from, at, move}
  let frame = 0;
  let told = "", usual = ""; // the facts as text; what is said while nothing is dragged
  const FORM_PX = 34; // what another form of shape costs, for each note and string that differs
  const EDGE_PX = 44; // nearer than this to its edge the neck rolls on
  const shareOf = (place) => facts.points[place];
  const neck = () => $("board-neck");
  const say = (words) => { const said = $("board-said"); if (said) said.textContent = words; };

  const marked = (place, classes) => {
    const mark = document.createElement("div");
    mark.className = classes;
    mark.style.left = 100 * shareOf(place)[0] + "%";
    mark.style.top = 100 * shareOf(place)[1] + "%";
    return mark;
  };
  const layer = (name) => {
    const made = document.createElement("div");
    made.className = name;
    made.setAttribute("aria-hidden", "true"); // keys and buttons do the same
    neck().append(made);
    return made;
  };
  const grips = () => {
    const over = layer("grips");
    facts.moves.forEach((moves, voice) => {
      if (!moves.length) return;
      for (const place of facts.shapes[voice]) {
        const grip = marked(place, "grip");
        grip.dataset.voice = voice;
        grip.dataset.place = place;
        over.append(grip);
      }
    });
  };
  const middle = (shape, box) => {
    let x = 0, y = 0;
    for (const place of shape) { x += shareOf(place)[0] * box.width; y += shareOf(place)[1] * box.height; }
    return [x / shape.length, y / shape.length];
  };
  const strings = (shape) => new Set(shape.map((place) => place.split("/")[0]));
  const unlike = (a, b) => {
    const one = strings(a), other = strings(b);
    return Math.abs(a.length - b.length) + Math.abs(one.size - other.size);
  };
  const frets = (shape) => {
    const all = shape.map((place) => Number(place.split("/")[1]));
    const low = Math.min(...all), high = Math.max(...all);
    return low === high ? `fret ${low}` : `frets ${low} to ${high}`;
  };
  // The move whose shape lies nearest to where the hand holds it; null where it lies already.
  const nearest = (x, y) => {
    const box = neck().getBoundingClientRect();
    const own = facts.shapes[held.voice];
    const wanted = [x - box.left - held.from[0], y - box.top - held.from[1]];
    const away = (shape) => {
      const at = middle(shape, box);
      return Math.hypot(at[0] - wanted[0], at[1] - wanted[1]) + FORM_PX * unlike(shape, own);
    };
    let best = null, least = away(own);
    for (const move of facts.moves[held.voice]) {
      const far = away(move[1][held.voice]);
      if (far < least) { least = far; best = move; }
    }
    return best;
  };
  const wipe = () => neck() && neck().querySelectorAll(".ghosts").forEach((el) => el.remove());
  const show = (move) => {
    wipe();
    const over = layer("ghosts");
    const said = [];
    facts.names.forEach((name, voice) => {
      const shape = move ? move[1][voice] : facts.shapes[voice];
      const moved = shape.join() !== facts.shapes[voice].join();
      if (voice !== held.voice && !moved) return;
      for (const place of shape) over.append(marked(place, `ghost g${voice}`));
      const comes = voice === held.voice ? "" : " comes along";
      said.push(move ? `${name}${comes}: ${move[2][voice]} mm between its outer fingers, ${frets(shape)}` : `${name} stays where it is`);
    });
    say(said.join(". ") + ". Esc lets go.");
  };
  const follow = () => {
    const move = nearest(...held.at);
    if (move === held.move && held.shown) return;
    held.move = move;
    held.shown = true;
    show(move);
  };
  const roll = () => {
    if (!held) return;
    const view = neck().parentElement, box = view.getBoundingClientRect();
    const left = held.at[0] - box.left, right = box.right - held.at[0];
    const by = left < EDGE_PX ? left - EDGE_PX : right < EDGE_PX ? EDGE_PX - right : 0;
    if (by) {
      const was = view.scrollLeft;
      view.scrollLeft += by / 4;
      if (view.scrollLeft !== was) follow();
    }
    frame = requestAnimationFrame(roll);
  };
  const letGo = () => {
    if (!held) return;
    held = null;
    cancelAnimationFrame(frame);
    wipe();
    document.body.classList.remove("dragging");
    say(usual);
  };

  document.addEventListener("pointerdown", (e) => {
    const grip = e.target.closest(".grip");
    if (!grip || held || !e.isPrimary || e.button !== 0) return;
    e.preventDefault(); // no text is chosen on the way
    const view = neck().parentElement;
    view.focus({ preventScroll: true });
    const voice = Number(grip.dataset.voice), box = neck().getBoundingClientRect();
    const at = middle(facts.shapes[voice], box);
    held = {
      pointer: e.pointerId, voice, move: null, shown: false, at: [e.clientX, e.clientY],
      from: [e.clientX - box.left - at[0], e.clientY - box.top - at[1]],
    };
    grip.setPointerCapture(e.pointerId);
    document.body.classList.add("dragging");
    follow();
    frame = requestAnimationFrame(roll);
  });
  document.addEventListener("pointermove", (e) => {
    if (!held || e.pointerId !== held.pointer) return;
    held.at = [e.clientX, e.clientY];
    follow();
  });
  document.addEventListener("pointerup", (e) => {
    if (!held || e.pointerId !== held.pointer) return;
    held.at = [e.clientX, e.clientY];
    follow();
    const move = held.move;
    letGo();
    if (move) window.lickwrightWire.tell("drop", [facts.example, move[0]]);
  });
  document.addEventListener("pointercancel", (e) => { if (held && e.pointerId === held.pointer) letGo(); });
  document.addEventListener("keydown", (e) => {
    if (held && e.key === "Escape") { e.preventDefault(); letGo(); }
  });

  return {
    // New facts of the neck; called after it was put in.
    show(next) {
      const text = JSON.stringify(next);
      if (text === told && neck() && neck().querySelector(".grips")) return; // a hand may be dragging
      told = text;
      letGo();
      facts = next;
      requestAnimationFrame(() => {
        if (facts !== next || !neck()) return;
        usual = $("board-said").textContent;
        neck().querySelectorAll(".grips, .ghosts").forEach((el) => el.remove());
        grips();
        const view = neck().parentElement, box = neck().getBoundingClientRect();
        view.scrollLeft = middle(facts.shapes.flat(), box)[0] - view.clientWidth / 2;
      });
    },
  };
})();
