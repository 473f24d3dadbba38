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
  const flaws = (line) => Array.from(line.querySelectorAll("[name^=flaw-]"));
  const looked = (line) => Boolean(chosen(line).value) || flaws(line).some((one) => one.checked);

  const tell = (says) => {
    const left = lines.filter((line) => !looked(line)).length;
    count.textContent = `${says ? `${says} ` : ""}${lines.length - left} of ${lines.length} looked at.`;
    for (const line of lines) line.classList.toggle("done", looked(line));
  };

  const take = () => {
    const ref = refIn(field.value);
    const line = lines.find((one) => one.dataset.ref === ref);
    field.value = "";
    if (!line) {
      tell(`${ref || "Nothing"} is not in this kiln.`);
      return;
    }
    const more = flaws(line).find((one) => one.value === came.value);
    const flawed = looked(line) && !["good", "broke"].includes(chosen(line).value);
    // A piece that has a flaw and is scanned with another has both; good and broken say all there is to say.
    if (more && flawed) more.checked = chosen(line).value !== more.value;
    else {
      chosen(line).value = came.value;
      for (const one of flaws(line)) one.checked = false;
    }
    const said = [chosen(line).selectedOptions[0], ...flaws(line).filter((one) => one.checked)];
    came.selectedIndex = 0; // A broken piece is the exception: the next scan is of a good one again.
    line.scrollIntoView({ block: "nearest" });
    tell(`${ref}: ${said.map((one) => (one.closest("label") || one).textContent.trim()).join(", ")}.`);
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
