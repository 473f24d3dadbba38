/* Unloading a kiln with a scanner: each scan says of one piece what came of it, and the page counts what is left.
   Without script every piece has its own list to choose from; nothing is sent before the button is pressed. */
"use strict";

/** What a scanner gave, as the name a piece goes by on this page: a code, a slip number, or the address in a QR code. */
function refIn(text) {
  const address = text.trim().match(/\/(p|slip)\/([^/?#]+)\/?$/i);
  const name = (address ? (address[1].toLowerCase() === "slip" ? `W${address[2]}` : address[2]) : text).toUpperCase();
  return name.replace(/[\s-]/g, "");
}

function startUnloading(form) {
  const field = form.querySelector("#code");
  const came = form.querySelector("#came");
  const count = form.querySelector("[data-unload-count]");
  const lines = Array.from(form.querySelectorAll("[data-ref]"));
  const chosen = (line) => line.querySelector("select");

  const tell = (says) => {
    const left = lines.filter((line) => !chosen(line).value).length;
    count.textContent = `${says ? `${says} ` : ""}${lines.length - left} of ${lines.length} looked at.`;
    for (const line of lines) line.classList.toggle("done", Boolean(chosen(line).value));
  };

  const take = () => {
    const ref = refIn(field.value);
    const line = lines.find((one) => one.dataset.ref === ref);
    field.value = "";
    if (!line) {
      tell(`${ref || "Nothing"} is not in this kiln.`);
      return;
    }
    chosen(line).value = came.value;
    came.selectedIndex = 0; // A broken piece is the exception: the next scan is of a good one again.
    line.scrollIntoView({ block: "nearest" });
    tell(`${ref}: ${chosen(line).selectedOptions[0].textContent}.`);
  };

  form.querySelector("[data-unload-scan]").hidden = false;
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    take();
  });
  form.addEventListener("change", () => tell(""));
  field.focus();
  tell("");
}

const unloading = document.querySelector("form[data-unload]");
if (unloading) startUnloading(unloading);
