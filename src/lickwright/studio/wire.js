"use strict";
// What hands do reaches the studio in order and once, even where the connection breaks or drags:
// each deed has a number, is kept here until the studio says that it has it, and is told again
// until then (``acts.py`` takes only the one whose turn it is, and asks for those before it).
window.lickwrightWire = (() => {
  const AGAIN_MS = 2000; // nothing was told or heard for so long: tell it again
  const LOOK_MS = 500;
  const from = Array.from(crypto.getRandomValues(new Uint32Array(4)), (n) => n.toString(36)).join("");
  const kept = []; // told, and not known to have arrived
  let count = 0;
  let since = 0; // when something was last told or heard
  const send = (said) => {
    if (!window.lickwrightPage.isConnected()) return; // it is told when it can be
    since = Date.now();
    window.lickwrightPage.tell("lw-said", said);
  };
  const again = () => kept.forEach(send);
  setInterval(() => {
    if (kept.length && Date.now() - since > AGAIN_MS) again();
  }, LOOK_MS);
  return {
    tell(deed, value) {
      const said = { from, number: ++count, deed, value };
      kept.push(said);
      send(said);
    },
    heard(number) {
      since = Date.now();
      while (kept.length && kept[0].number <= number) kept.shift();
    },
    again,
  };
})();
