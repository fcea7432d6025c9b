"use strict";
// For whoever practises: one track at a time, slower, a few bars round and round, and a line that
// runs over the tab while a mark shows the place on the neck.
const tracks = Array.from(document.querySelectorAll("audio"));
const FASTEST = 100, SLOWEST = 50;

const drawn = (svg, tag, facts) => {
  const shape = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(facts)) shape.setAttribute(name, value);
  shape.setAttribute("aria-hidden", "true");
  svg.append(shape);
  return shape;
};

// --- what is played now ---------------------------------------------------------------------------
class Follower {
  constructor(section) {
    const facts = JSON.parse(section.dataset.follow);
    this.bars = facts.bars;
    this.notes = facts.notes;
    [this.pair, this.swung] = facts.swung || [1, []];
    this.music = section.querySelector(".music");
    this.lines = Array.from(section.querySelectorAll(".systems > svg"), (svg) => {
      const box = svg.viewBox.baseVal;
      const high = { y: box.y, height: box.height, width: box.width / 320, x: 0 };
      const line = drawn(svg, "rect", { class: "lw-now-line", ...high });
      return { svg, line, box };
    });
    this.necks = Array.from(section.querySelectorAll(".necks svg"), (svg, at) => ({
      spot: drawn(svg, "circle", { class: "lw-now-spot", r: 19 }),
      roll: svg.closest(".roll"),
      ...facts.necks[at],
    }));
    this.clear();
  }

  clear() {
    this.at = -1;
    for (const { line } of this.lines) line.setAttribute("display", "none");
    for (const { spot } of this.necks) spot.setAttribute("display", "none");
  }

  // What is written where a swung line is at a moment; share: what the first of a pair takes.
  written(played, share) {
    const start = this.swung.findLast((pair) => pair <= played);
    const past = (played - start) / this.pair;
    if (start === undefined || past >= 1) return played;
    return start + this.pair * (past < share ? past / (2 * share) : 0.5 + (past - share) / (2 * (1 - share)));
  }

  // Show a moment, in written quarter notes from the first bar line.
  show(now) {
    let at = this.at >= 0 && this.notes[this.at][0] <= now ? this.at : -1;
    while (at + 1 < this.notes.length && this.notes[at + 1][0] <= now + 1e-4) at += 1;
    if (at < 0) { this.clear(); return; }
    const [onset, end, system, x, place] = this.notes[at];
    const next = this.notes[at + 1];
    const until = next ? next[0] : end;
    const share = Math.min(1, (now - onset) / Math.max(0.01, until - onset));
    const to = next && next[2] === system ? next[3] : x;
    const { line, box } = this.lines[system];
    line.setAttribute("x", box.x + box.width * (x + (to - x) * share) - box.width / 640);
    if (at === this.at) return;
    this.at = at;
    this.lines.forEach((each, index) => {
      each.line.setAttribute("display", index === system ? "inline" : "none");
    });
    this.uncover(this.lines[system].svg, x);
    for (const neck of this.necks) {
      const sounds = neck.spans.some(([from, to]) => from <= onset && onset < to);
      const where = sounds ? neck.places[place] : undefined;
      neck.spot.setAttribute("display", where ? "inline" : "none");
      if (!where) continue;
      neck.spot.setAttribute("cx", where[0]);
      neck.spot.setAttribute("cy", where[1]);
    }
  }

  // On a narrow screen the music scrolls sideways under the line.
  uncover(svg, x) {
    const room = this.music.clientWidth;
    if (this.music.scrollWidth <= room) return;
    const at = svg.getBoundingClientRect().left - this.music.getBoundingClientRect().left + x * svg.getBoundingClientRect().width;
    if (at < 0.1 * room || at > 0.8 * room) this.music.scrollLeft += at - 0.3 * room;
  }
}

// --- a track and its comforts ---------------------------------------------------------------------
const button = (words, label, act) => {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  made.setAttribute("aria-label", label);
  made.setAttribute("aria-pressed", "false");
  made.addEventListener("click", () => made.setAttribute("aria-pressed", String(act())));
  return made;
};
const choice = (words, options, chosen, tell) => {
  const label = document.createElement("label");
  const select = document.createElement("select");
  for (const [value, name] of options) select.add(new Option(name, value, false, value === chosen));
  select.addEventListener("change", () => tell(Number(select.value)));
  label.append(words + " ", select);
  return label;
};

const equip = (track, follower) => {
  const runs = JSON.parse(track.dataset.runs || "[]");
  const name = track.getAttribute("aria-label");
  const range = follower && runs.length === 1 && follower.bars.length > 1
    ? { first: 0, last: follower.bars.length - 1 } : null;
  const second = (quarters) => runs[0][0] + quarters * runs[0][2];
  const whole = () => !range || (range.first === 0 && range.last === follower.bars.length - 1);
  const from = () => (range && range.first > 0 ? second(follower.bars[range.first][1]) : 0);
  const to = () => (whole() || range.last === follower.bars.length - 1 ? Infinity : second(follower.bars[range.last][2]));
  let round = false, frame = 0;

  const tell = () => { track.loop = round && whole(); };
  const turn = () => {
    const now = track.currentTime;
    if (now >= to() || (track.ended && round)) {
      track.currentTime = from();
      if (!round) { track.pause(); return; }
      if (track.paused) track.play();
    }
    if (!follower) return;
    const run = runs.find(([music, end]) => music <= now && now < end);
    if (run) follower.show(follower.written((now - run[0]) / run[2], run[3] || 0.5));
    else follower.clear();
  };
  const step = () => { turn(); if (!track.paused) frame = requestAnimationFrame(step); };
  track.addEventListener("play", () => {
    for (const other of tracks) if (other !== track) other.pause();
    if (track.currentTime < from() - 0.01 || track.currentTime >= to()) track.currentTime = from();
    cancelAnimationFrame(frame);
    step();
  });
  track.addEventListener("seeked", () => { if (track.paused && track.currentTime > 0) turn(); });
  track.addEventListener("ended", () => { if (round) turn(); else if (follower) follower.clear(); });
  // A page in the background draws nothing, but still has to turn at the end of a range.
  track.addEventListener("timeupdate", () => { if (!track.paused && document.hidden) turn(); });

  const row = track.closest("li").querySelector(".name");
  row.append(button("Loop", "Loop: " + name, () => { round = !round; tell(); return round; }));
  const more = document.createElement("div");
  more.className = "more";
  const speeds = [];
  for (let percent = FASTEST; percent >= SLOWEST; percent -= 10) speeds.push([percent, percent + " %"]);
  more.append(choice("Speed", speeds, FASTEST, (percent) => { track.playbackRate = percent / 100; }));
  if (range) {
    const bars = follower.bars.map(([number], at) => [at, String(number)]);
    const set = (first, last) => {
      range.first = Math.min(first, last);
      range.last = Math.max(first, last);
      firsts.value = range.first;
      lasts.value = range.last;
      tell();
    };
    const first = choice("Bars", bars, 0, (at) => set(at, Math.max(at, range.last)));
    const last = choice("to", bars, range.last, (at) => set(Math.min(at, range.first), at));
    const firsts = first.querySelector("select"), lasts = last.querySelector("select");
    more.append(first, last);
  }
  for (const select of more.querySelectorAll("select")) {
    select.setAttribute("aria-label", select.parentNode.textContent.trim().split(" ")[0] + ": " + name);
  }
  track.after(more);
};

for (const section of document.querySelectorAll(".example")) {
  const follower = section.dataset.follow ? new Follower(section) : null;
  for (const track of section.querySelectorAll("audio")) equip(track, follower);
}
