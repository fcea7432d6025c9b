"use strict";
// Two comforts for whoever practises: one track at a time, and a loop button for each.
const tracks = Array.from(document.querySelectorAll("audio"));
for (const track of tracks) {
  track.addEventListener("play", () => {
    for (const other of tracks) if (other !== track) other.pause();
  });
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = "Loop";
  button.setAttribute("aria-pressed", "false");
  button.setAttribute("aria-label", "Loop: " + track.getAttribute("aria-label"));
  button.addEventListener("click", () => {
    track.loop = !track.loop;
    button.setAttribute("aria-pressed", String(track.loop));
  });
  track.closest("li").querySelector(".name").append(button);
}
