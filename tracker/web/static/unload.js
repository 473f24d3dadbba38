/* Unloading a kiln with a scanner. A scan says which piece is in somebody's hands: it opens that piece's line on top, with a
   large button for each result. Whoever presses none of them says it with the next scan: the piece before was good. What is
   said of a piece is sent as it is said (unsent.js), and kept while the network is away. Other devices' results come in by
   themselves. unload_lines.js has the lines of the pieces and of wrong scans.
   Without script the same buttons are sent all at once. */
"use strict";

const LOOK = 2000; // milliseconds between two looks at what other devices have recorded
const SHELF_BAR = /^(?:\][a-z]\d)?s\.(.+)$/i; // a scanner may name the kind of bar first: ]C1

/** The page while it unloads; `unsent.js` tells it what becomes of each thing that was said. */
class Unloading {
  constructor(form) {
    this.form = form;
    this.field = form.querySelector("#code");
    this.shelf = form.querySelector("[name=shelf]");
    this.unknown = ""; // a name of a shelf that nobody has added yet
    this.count = form.querySelector("[data-unload-count]");
    this.list = form.querySelector(".outcomes");
    this.rest = form.querySelector("[name=rest]");
    this.restWord = this.rest.textContent;
    this.lines = Array.from(form.querySelectorAll("[data-ref]"), (place) => new Line(place));
    this.shelves = JSON.parse(form.dataset.shelves);
    this.sound = new Sound(form.querySelector("[data-scan-sound]"));
    this.kept = new Kept(form.dataset.who);
    this.orders = JSON.parse(form.dataset.orders);
    this.keyboards = JSON.parse(form.dataset.keyboards);
    this.bars = unloadingByBars(this);
    this.last = null; // the line of the piece that came out last
    this.changes = []; // what was said on this page, each as [line, what was said of it before]
    this.known = new Map(this.lines.map((line) => [line, line.record]));
    this.typed = ""; // into the field for words that has the focus
    this.news = 0; // how often something was said here
    this.inHand = null;
    this.answered = ""; // what was answered last, in large letters
    this.pressed = null; // the button that unloads, while results are still being sent
    this.away = ""; // why they can't be sent for now
    this.isOver = false; // the kiln is unloaded, on another device
    this.isLeaving = false; // the button that unloads was pressed here, and its page is coming
    this.sender = new Sender(form.dataset.who, this);
    this.wrongs = new Wrongs(form.querySelector("[data-wrongs]"), this);
    form.querySelector("[data-unload-scan]").hidden = false;
    for (const one of form.querySelectorAll(".photo-now")) one.hidden = false;
    this.field.addEventListener("keydown", (event) => this.ended(event));
    form.addEventListener("keydown", (event) => this.keyed(event));
    form.addEventListener("focusin", () => (this.typed = ""));
    this.shelf.addEventListener("focus", () => this.shelf.select()); // Another name is typed over the last one.
    form.addEventListener("change", (event) => this.changed(event));
    form.addEventListener("submit", (event) => this.unload(event));
    this.list.classList.add("alive");
    this.takeUp();
    this.sender.begin();
    // After a refusal its box keeps the focus, and stays in view (forms.js); a scan comes here from anywhere.
    if (!document.querySelector(".problems[tabindex]")) this.field.focus();
    setInterval(() => this.look(), LOOK);
    document.addEventListener("visibilitychange", () => this.look());
  }

  /** Go on where this device was before a reload. */
  takeUp() {
    const { ref, at, shelf } = this.kept.read();
    this.shelf.value = shelf || "";
    const line = ref && this.find(ref);
    if (!line || line.isLooked) return;
    this.inHand = line;
    line.shelf.value = at || "";
    this.open(line);
  }

  find(ref) {
    return [ref, `W${ref}`].map((name) => this.lines.find((one) => one.ref === name)).find(Boolean); // "420" is ticket W420.
  }

  /** Say something in large letters, with the tone of its kind or of another one. */
  answer(kind, word, text, says, tone = kind) {
    this.write(kind, word, text, says);
    this.sound.tell(tone);
    const last = this.form.querySelector("[data-last]");
    last.dataset.kind = kind;
    if (last.getBoundingClientRect().bottom > window.innerHeight / 2) last.scrollIntoView({ block: "start" });
  }

