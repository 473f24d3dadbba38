/* Unloading a kiln with a scanner: a scan records a piece as good at once and puts its line on top, where flaws, a photo
   and "wasn't in the kiln" are. What is said of a piece is sent as it is said (unsent.js), and kept while the network is away.
   Other devices' results come in by themselves. Without script every piece has its own list to choose from. */
"use strict";

const LOOK = 5000; // milliseconds between two looks at what other devices have recorded

/** What a scanner gave, as the name a piece goes by on this page: a code, a slip number, or the address in a QR code. */
function refIn(text) {
  const address = text.trim().match(/\/(p|slip)\/([^/?#]+)\/?$/i);
  const name = (address ? (address[1].toLowerCase() === "slip" ? `W${address[2]}` : address[2]) : text).toUpperCase();
  return name.replace(/[\s-]/g, "");
}

/** One piece's line: what is said of it, read from its fields and set in them. */
class Line {
  constructor(place) {
    this.place = place;
    this.ref = place.dataset.ref;
    this.result = place.querySelector("select");
    this.flaws = Array.from(place.querySelectorAll("[name^=flaw-]"));
    this.more = place.querySelector("details");
  }

  get isLooked() {
    return Boolean(this.result.value) || this.flaws.some((one) => one.checked);
  }

  get isGood() {
    return this.result.value === "good";
  }

  get inputs() {
    return Array.from(this.place.querySelectorAll("select, input[name]"));
  }

  /** What is said of it, in words. */
  get words() {
    return [this.result.selectedOptions[0], ...this.flaws.filter((one) => one.checked && one.value !== this.result.value)]
      .filter((one) => one.value)
      .map((one) => (one.closest("label") || one).textContent.trim())
      .join(", ");
  }

  /** Good and a flaw are never both said: whichever was said last counts. A flaw in the list is ticked below as well. */
  settle(changed) {
    const ticked = this.flaws.filter((one) => one.checked).map((one) => one.value);
    const isFlaw = (value) => this.flaws.some((one) => one.value === value);
    if (changed === this.result) {
      const { value } = this.result;
      if (!isFlaw(value) && value !== "broke") for (const one of this.flaws) one.checked = false;
      for (const one of this.flaws) if (one.value === value) one.checked = true;
    } else if (this.result.value !== "broke" && !ticked.includes(this.result.value)) {
      if (ticked.length || isFlaw(this.result.value)) this.result.value = ticked[0] || "good";
    }
  }

  /** Whether it can be said of this piece that it came out like this, and then it is said. */
  take(value) {
    const flaw = this.flaws.find((one) => one.value === value);
    if (flaw) {
      flaw.checked = true;
      this.settle(flaw);
      return true;
    }
    if (!Array.from(this.result.options).some((one) => one.value === value)) return false;
    this.result.value = value;
    this.settle(this.result);
    return true;
  }

  fields() {
    const said = this.inputs.filter((one) => one.type !== "checkbox" || one.checked).map((one) => [one.name, one.value]);
    return [["ref", this.ref], ...said.filter(([, value]) => value)];
  }

  /** The same as lists of values, by the names of the fields without the piece's. */
  get record() {
    const said = {};
    for (const [name, value] of this.fields()) if (name !== "ref") (said[name.slice(0, -this.ref.length - 1)] ||= []).push(value);
    return said;
  }

  /** Show what is on record, as lists of values by the names of the fields. */
  show(said) {
    for (const one of this.inputs) {
      const values = said[one.name.slice(0, -this.ref.length - 1)] || [];
      if (one.type === "checkbox") one.checked = values.includes(one.value);
      else one.value = values[0] || "";
    }
  }
}

/** The page while it unloads; `unsent.js` tells it what becomes of each thing that was said. */
class Unloading {
  constructor(form) {
    this.form = form;
    this.field = form.querySelector("#code");
    this.shelf = form.querySelector("[name=shelf]");
    this.count = form.querySelector("[data-unload-count]");
    this.list = form.querySelector(".outcomes");
    this.rest = form.querySelector("[name=rest]");
    this.restWord = this.rest.textContent;
    this.lines = Array.from(form.querySelectorAll("[data-ref]"), (place) => new Line(place));
    this.keyboards = JSON.parse(form.dataset.keyboards);
    this.last = null; // the line of the piece that came out last
    this.changes = []; // what was said on this page, each as [line, what was said of it before]
    this.known = new Map(this.lines.map((line) => [line, line.record]));
    this.bars = this.obeying();
    this.sound = new Sound(form.querySelector("[data-scan-sound]"));
    this.sender = new Sender(form.dataset.who, this);
    form.querySelector("[data-unload-scan]").hidden = false;
    for (const one of form.querySelectorAll(".photo-now")) one.hidden = false;
    this.field.addEventListener("keydown", (event) => this.scanned(event));
    form.addEventListener("change", (event) => this.changed(event));
    form.addEventListener("submit", (event) => this.unload(event));
    this.sender.begin();
    this.field.focus();
    setInterval(() => this.look(), LOOK);
  }

  answer(kind, word, text, says) {
    showLast(kind, document.querySelector(`template[data-scan-shape="${kind}"]`).content.firstElementChild.cloneNode(true), { word, says }, text);
    this.sound.tell(kind);
    const last = this.form.querySelector("[data-last]");
    last.dataset.kind = kind;
    if (last.getBoundingClientRect().bottom > window.innerHeight / 2) last.scrollIntoView({ block: "start" });
  }

  scanned(event) {
    if (event.key !== "Enter") return;
    event.preventDefault();
    const text = byKeys(this.field.value);
    this.field.value = "";
    const command = commandIn(text);
    if (command) {
      this.bars.obey(command);
      return;
    }
    const shelf = /^(?:\][a-z][0-9])?s\.(.+)$/i.exec(text);
    if (shelf) {
      this.putAt(decodeURIComponent(shelf[1]));
      this.answer("again", said("shelf"), this.shelf.value, said("put-at", { place: this.shelf.value }));
      return;
    }
    const ref = refIn(text);
    const line = this.called(ref) || this.calledByKeys(text);
    if (line) this.take(line);
    else this.answer("stop", said("stop"), ref, said(ref ? "not-inside" : "no-code", { ref }));
  }

  called(ref) {
    return [ref, `W${ref}`].map((name) => this.lines.find((one) => one.ref === name)).find(Boolean); // "420" is ticket W420.
  }

  /** The one piece in this kiln that a scanner can mean which types on a keyboard of another layout; the code ends the text. */
  calledByKeys(text) {
    const meant = this.keyboards.map((keys) => Array.from(text, (one) => keys[one] || one).join("").toUpperCase());
    const found = new Set(meant.flatMap((one) => this.lines.filter((line) => one.length <= line.ref.length + 3 && one.endsWith(line.ref))));
    return found.size === 1 ? Array.from(found)[0] : null;
  }

  putAt(name) {
    this.shelf.value = name.slice(0, 60);
  }

  /** What the bars of the scan sheet do here. */
  obeying() {
    const leave = (command) => {
      if (this.sender.entries.length) return { kind: "stop", says: said("wait") };
      location.assign(command.href);
      return { kind: "again" };
    };
    return new Obeying((...told) => this.answer(...told), {
      step: leave,
      kiln: leave,
      undo: () => this.undoLast(),
      result: (command) => this.sayOfLast(command),
      finish: (command) => {
        (command.value === "rest" && !this.rest.hidden ? this.rest : this.form.querySelector(".btn.main")).click();
        return null;
      },
      shelf: (command) => {
        this.putAt(command.value);
        return { kind: "again", says: said("put-at", { place: command.value }) };
      },
    });
  }

  sayOfLast(command) {
    const line = this.last;
    if (!line) return { kind: "stop", says: said("scan-first") };
    if (!line.take(command.value)) return { kind: "stop", says: said("not-of-this", { ref: line.ref }) };
    this.save(line);
    this.answer(line.isGood ? "good" : "needs", line.words, line.ref, "");
    return null;
  }

  /** Take back what was said last on this page, and then what was said before that. */
  undoLast() {
    const [line, before] = this.changes.pop() || [];
    if (!line) return { kind: "stop", says: said("nothing-to-undo") };
    line.show(before);
    this.send(line);
    this.answer("again", line.words || said("unsaid"), line.ref, "");
    return null;
  }

  /** A piece that comes out: good unless something was said of it; its line is on top, open. */
  take(line) {
    const isNew = !line.isLooked;
    if (isNew) line.result.value = "good";
    for (const one of this.lines) if (one.more !== line.more) one.more.open = false;
    line.more.open = true;
    this.list.prepend(line.place);
    this.last = line;
    this.save(line);
    const kind = isNew ? "good" : line.isGood ? "again" : "needs";
    this.answer(kind, isNew ? line.words : said("already"), line.ref, isNew ? "" : line.words);
    this.field.focus({ preventScroll: true });
  }

  changed(event) {
    const line = this.lines.find((one) => one.place.contains(event.target));
    if (!line) return;
    if (event.target.matches("[data-photo]")) {
      this.photo(line, event.target);
      return;
    }
    line.settle(event.target);
    this.save(line);
    this.answer(line.isGood ? "good" : "needs", line.words || said("saved"), line.ref, "");
  }

  save(line) {
    const place = line.place.querySelector("[name^=place-]");
    if (this.shelf.value) place.value = this.shelf.value;
    this.changes.push([line, this.known.get(line)]);
    this.send(line);
  }

  send(line) {
    this.known.set(line, line.record);
    this.sender.add({ action: this.form.dataset.say, fields: line.fields(), text: line.ref }, () => this.show());
  }

  photo(line, input) {
    const [file] = input.files;
    if (!file) return;
    this.sender.add({ action: line.place.dataset.photos, fields: [], file, text: line.ref }, () => this.show());
    input.value = "";
  }

  // ---- what the sender tells ----

  restored(entry) {
    const line = this.lines.find((one) => one.ref === entry.text);
    if (!line || entry.file) return;
    const said = {};
    for (const [name, value] of entry.fields) if (name !== "ref") (said[name.slice(0, -line.ref.length - 1)] ||= []).push(value);
    line.show(said);
    this.known.set(line, line.record);
  }

  gone() {}

  settled(entry, answer) {
    if (!answer.ok) this.answer("stop", answer.word, entry.text, `${answer.says} ${answer.mend}`);
    else if (entry.file) this.answer("good", answer.word, entry.text, said("photo-saved", { ref: entry.text }));
    else this.merge(answer.said);
  }

  waits() {}

  halted(sentence) {
    this.answer("stop", said("stop"), "", sentence);
  }

  show() {
    const left = this.lines.filter((line) => !line.isLooked).length;
    const waiting = this.sender ? this.sender.entries.length : 0;
    const parts = [said("count", { checked: this.lines.length - left, all: this.lines.length })];
    if (waiting) parts.push(said("saving", { waiting }));
    if (this.sender && !this.sender.isSaving) parts.push(said("cannot-keep"));
    const text = parts.join(" ");
    if (this.count.textContent !== text) this.count.textContent = text;
    Object.assign(this.count.dataset, { checked: this.lines.length - left, all: this.lines.length, waiting });
    for (const line of this.lines) line.place.classList.toggle("done", line.isLooked);
    this.rest.textContent = left ? `${this.restWord} (${left})` : this.restWord;
    this.rest.hidden = !left;
  }

  // ---- other devices, and the end ----

  /** What is on record, on whatever device it was said; what waits here to be sent is newer. */
  merge(record) {
    const unsent = new Set(this.sender.entries.map((entry) => entry.text));
    for (const line of this.lines) {
      if (unsent.has(line.ref) || line.place.contains(document.activeElement)) continue;
      line.show(record[line.ref] || {});
      this.known.set(line, line.record);
    }
    this.show();
  }

  async look() {
    if (document.hidden) return;
    try {
      const response = await fetch(this.form.dataset.said, { headers: { Accept: "application/json" }, cache: "no-store", redirect: "manual", credentials: "same-origin" });
      const state = response.ok ? await response.json() : null;
      if (state) this.merge(state.said);
    } catch {
      // No network: the next look tries again.
    }
  }

  /** With everything on record the firing is unloaded from the record, so that no older page overwrites a newer result. */
  unload(event) {
    if (this.sender.entries.length) {
      event.preventDefault();
      this.answer("stop", said("stop"), "", said("wait"));
      return;
    }
    for (const line of this.lines) for (const one of line.inputs) one.disabled = true;
    setTimeout(() => this.release(), 3000);
  }

  release() {
    for (const line of this.lines) for (const one of line.inputs) one.disabled = false;
  }
}

const unloading = document.querySelector("form[data-unload]");
if (unloading) new Unloading(unloading);
