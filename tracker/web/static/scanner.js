/* Setting up a scanner: notes what it sends after a bar, and sends the bar itself where it sends nothing. */
"use strict";

const tryOut = document.querySelector("[data-try-scanner]");
const QUIET = 700; // milliseconds without another key: the scanner has nothing more to say
const A_BAR = 6; // keys of a scanner in a row; the shortest test bar has more

if (tryOut) {
  const field = tryOut.elements.ref;
  const { ending } = tryOut.elements;
  let keys = 0;
  let last = 0;
  let waits = 0;
  // Before frame.js hands the keys on: its own listener takes Tab away.
  window.addEventListener(
    "keydown",
    (event) => {
      clearTimeout(waits);
      const isFast = event.timeStamp - last < FAST;
      last = event.timeStamp;
      if (ENDINGS.includes(event.key)) {
        ending.value = event.key === "Tab" && isFast ? "tab" : "enter";
        keys = 0;
        return;
      }
      if (event.key.length !== 1) return;
      keys = isFast ? keys + 1 : 1;
      waits = setTimeout(() => {
        if (keys < A_BAR || !field.value) return;
        ending.value = "none";
        tryOut.requestSubmit();
      }, QUIET);
    },
    true,
  );
}