  write(kind, word, text, says) {
    this.answered = text;
    showLast(kind, document.querySelector(`template[data-scan-shape="${kind}"]`).content.firstElementChild.cloneNode(true), { word, says }, text);
    this.form.querySelector("[data-unload-says]").textContent = [text, word, says].filter(Boolean).join(". ");
  }

  // ---- what is scanned ----

  /** A scanner ends with Enter or Tab; in the field for scans either of them sends what is there. */
  ended(event) {
    const text = byKeys(this.field.value);
    if (event.key !== "Enter" && (event.key !== "Tab" || event.shiftKey || !text)) return;
    event.preventDefault();
    this.field.value = "";
    if (text) this.scan(text);
  }

  /** Enter in a field for words or on a tick never unloads the kiln. What was typed there and ends with a piece of this kiln is
      a scan, however slowly it came: it is taken out of the words. Any other Enter leads back to the field for scans. */
  keyed(event) {
    const { target } = event;
    if (target === this.field || !target.matches("input") || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key.length === 1) this.typed += event.key;
    const scan = isText(target) ? this.scanIn(this.typed) : "";
    if (event.key !== "Enter" && !(event.key === "Tab" && scan)) return;
    event.preventDefault();
    if (scan && target.value.endsWith(scan)) {
      target.value = target.value.slice(0, -scan.length);
      if (target === this.shelf) this.named(target.value.trim() || this.kept.read().shelf || "");
      this.scan(scan);
    }
    this.field.focus();
  }

  /** The end of what was typed, where it is a piece of this kiln; a ticket only by itself, for a shelf may be called Rack W1. */
  scanIn(typed) {
    const [address] = typed.match(/https?:\S*$/i) || [typed];
    if (this.find(refIn(address))) return address;
    const line = this.lines.find((one) => !one.ref.startsWith("W") && typed.toUpperCase().endsWith(one.ref));
    return line ? typed.slice(-line.ref.length) : "";
  }

  scan(text) {
    if (this.isOver) {
      this.answer("stop", said("stop"), "", said("over"));
      return;
    }
    const command = commandIn(text);
    if (command) {
      this.bars.obey(command);
      return;
    }
    const shelf = SHELF_BAR.exec(text);
    if (shelf) {
      this.fill(nameIn(shelf[1]));
      return;
    }
    const ref = refIn(text);
    const line = this.find(ref) || meantByKeys(this.lines, this.keyboards, text);
    if (line) this.take(line);
    else this.refuse(ref);
  }

  /** A shelf's label or its name: it counts for what is scanned from now on. One that nobody knows is asked about. */
  fill(name) {
    const place = this.shelves.find((one) => one.toLowerCase() === name.toLowerCase());
    this.shelf.value = place ?? (this.kept.read().shelf || "");
    this.unknown = place === undefined ? name : "";
    if (place === undefined) {
      const says = said("no-shelf", { place: name });
      this.wrongs.offer(this.wrongs.add(name, says), said("add-shelf", { place: name }), () => {
        this.shelves.push(name);
        this.fill(name);
      });
      this.answer("stop", said("stop"), name, says);
      return;
    }
    this.kept.write({ shelf: place });
    this.answer("again", said("shelf"), place, said("put-at", { place }));
  }

  /** A shelf's name that was typed; a code that fell into its field is a scan. */
  named(text) {
    const bar = SHELF_BAR.exec(byKeys(text));
    if (bar) {
      this.fill(nameIn(bar[1]));
      return;
    }
    this.shelf.value = text;
    this.unknown = "";
    if (this.find(refIn(text))) {
      this.shelf.value = this.kept.read().shelf || "";
      this.scan(text);
    } else if (!text) this.kept.write({ shelf: "" });
    else if (text !== this.kept.read().shelf) this.fill(text);
  }

