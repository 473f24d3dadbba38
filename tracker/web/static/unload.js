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
    count.textContent = `${says} ${said("count", { checked: lines.length - left, all: lines.length })}`.trim();
    Object.assign(count.dataset, { checked: lines.length - left, all: lines.length });
    count.classList.remove("refused");
    delete count.dataset.refused;
    for (const line of lines) line.classList.toggle("done", looked(line));
  };

  /** Say why a scan changed nothing, so that it is noticed by a person who looks at the pots. */
  const refuse = (why, facts) => {
    tell(said(why, facts));
    count.classList.add("refused");
    count.dataset.refused = why;
    if (navigator.vibrate) navigator.vibrate([200, 100, 200]);
  };

  const worded = (line) => [chosen(line).selectedOptions[0], ...flaws(line).filter((one) => one.checked)]
    .filter((one) => one.value)
    .map((one) => (one.closest("label") || one).textContent.trim())
    .join(", ");

  const take = () => {
    const ref = refIn(field.value);
    const line = lines.find((one) => one.dataset.ref === ref);
    field.value = "";
    if (!line) {
      refuse(ref ? "not-inside" : "no-code", { ref });
      return;
    }
    const now = chosen(line);
    const word = came.selectedOptions[0].textContent.trim();
    const flaw = (value) => flaws(line).find((one) => one.value === value);
    const marred = looked(line) && now.value !== "good";
    line.scrollIntoView({ block: "nearest" });
    if (!Array.from(now.options).some((one) => one.value === came.value)) {
      refuse("no-such-flaw", { ref, flaw: word });
      return;
    }
    if (came.value === "good" && marred) {
      refuse("has-flaws", { ref, flaws: worded(line) });
      return;
    }
    // What is said of a piece that has a flaw or is broken comes on top: no scan takes anything away.
    if (marred && flaw(came.value)) flaw(came.value).checked = now.value !== came.value;
    else {
      if (flaw(now.value)) flaw(now.value).checked = true;
      now.value = came.value;
    }
    came.selectedIndex = 0; // A flaw is the exception: the next scan is of a good piece again.
    tell(`${ref}: ${worded(line)}.`);
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
