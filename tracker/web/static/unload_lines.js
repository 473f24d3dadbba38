/* The lines of the page for unloading (unload.js): one for each piece, one for each scan that is none of them, and what a
   device keeps of a kiln through a reload. */
"use strict";

/** What a scanner gave, as the name a piece goes by on this page: a code, a slip number, or the address in a QR code. */
function refIn(text) {
  const address = text.trim().match(/\/(p|slip)\/([^/?#]+)\/?$/i);
  const name = (address ? (address[1].toLowerCase() === "slip" ? `W${address[2]}` : address[2]) : text).toUpperCase();
  return name.replace(/^\][A-Z]\d/, "").replace(/[\s-]/g, "");
}

/** True where words are typed. */
function isText(target) {
  return target.matches("input[type=text], input:not([type]), textarea");
}

/** The fields of a piece as lists of values, by their names without the piece's. */
function recordOf(fields, ref) {
  const record = {};
  for (const [name, value] of fields) if (name !== "ref") (record[name.slice(0, -ref.length - 1)] ||= []).push(value);
  return record;
}

/** The name in a shelf's bar. */
function nameIn(text) {
  try {
    return decodeURIComponent(text).slice(0, 60);
  } catch {
    return text.slice(0, 60); // A bar made elsewhere, with a lone percent sign.
  }
}

/** What a scan says of a piece and nobody pressed: it overrules no other word, and only moves the piece to its shelf. */
function unlessSaid(line) {
  return [[`unless_said-${line.ref}`, "yes"]];
}

/** One piece's line: what is said of it, read from its fields and set in them. */
class Line {
  constructor(place) {
    this.place = place;
    this.ref = place.dataset.ref;
    this.isExpectedWrong = "expectedWrong" in place.dataset;
    this.results = Array.from(place.querySelectorAll("[name^=outcome-]"));
    this.flaws = Array.from(place.querySelectorAll("[name^=flaw-]"));
    this.shelf = place.querySelector("[name^=place-]");
    this.more = place.querySelector("details");
  }

  get result() {
    return this.results.find((one) => one.checked)?.value || "";
  }

  set result(value) {
    for (const one of this.results) one.checked = Boolean(value) && one.value === value;
  }

  get isFlawed() {
    return this.flaws.some((one) => one.checked);
  }

  get isLooked() {
    return Boolean(this.result) || this.isFlawed;
  }

  get isGood() {
    return this.result === "good";
  }

  get inputs() {
    return Array.from(this.place.querySelectorAll("input[name]"));
  }

  /** What is said of it, as values. */
  get values() {
    return [...this.results, ...this.flaws].filter((one) => one.checked && one.value).map((one) => one.value);
  }

  /** What is said of it, in words. */
  get words() {
    return [...this.results, ...this.flaws]
      .filter((one) => one.checked && one.value)
      .map((one) => one.closest("label").textContent.trim())
      .join(", ");
  }

  /** Good and a flaw are never both said: whichever was said last counts. What broke may have flaws too. */
  settle(changed) {
    if (this.results.includes(changed)) {
      if (changed.value !== "broke") for (const one of this.flaws) one.checked = false;
    } else if (this.isFlawed && this.result !== "broke") this.result = "";
  }

  /** Whether it can be said of this piece that it came out like this, and then it is said. */
  say(value) {
    const pressed = [...this.results, ...this.flaws].find((one) => one.value && one.value === value);
    if (!pressed) return false;
    pressed.checked = true;
    this.settle(pressed);
    return true;
  }

  fields() {
    const said = this.inputs.filter((one) => !one.matches("[type=checkbox], [type=radio]") || one.checked);
    return [["ref", this.ref], ...said.map((one) => [one.name, one.value]).filter(([, value]) => value)];
  }

  /** The same as lists of values, by the names of the fields without the piece's. */
  get record() {
    return recordOf(this.fields(), this.ref);
  }

  /** Show what is on record, as lists of values by the names of the fields. */
  show(record) {
    for (const one of this.inputs) {
      const values = record[one.name.slice(0, -this.ref.length - 1)] || [];
      if (one.matches("[type=checkbox], [type=radio]")) one.checked = Boolean(one.value) && values.includes(one.value);
      else one.value = values[0] || "";
    }
  }
}

/** The one piece of these that a scanner can mean which types on a keyboard of another layout; its code ends the text. */
function meantByKeys(lines, keyboards, text) {
  const meant = keyboards.map((keys) => Array.from(text, (one) => keys[one] || one).join("").toUpperCase());
  const found = new Set(meant.flatMap((one) => lines.filter((line) => one.length <= line.ref.length + 3 && one.endsWith(line.ref))));
  return found.size === 1 ? Array.from(found)[0] : null;
}

/** What this device keeps of one kiln for one person through a reload: the piece in their hands, and the shelf they fill. */
class Kept {
  constructor(who) {
    this.place = `footring-unload ${location.pathname} ${who}`;
  }

  read() {
    try {
      return JSON.parse(localStorage.getItem(this.place)) || {};
    } catch {
      return {};
    }
  }

  write(what) {
    try {
      localStorage.setItem(this.place, JSON.stringify({ ...this.read(), ...what }));
    } catch {
      // A browser that keeps nothing: the piece is scanned again.
    }
  }

  forget() {
    localStorage.removeItem(this.place);
  }
}

/** The scans that are no piece of this kiln, each with its line until it is marked. */
class Wrongs {
  constructor(list, page) {
    this.list = list;
    this.page = page;
    this.ways = new Map(); // what each button does
    list.hidden = false;
    list.addEventListener("click", (event) => {
      const line = event.target.closest("[data-wrong]");
      if (!line) return;
      const way = event.target.closest("[data-way]");
      if (way) this.ways.get(way)();
      if (way || event.target.closest("[data-dealt]")) this.deal(line);
    });
  }

  /** The line of a wrong scan, on top; one that is there already comes back to the top. */
  add(ref, says, key = "") {
    let line = this.find(ref);
    if (!line) {
      line = document.querySelector("template[data-wrong-line]").content.firstElementChild.cloneNode(true);
      line.dataset.wrong = ref;
      line.querySelector(".code").textContent = ref;
      line.querySelector("[data-dealt] .vh").textContent = ` ${ref}`;
      line.querySelector("[data-says]").textContent = says;
      line.dataset.key = key;
    }
    this.list.prepend(line);
    return line;
  }

  find(ref) {
    return Array.from(this.list.children).find((one) => one.dataset.wrong === ref);
  }

  /** What the server says of it: why, where it is marked as dealt with, and which piece it may have been. */
  answer(ref, answer) {
    const line = this.find(ref);
    if (!line) return;
    line.dataset.key = "";
    line.dataset.done = answer.done_url || "";
    line.querySelector("[data-says]").textContent = answer.says;
    line.querySelector(".mend").textContent = answer.mend;
    if (answer.piece_url) line.querySelector(".code").replaceChildren(Object.assign(document.createElement("a"), { href: answer.piece_url, textContent: ref }));
    for (const meant of (answer.likely || []).filter((one) => this.page.find(one))) this.offer(line, said("it-is", { ref: meant }), () => this.page.scan(meant));
  }

  /** A button that is the way out; pressed, it has dealt with the scan. */
  offer(line, words, way) {
    const place = line.querySelector(".ways");
    if (Array.from(place.children).some((one) => one.textContent === words)) return;
    const button = Object.assign(document.createElement("button"), { type: "button", className: "btn", textContent: words });
    button.dataset.way = "";
    this.ways.set(button, way);
    place.append(button);
  }

  deal(line) {
    const { sender } = this.page;
    const unsent = sender.entries.find((entry) => entry.key === line.dataset.key);
    if (unsent) sender.drop(unsent);
    else if (line.dataset.done) sender.add({ action: line.dataset.done, fields: [], text: line.dataset.wrong }, () => {});
    line.remove();
    this.page.field.focus();
  }
}