  /** A piece that comes out. The one before it was good, unless somebody said something of it. */
  take(line) {
    if (line === this.inHand && !line.isLooked) {
      this.answer("again", said("in-hands"), line.ref, this.ahead(line));
      return;
    }
    this.settle();
    if (this.shelf.value) line.shelf.value = this.shelf.value;
    this.open(line);
    if (line.isLooked) {
      this.hold(null);
      if (this.shelf.value) this.save(line, unlessSaid(line));
      this.answer(line.isGood ? "again" : "needs", said("already"), line.ref, [line.words, this.where(line)].filter(Boolean).join(". "));
    } else {
      this.hold(line);
      this.answer("ask", said("good-or-flaw"), line.ref, this.ahead(line), "good");
    }
    this.show();
    this.field.focus({ preventScroll: true });
  }

  /** What becomes of a piece if nobody says anything of it: it is good, unless it was expected to come out wrong. */
  ahead(line) {
    return said(line.isExpectedWrong ? "say-of-it" : "next-is-good", { ref: line.ref });
  }

  /** Record the piece in somebody's hands as good if nobody said anything of it and it may be. */
  settle() {
    const line = this.inHand;
    if (!line || line.isLooked || line.isExpectedWrong) return;
    line.result = "good";
    this.save(line, unlessSaid(line));
  }

  hold(line) {
    this.inHand = line;
    this.kept.write({ ref: line ? line.ref : "", at: line ? line.shelf.value : "" });
  }

  /** Put a piece's line on top, with everything that can be said of it. */
  open(line) {
    for (const one of this.lines) {
      if (one === line) continue;
      one.more.open = false;
      one.place.classList.remove("current");
    }
    this.last = line;
    line.more.open = true;
    line.place.classList.add("current");
    this.list.prepend(line.place);
  }

  refuse(ref) {
    const says = said(ref ? "not-inside" : "no-code", { ref });
    if (ref && !this.wrongs.find(ref)) {
      const entry = { action: this.form.dataset.scanned, fields: [["ref", ref]], text: ref };
      this.sender.add(entry, () => this.wrongs.add(ref, says, entry.key));
    } else if (ref) this.wrongs.add(ref, says);
    this.answer("stop", said("stop"), ref, says);
  }

  // ---- what is said of a piece ----

  changed(event) {
    if (event.target === this.shelf) {
      this.named(this.shelf.value.trim().replace(/\s+/g, " "));
      return;
    }
    const line = this.lines.find((one) => one.place.contains(event.target));
    if (!line) return;
    if (event.target.matches("[data-photo]")) {
      this.photo(line, event.target);
      return;
    }
    const isResult = event.target.matches("[type=radio], [name^=flaw-]");
    line.settle(event.target);
    if (!line.isLooked && !isResult) {
      this.answer("ask", said("good-or-flaw"), line.ref, said("say-first"), "look");
      return;
    }
    this.record(line);
  }

  /** What somebody has just said of a piece. */
  record(line) {
    if (line === this.inHand) this.hold(null);
    this.save(line);
    const kind = line.isGood ? "good" : line.isLooked ? "needs" : "ask";
    this.answer(kind, line.words || said("unsaid"), line.ref, line.isLooked ? this.where(line) : "");
  }

  /** What to do with a piece now: an order for each flaw or the one that ends it, and unless one keeps it, the shelf. */
  where(line) {
    if (line.result === "absent") return "";
    const told = this.ordersOf(line);
    const last = told.find(([, , , isLast]) => isLast);
    const orders = last ? [last] : told;
    const does = new Set(orders.map(([, says]) => says));
    if (!this.isKept(line)) does.add(line.shelf.value ? said("is-at", { place: line.shelf.value }) : line.place.dataset.goes);
    return Array.from(does).join(" ").trim();
  }

  ordersOf(line) {
    return this.orders.filter(([value]) => line.values.includes(value));
  }

  /** Whether it goes on no shelf yet, whatever shelf is set. */
  isKept(line) {
    return this.ordersOf(line).some(([, , isKept]) => isKept);
  }

  save(line, more = []) {
    this.changes.push([line, this.known.get(line)]);
    this.send(line, more);
  }

