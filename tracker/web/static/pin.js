/* The PIN of a badge: a scan isn't one. It leaves the field empty, and the page says what was scanned. */
"use strict";

const pinField = document.getElementById("pin");
const ADDRESS = /^.*\/(?:p|slip)\/([^/?#]+).*$/; // of a tag's QR code: its end is the code

listen((event, burst) => {
  if (!ENDINGS.includes(event.key)) {
    burst.add(event);
    return false;
  }
  const text = burst.endsWith(event) ? burst.read : pinField.value;
  if (/^\d*$/.test(text)) return false;
  pinField.value = "";
  pinField.focus();
  document.querySelector("[data-pin-scanned]").textContent = said("not_a_pin", { text: byKeys(text).replace(/^\][a-z]\d/i, "").replace(ADDRESS, "$1") });
  return true;
});
