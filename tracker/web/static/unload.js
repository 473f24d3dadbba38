/* Unloading a kiln with a scanner: each scan says of one piece what came of it, and the page counts what is left.
   What is entered is kept on this device until the firing is unloaded, so that no reload loses it.
   Without script every piece has its own list to choose from; nothing is sent before the button is pressed. */
"use strict";

const KEPT_AS = "footring-unload ";
const ENTERED = /^(came$|outcome-|flaw-|outside-|clay_note-|glaze_note-)/;

/** What a scanner gave, as the name a piece goes by on this page: a code, a slip number, or the address in a QR code. */
function refIn(text) {
  const address = text.trim().match(/\/(p|slip)\/([^/?#]+)\/?$/i);
  const name = (address ? (address[1].toLowerCase() === "slip" ? `W${address[2]}` : address[2]) : text).toUpperCase();
  return name.replace(/[\s-]/g, "");
}

/** What is entered of one firing, kept on this device. `place` tells the firing from every other. */
class Draft {
  constructor(form) {
    this.form = form;
    this.place = `${KEPT_AS}${form.dataset.unload}`;
  }

  get fields() {
    return Array.from(this.form.elements).filter((one) => ENTERED.test(one.name));
  }

  keep() {
    const entered = this.fields
      .filter((one) => one.type !== "checkbox" || one.checked)
      .map((one) => [one.name, one.value])
      .filter(([, value]) => value);
    try {
      localStorage.setItem(this.place, JSON.stringify(entered));
    } catch {
      return false; // No room, or a browser that keeps nothing.
    }
    return true;
  }

  restore() {
    let entered = [];
    try {
      entered = JSON.parse(localStorage.getItem(this.place)) || [];
    } catch {
      return; // Nothing readable was kept, which is the same as nothing kept.
    }
    for (const [name, value] of entered) {
      for (const one of this.fields.filter((field) => field.name === name)) {
        if (one.type === "checkbox") one.checked = one.checked || one.value === value;
        else if (!one.options || Array.from(one.options).some((option) => option.value === value)) one.value = value;
        one.closest("details")?.setAttribute("open", "");
      }
    }
  }
}

function startUnloading(form) {
  const draft = new Draft(form);
  const field = form.querySelector("#code");
  const came = form.querySelector("#came");
  const count = form.querySelector("[data-unload-count]");
  const next = form.querySelector("[data-unload-next]");
  const rest = form.querySelector("[name=rest]");
  const restWord = rest.textContent;
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
    rest.textContent = left ? `${restWord} (${left})` : restWord;
    rest.hidden = !left;
    next.textContent = said("next", { result: came.selectedOptions[0].textContent.trim() });
    next.classList.toggle("flawed", came.value !== "good");
    if (!draft.keep()) count.textContent += ` ${said("cannot-keep")}`;
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
    const line = [ref, `W${ref}`].map((name) => lines.find((one) => one.dataset.ref === name)).find(Boolean); // "420" is ticket W420.
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
    tell(`${ref}: ${worded(line)}.`);
  };

  form.querySelector("[data-unload-scan]").hidden = false;
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    take();
  });
  form.addEventListener("change", () => tell(""));
  form.addEventListener("input", () => draft.keep()); // A note counts before its field is left.
  field.focus();
  if (!form.dataset.sent) draft.restore(); // What the server sent back is newer.
  const restored = lines.filter(looked).length;
  tell(restored && !form.dataset.sent ? said("restored", { restored }) : "");
}

const unloading = document.querySelector("form[data-unload]");
if (unloading) startUnloading(unloading);
const unloaded = document.querySelector("[data-unloaded]");
if (unloaded) localStorage.removeItem(`${KEPT_AS}${unloaded.dataset.unloaded}`);