  send(line, more = []) {
    this.news += 1;
    this.known.set(line, line.record);
    this.sender.add({ action: this.form.dataset.say, fields: [...line.fields(), ...more], text: line.ref }, () => this.show());
  }

  photo(line, input) {
    const [file] = input.files;
    if (!file) return;
    this.sender.add({ action: line.place.dataset.photos, fields: [], file, text: line.ref }, () => this.show());
    input.value = "";
  }

  // ---- what the sender tells ----

  isWrong(entry) {
    return entry.action === this.form.dataset.scanned;
  }

  isResult(entry) {
    return entry.action === this.form.dataset.say;
  }

  restored(entry) {
    if (this.isWrong(entry)) this.wrongs.add(entry.text, said("not-inside", { ref: entry.text }), entry.key);
    const line = this.find(entry.text);
    if (!line || !this.isResult(entry)) return;
    line.show(recordOf(entry.fields, line.ref));
    this.known.set(line, line.record);
  }

  gone() {}

  settled(entry, answer) {
    this.news += 1;
    if (this.isWrong(entry)) {
      this.wrongs.answer(entry.text, answer);
      if (this.answered === entry.text) this.write("stop", answer.word || said("stop"), entry.text, `${answer.says} ${answer.mend}`);
    } else if (!answer.ok) {
      this.pressed = null;
      this.wrongs.add(entry.text, answer.says);
      this.wrongs.answer(entry.text, answer);
      this.answer("stop", answer.word, entry.text, `${answer.says} ${answer.mend}`);
    } else if (entry.file) this.answer("good", answer.word, entry.text, said("photo-saved", { ref: entry.text }));
    else if (answer.said) {
      this.takeIn(answer);
      if (!this.isOver) this.told(entry, answer);
    }
  }

  /** What became of the word that a scan alone gave: the piece before was good, or somebody had said something else of it. */
  told(entry, answer) {
    const line = this.find(entry.text);
    if (!line || !entry.fields.some(([name]) => name === `unless_said-${line.ref}`)) return;
    if (answer.stood) {
      this.changes = this.changes.filter(([one]) => one !== line); // Nothing of it was said here that could be undone.
      this.alreadySaid(line, answer.says);
    } else if (line.isGood && this.inHand && this.inHand !== line && !this.inHand.isLooked) {
      const says = `${said("was-good", { ref: line.ref })} ${this.ahead(this.inHand)}`;
      this.write("ask", said("good-or-flaw"), this.inHand.ref, says);
    }
  }

  /** Somebody said it on another device; the piece in hand, if there is one, still waits for its word. */
  alreadySaid(line, says) {
    const holding = this.inHand && !this.inHand.isLooked ? said("holding", { ref: this.inHand.ref }) : "";
    this.answer("needs", said("already"), line.ref, [says, holding].filter(Boolean).join(" "));
  }

  /** The network or the server is away for now: a kiln that was to be unloaded waits for whoever presses again. */
  waits(outcome) {
    this.away = outcome.says ? `${outcome.says} ${said("goes-by-itself")}` : said("no-network");
    if (!this.pressed) return;
    this.pressed = null;
    this.answer("stop", said("stop"), "", this.away);
  }

  halted(sentence) {
    this.pressed = null;
    this.away = sentence;
    this.answer("stop", said("stop"), "", sentence);
  }

  get waiting() {
    return this.sender ? this.sender.entries.filter((entry) => entry.page === location.pathname) : [];
  }

  show() {
    const left = this.lines.filter((line) => !line.isLooked).length;
    const waiting = this.waiting.length;
    const holding = this.inHand && !this.inHand.isLooked ? this.inHand : null;
    const parts = [said("count", { checked: this.lines.length - left, all: this.lines.length })];
    if (holding) parts.push(said("holding", { ref: holding.ref }));
    if (waiting) parts.push(said("saving", { waiting }));
    if (this.sender && !this.sender.isSaving) parts.push(said("cannot-keep"));
    const text = parts.join(" ");
    if (this.count.textContent !== text) this.count.textContent = text;
    const saved = this.waiting.filter((entry) => entry.isSaved).length; // only these outlive a tab that is closed now
    Object.assign(this.count.dataset, { checked: this.lines.length - left, all: this.lines.length, waiting, saved });
    for (const line of this.lines) this.showLine(line, line === holding);
    this.rest.textContent = left ? `${this.restWord} (${left})` : this.restWord;
    this.rest.hidden = !left;
    if (this.pressed && !waiting) this.form.requestSubmit(this.pressed);
  }

