"use strict";
// All that we need of the page library in the browser beyond what it documents, in one place.
// Tried with NiceGUI 3.18: its socket is `window.socket`, and `window.did_handshake` says that the
// page is known at the other end.  pyproject.toml asks for that version and no later one;
// tests/studio/test_page_library.py says what has to be tried before that may change.
window.lickwrightPage = {
  // Whether what is told now goes out now.
  isConnected: () => Boolean(window.did_handshake && window.socket && window.socket.connected),
  // Tell the page as a whole something (this is documented).
  tell: (name, said) => emitEvent(name, said),
};
