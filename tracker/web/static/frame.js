/* The frame of every page: menus that close by themselves, and a scanner that asks from anywhere.
   A scanner is a keyboard that types fast and ends with Enter. Outside a field, what it read is looked up like a
   text in the search box: it asks what the piece is. A page with a scan line of its own takes its scans itself. */
"use strict";

const FAST = 120; // milliseconds between two keys of a scanner, also of a wireless one; a hand is seldom faster
const SHORTEST_SCAN = 3; // characters: "W12" is a ticket

/** True where keys belong to what has the focus and not to a scanner. */
function takesKeys(target) {
  return target.isContentEditable || target.matches("textarea, select, input:not([type=radio]):not([type=checkbox]):not([type=hidden])");
}

/** True while some form of the page holds what was typed or picked and not sent. */
function isBegun() {
  const begun = (one) => (one.matches("[type=radio], [type=checkbox]") ? one.checked !== one.defaultChecked : one.value !== one.defaultValue);
  const fields = document.querySelectorAll("main form[method=post] :is(input:not([type=hidden]), textarea)");
  const lists = document.querySelectorAll("main form[method=post] option");
  return Array.from(fields).some(begun) || Array.from(lists).some((one) => one.selected && !one.defaultSelected && one.index > 0);
}

function listenForScans(seek) {
  let read = "";
  let last = 0;
  document.addEventListener(
    "keydown",
    (event) => {
      if (event.ctrlKey || event.altKey || event.metaKey || takesKeys(event.target)) return;
      const isFast = event.timeStamp - last < FAST;
      if (event.key === "Enter") {
        if (!isFast || read.length < SHORTEST_SCAN) return;
        event.preventDefault();
        event.stopPropagation();
        seek.elements.q.value = read;
        read = "";
        // What was typed and not yet sent would be lost with the page: then the answer waits for one more Enter.
        if (isBegun()) seek.elements.q.focus();
        else seek.requestSubmit();
      } else if (event.key.length === 1) {
        read = isFast ? read + event.key : event.key;
        last = event.timeStamp;
        // The second fast key is no hand: what has the focus must not act on it.
        if (isFast) event.preventDefault();
      }
    },
    true,
  );
}

const seek = document.querySelector("form[data-seek]");
if (seek && !document.querySelector("[data-scan], [data-run], [data-unload]")) listenForScans(seek);

const menus = document.querySelectorAll("details[name=menu]");
document.addEventListener("click", (event) => {
  for (const one of menus) if (!one.contains(event.target)) one.open = false;
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const one of menus) {
    if (!one.open) continue;
    one.open = false;
    one.querySelector("summary").focus();
  }
});
document.addEventListener("focusin", (event) => {
  for (const one of menus) if (one.open && !one.contains(event.target)) one.open = false;
});

/* Scans that nothing has answered yet go out from whatever page is open. */
const unsentHere = document.querySelector("[data-unsent]");
if (localStorage.getItem("footring-unsent") && !document.querySelector("[data-scan], [data-unload]")) {
  document.body.append(Object.assign(document.createElement("script"), { src: unsentHere.dataset.script }));
}