  showLine(line, isHeld) {
    const { place } = line;
    place.classList.toggle("done", line.isLooked);
    place.classList.toggle("marred", line.isLooked && !line.isGood);
    const rule = place.querySelector("[data-rule]");
    rule.hidden = !isHeld;
    rule.textContent = isHeld ? this.ahead(line) : "";
    const at = line.isLooked && !this.isKept(line) && line.shelf.value && said("on", { place: line.shelf.value });
    place.querySelector("[data-words]").textContent = [line.isFlawed && line.words, at].filter(Boolean).join(", ");
  }

  // ---- other devices, and the end ----

  takeIn(state) {
    if (!state.over) this.merge(state.said, state.told);
    else if (!this.isOver && !this.isLeaving) this.end();
  }

  /** The kiln was unloaded elsewhere: nothing more can be said here, and what was said stands on its firing's page. */
  end() {
    this.isOver = true;
    this.hold(null);
    for (const line of this.lines) for (const one of line.inputs) one.disabled = true;
    this.form.querySelector(".actions").replaceChildren(document.querySelector("template[data-over]").content.cloneNode(true));
    this.answer("stop", said("stop"), "", said("over"));
    this.show();
  }

  /** What is on record, on whatever device it was said; what waits here to be sent is newer. */
  merge(record, told) {
    const held = this.inHand && !this.inHand.isLooked ? this.inHand : null;
    const unsent = new Set(this.waiting.filter((entry) => this.isResult(entry)).map((entry) => entry.text));
    for (const line of this.lines) {
      const now = record[line.ref] || {};
      const isUnsaid = !line.isLooked && !now.outcome && !now.flaw; // its shelf and notes are here alone
      const isTyping = isText(document.activeElement) && line.place.contains(document.activeElement);
      if (unsent.has(line.ref) || isUnsaid || isTyping) continue;
      line.show(now);
      this.known.set(line, line.record);
    }
    if (held && held.isLooked) {
      this.hold(null);
      this.alreadySaid(held, told[held.ref] || held.words);
    }
    this.show();
  }

  async look() {
    if (document.hidden || this.isOver || this.isLeaving) return;
    const { news } = this;
    try {
      const response = await fetch(this.form.dataset.said, { headers: { Accept: "application/json" }, cache: "no-store", redirect: "manual", credentials: "same-origin" });
      const state = response.ok ? await response.json() : null;
      if (state && news === this.news) this.takeIn(state); // Else it is older than what was said here meanwhile.
    } catch {
      // No network: the next look tries again.
    }
  }

  /** With everything on record the firing is unloaded from the record, so that no older page overwrites a newer result. A shelf
      that nobody knows is added or dealt with before that: it is never dropped in silence.
      What is still being sent goes first, and then the kiln is unloaded by itself. */
  unload(event) {
    this.pressed = null;
    if (this.unknown && this.wrongs.find(this.unknown)) {
      event.preventDefault();
      this.answer("stop", said("stop"), this.unknown, said("no-shelf", { place: this.unknown }));
      return;
    }
    if (this.waiting.length) {
      event.preventDefault();
      if (this.sender.stopped || this.sender.tries) this.answer("stop", said("stop"), "", this.away);
      else {
        this.pressed = event.submitter;
        this.answer("again", said("sending"), "", said("then-unload"), "already");
      }
      return;
    }
    if (this.lines.every((line) => line.isLooked)) this.kept.forget();
    for (const line of this.lines) for (const one of line.inputs) one.disabled = true;
    this.isLeaving = true;
    setTimeout(() => this.release(), 3000);
  }

  release() {
    this.isLeaving = false;
    for (const line of this.lines) for (const one of line.inputs) one.disabled = false;
  }
}

const unloading = document.querySelector("form[data-unload]");
if (unloading) new Unloading(unloading);
