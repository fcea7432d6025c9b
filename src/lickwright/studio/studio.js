"use strict";
// What must happen in the browser itself: marks on the page, the playhead, focus that survives.
window.lickwright = (() => {
  const $ = (id) => document.getElementById(id);
  const tell = window.lickwrightWire.tell;
  let chosen = null; // index of the chosen note
  let facts = { heads: [], notes: [], faults: [], necks: [] };

  // --- focus and typing outlive a room that is drawn anew ----------------------------------------
  let lastKey = null;
  let typing = null; // what stands in a box and was not told yet: {key, value, from, to}
  const keyOf = (el) => (el && el.dataset ? el.dataset.key || null : null);
  document.addEventListener("focusin", (e) => { lastKey = keyOf(e.target); });
  document.addEventListener("pointerdown", (e) => { if (!e.target.closest("[data-key]")) lastKey = null; });
  document.addEventListener("input", (e) => {
    const box = e.target;
    if (!keyOf(box) || !["INPUT", "TEXTAREA"].includes(box.tagName) || box.type === "checkbox") return;
    typing = { key: keyOf(box), value: box.value, from: box.selectionStart, to: box.selectionEnd };
  }, true);
  // A box that is taken away says that it changed, too; nobody hears that.
  document.addEventListener("change", (e) => {
    const told = typing;
    setTimeout(() => { if (e.target.isConnected && typing === told) typing = null; }, 0);
  }, true);
  // A box that took typing over from the one before it has nothing to tell by itself.
  const tellTyping = (box) => {
    if (typing && box.isConnected && keyOf(box) === typing.key) {
      box.dispatchEvent(new Event("change", { bubbles: true }));
    }
  };
  document.addEventListener("focusout", (e) => { setTimeout(() => tellTyping(e.target), 0); });
  document.addEventListener("keyup", (e) => { if (e.key === "Enter" && e.target.tagName === "INPUT") tellTyping(e.target); });
  const refocus = () => {
    if (!lastKey || (document.activeElement && document.activeElement !== document.body)) return;
    const again = document.querySelector(`[data-key="${CSS.escape(lastKey)}"]`);
    if (!again) return;
    again.focus({ preventScroll: true });
    if (!typing || typing.key !== lastKey) return;
    again.value = typing.value;
    if (typing.from !== null) again.setSelectionRange(typing.from, typing.to);
  };
  // At once after the page was changed, before the next key can fall into nothing.
  document.addEventListener("DOMContentLoaded", () => {
    new MutationObserver(refocus).observe(document.body, { childList: true, subtree: true });
  });

  // --- marks over the page ------------------------------------------------------------------------
  const systems = () => Array.from(document.querySelectorAll("#music .system"));
  const overlay = (system) => {
    let layer = system.querySelector(".overlay");
    if (!layer) { layer = document.createElement("div"); layer.className = "overlay"; system.append(layer); }
    return layer;
  };
  const place = (classes, head) => {
    const system = systems()[head[0]];
    if (!system) return null;
    const mark = document.createElement("div");
    mark.className = classes;
    mark.style.left = 100 * head[3] + "%";
    mark.style.top = 100 * head[4] + "%";
    overlay(system).append(mark);
    return mark;
  };
  const markNotes = () => {
    document.querySelectorAll("#music .pick, #music .flag").forEach((el) => el.remove());
    for (const head of facts.heads) if (head[1] === chosen) place("pick", head);
    const flagged = new Set();
    for (const [note, severity] of facts.faults) {
      const head = facts.heads.find((h) => h[1] === note && !h[2]);
      if (!head || flagged.has(note)) continue;
      flagged.add(note);
      const mark = place("flag " + severity, head);
      if (mark) mark.textContent = "!";
    }
  };
  const nearest = (event) => {
    let best = null, least = 28;
    for (const head of facts.heads) {
      const system = systems()[head[0]];
      if (!system) continue;
      const box = system.getBoundingClientRect();
      const away = Math.hypot(box.left + head[3] * box.width - event.clientX, box.top + head[4] * box.height - event.clientY);
      if (away < least) { least = away; best = head[1]; }
    }
    return best;
  };
  const choose = (note, isNews) => {
    chosen = note;
    markNotes();
    if (isNews) tell("note", note);
  };
  const onMusicKey = (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const last = facts.notes.length - 1;
    let to = null;
    if (e.key === "ArrowRight") to = chosen === null ? 0 : Math.min(last, chosen + 1);
    else if (e.key === "ArrowLeft") to = chosen === null ? 0 : Math.max(0, chosen - 1);
    else if (e.key === "Home") to = 0;
    else if (e.key === "End") to = last;
    if (to !== null) { e.preventDefault(); choose(to, true); return; }
    if (chosen === null) return;
    const deeds = { ArrowUp: "higher", ArrowDown: "lower", d: "D", u: "U", 0: "free", 1: "1", 2: "2", 3: "3", 4: "4", s: "string" };
    if (deeds[e.key] !== undefined) { e.preventDefault(); tell("deed", deeds[e.key]); }
  };
  // --- sound -----------------------------------------------------------------------------------------
  let audio = null, gains = {}, sources = [], sound = null, frame = 0;
  let run = null; // {began, from, to, loop}
  const wanted = { lead: true, backing: true, click: false };
  const context = () => {
    if (!audio) {
      audio = new AudioContext();
      for (const part of ["lead", "backing", "click"]) {
        gains[part] = audio.createGain();
        gains[part].connect(audio.destination);
        gains[part].gain.value = wanted[part] ? 1 : 0;
      }
    }
    return audio;
  };
  const fetchSound = async (address, parts) => {
    const ctx = context();
    const buffers = {};
    await Promise.all(parts.map(async (part) => {
      const answer = await fetch(address + part + ".wav");
      if (!answer.ok) throw new Error("the sound could not be fetched");
      buffers[part] = await ctx.decodeAudioData(await answer.arrayBuffer());
    }));
    return buffers;
  };
  const stop = () => {
    for (const source of sources) { try { source.stop(); } catch (e) { /* it had ended */ } }
    sources = [];
    run = null;
    cancelAnimationFrame(frame);
    clearMoving();
    const state = $("play-state");
    if (state) state.textContent = "Stopped.";
  };
  const start = (buffers, from, to, loop, follows) => {
    stop();
    const ctx = context();
    ctx.resume();
    const at = ctx.currentTime + 0.06;
    for (const part of Object.keys(buffers)) {
      const source = ctx.createBufferSource();
      source.buffer = buffers[part];
      source.connect(gains[part]);
      if (loop) { source.loop = true; source.loopStart = from; source.loopEnd = to; source.start(at, from); }
      else source.start(at, from, to - from);
      sources.push(source);
    }
    run = { at, from, to, loop };
    if (follows) tick();
  };
  // What moves while it plays is made once; a frame only moves it.
  let moving = null;
  const mark = (host, classes) => {
    const made = document.createElement("div");
    made.className = classes;
    made.hidden = true;
    overlay(host).append(made);
    return made;
  };
  const makeMoving = () => {
    const rows = systems().map((system) => ({ line: mark(system, "playhead"), x: new Map() }));
    for (const head of facts.heads) {
      if (head[2] && rows[head[0]] && !rows[head[0]].x.has(head[1])) rows[head[0]].x.set(head[1], head[3]);
    }
    const necks = Array.from(document.querySelectorAll(".neck-box"), (box) => ({ box, spot: mark(box, "spot") }));
    return { rows, necks, note: -2, neck: -1 };
  };
  const clearMoving = () => {
    if (!moving) return;
    for (const row of moving.rows) row.line.remove();
    for (const neck of moving.necks) neck.spot.remove();
    moving = null;
  };
  // What is written where a swung line is at a moment, in quarter notes.
  const written = (played) => {
    const [share, pair, swung] = sound.swing || [0.5, 1, []];
    const start = swung.findLast((begin) => begin <= played + 1e-6);
    const past = (played - start) / pair;
    if (start === undefined || past >= 1) return played;
    return start + pair * (past < share ? past / (2 * share) : 0.5 + (past - share) / (2 * (1 - share)));
  };
  const tick = () => {
    if (!run || !sound) return;
    let s = audio.currentTime - run.at;
    if (run.loop) s = s < 0 ? 0 : s % (run.to - run.from);
    else if (s > run.to - run.from) { stop(); return; }
    const now = written((run.from + Math.max(0, s) - sound.start) / sound.quarter);
    if (!moving || (moving.rows[0] && !moving.rows[0].line.isConnected)) { clearMoving(); moving = makeMoving(); }
    let at = -1;
    for (let i = 0; i < facts.notes.length && facts.notes[i][0] <= now + 1e-6; i++) at = i;
    const note = facts.notes[at];
    if (note) {
      const after = facts.notes[at + 1];
      const share = Math.min(1, (now - note[0]) / Math.max(0.01, (after ? after[0] : note[1]) - note[0]));
      for (const row of moving.rows) {
        const here = row.x.get(at), next = row.x.get(at + 1);
        row.line.hidden = here === undefined;
        if (here !== undefined) row.line.style.left = 100 * (here + (next === undefined ? 0 : (next - here) * share)) + "%";
      }
      if (at !== moving.note) showOnNeck(note, now);
      moving.note = at;
    }
    frame = requestAnimationFrame(tick);
  };
  const showOnNeck = (note, now) => {
    const which = facts.necks.findIndex((neck) => neck[0] <= now && now < neck[1]);
    const where = which >= 0 ? facts.necks[which][2][note[2]] : undefined;
    moving.necks.forEach((neck, index) => { neck.spot.hidden = index !== which || !where; });
    if (!where || !moving.necks[which]) return;
    const { box, spot } = moving.necks[which];
    spot.style.left = 100 * where[0] + "%";
    spot.style.top = 100 * where[1] + "%";
    if (which === moving.neck) return;
    moving.neck = which;
    const roll = $("necks");
    roll.scrollLeft += box.getBoundingClientRect().left - roll.getBoundingClientRect().left;
  };
  const say = (words) => { const state = $("play-state"); if (state) state.textContent = words; };

  // --- keys that work everywhere -------------------------------------------------------------------
  document.addEventListener("keydown", (e) => {
    const typing = /^(INPUT|TEXTAREA|SELECT)$/.test(e.target.tagName) && !["checkbox", "range"].includes(e.target.type);
    if ((e.ctrlKey || e.metaKey) && !typing) {
      const key = e.key.toLowerCase();
      if (key === "z") { e.preventDefault(); tell("undo", e.shiftKey ? "redo" : "undo"); }
      if (key === "y") { e.preventDefault(); tell("undo", "redo"); }
    }
    if (e.altKey && !e.ctrlKey && /^[1-6]$/.test(e.key)) { e.preventDefault(); tell("room", Number(e.key)); }
    if (e.target.closest && e.target.closest("#music")) onMusicKey(e);
    const browse = e.target.closest && e.target.closest("[data-browse]");
    if (browse && !typing && e.key.startsWith("Arrow")) {
      e.preventDefault();
      tell("browse", e.key.slice(5).toLowerCase());
    }
  });
  document.addEventListener("click", (e) => {
    const petal = e.target.closest("[data-bass]");
    if (petal) tell("bass", petal.dataset.bass);
    const thread = e.target.closest("[data-pair]");
    if (thread) tell("pair", Number(thread.dataset.pair));
    if (e.target.closest("#music")) {
      const note = nearest(e);
      if (note !== null) choose(note, true);
    }
  });

  return {
    // New facts of the page; called after the page was put in.
    show(next) {
      facts = next;
      if (chosen !== null && chosen >= facts.notes.length) chosen = null;
      requestAnimationFrame(markNotes);
    },
    choose(note) { choose(note, false); },
    width() { return document.documentElement.clientWidth; },
    want(part, on) { wanted[part] = on; if (gains[part]) gains[part].gain.value = on ? 1 : 0; },
    async load(next) {
      stop();
      sound = next;
      try {
        sound.buffers = await fetchSound(next.address, ["lead", "backing", "click"]);
        say("Ready.");
        if (next.play) this.play(...next.play);
      } catch (error) { say("The sound could not be fetched. Try again."); }
    },
    play(from, to, loop) {
      if (!sound || !sound.buffers) return;
      const a = sound.start + from * sound.quarter, b = sound.start + to * sound.quarter;
      start(sound.buffers, a, loop ? b : Math.min(b + (to >= sound.length ? 1.5 : 0), sound.buffers.lead.duration), loop, true);
      say("Playing.");
    },
    async hear(address) {
      try {
        const buffers = await fetchSound(address, ["lead", "backing"]);
        const was = { ...wanted };
        this.want("lead", true); this.want("backing", true);
        start(buffers, 0, buffers.lead.duration, false, false);
        wanted.lead = was.lead; wanted.backing = was.backing;
      } catch (error) { say("The sound could not be fetched. Try again."); }
    },
    stop,
    say,
    playing() { return run !== null; },
  };
})();
