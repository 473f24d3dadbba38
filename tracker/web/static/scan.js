/* Scan and move: a scanner is a keyboard that ends with Enter, and it does not wait for anybody.
   Each scan becomes a line and an entry of the queue at once. The queue itself is unsent.js, which keeps and sends it;
   here is what of it is seen and heard. scan_lines.js gives the lines, kiln_door.js the door, forms.js said(), sound.js
   the tones. */
"use strict";

const PATIENCE_AT_DOOR = 4000; // milliseconds for one answer where somebody stands before a kiln with a pot in their hands

/** What tells one step of the scan page from another; scan_pages.py puts the same together. Other pages have none. */
function jobIn({ step = "", route = "" }) {
  return step === "queue" ? `${step} ${route}`.trim() : step;
}

function hiddenField(name, value) {
  return Object.assign(document.createElement("input"), { type: "hidden", name, value });
}

/** What must not be kept from an earlier page: the token is read afresh on sending, the key is the entry's own. */
function fieldsOf(form) {
  return Array.from(new FormData(form)).filter(([name]) => name !== "csrf_token" && name !== "key");
}

/** The scans of this page as they are seen and heard: a line for each, the count, and what stops them. */
class Queue {
  constructor(form, lines, sound, door) {
    this.form = form;
    this.lines = lines;
    this.sound = sound;
    this.isDoor = door;
    this.box = document.querySelector("[data-scan-stopped]");
    this.count = document.querySelector("[data-scan-count]");
    this.answered = 0; // on this page; the lines the server sent are of earlier scans
    this.line = new Map(); // entry key to its line on the page
    this.sender = new Sender(form.dataset.who || "", this, door ? PATIENCE_AT_DOOR : PATIENCE);
    this.box.querySelector("[data-scan-on]").addEventListener("click", () => this.goOn());
    this.sender.begin();
  }

  get entries() {
    return this.sender.entries.filter((entry) => entry.page === location.pathname);
  }

  /** Take a scan (or an undo, or an acceptance) on: from here on it is not lost. */
  add(entry, line) {
    entry.isBound = this.isDoor; // Whether a piece may go into a kiln is seen where the kiln is, or not asked.
    this.sender.add(entry, () => this.line.set(entry.key, line || this.lines.add(entry)));
    if (this.sender.stopped) this.keep(entry);
    else if (this.sender.pause) {
      this.lines.mark(this.line.get(entry.key), "kept", said("waiting"), this.awayNow);
      this.showWaiting();
    }
  }

  /** Scans of this page that an earlier visit left unsent, or that another tab has sent meanwhile. */
  restored(entry) {
    this.line.set(entry.key, this.lines.add(entry));
  }

  gone(entry) {
    this.line.get(entry.key)?.remove();
    this.line.delete(entry.key);
  }

  settled(entry, answer) {
    if (!entry.undo) this.answered += 1;
    if (answer.ok && answer.place) this.putAt(answer.place);
    const line = this.line.get(entry.key);
    const kind = this.lines.answer(line, entry, answer);
    this.line.delete(entry.key);
    this.sound.tell(kind);
    showLast(kind, this.lines.piece(`data-scan-shape="${kind}"`), answer, entry.text);
    if ("todo" in answer) showTodo(answer.todo);
    if ("counted" in answer) showCounted(answer);
    if (this.door) {
      this.door.answered();
      this.door.look();
      if (line.getBoundingClientRect().bottom > window.innerHeight) line.scrollIntoView({ block: "start" });
      const count = document.querySelector(".door-count"); // under the field, which is in sight where this is
      if (count.getBoundingClientRect().bottom > line.getBoundingClientRect().top) count.scrollIntoView({ block: "nearest" });
    }
    if (entry.undoNext) line.querySelector("[data-takes-back]")?.requestSubmit();
  }

  /** Take back the newest scan of this step that was recorded; one that waits for its answer is taken back after it. */
  undoLast() {
    const waiting = (line) => this.entries.find((one) => this.line.get(one.key) === line && !one.undo && !one.undoNext);
    const line = Array.from(this.lines.list.children).find((one) => waiting(one) || one.querySelector("[data-takes-back]"));
    if (!line) return { kind: "stop", says: said("nothing-to-undo") };
    if (line.dataset.job !== jobIn(Object.fromEntries(fieldsOf(this.form)))) return { kind: "stop", says: said("of-another-step") };
    const code = line.querySelector(".code").textContent;
    const entry = waiting(line);
    if (entry) {
      entry.undoNext = true;
      this.sender.keep(entry);
      return { kind: "again", says: said("undo-waits", { code }) };
    }
    line.querySelector("[data-takes-back]").requestSubmit();
    return null;
  }

  /** Press the first button of the newest line's question. A warning is accepted by a tap alone: somebody stands for it. */
  sayYes() {
    const line = this.lines.list.firstElementChild;
    if (line?.querySelector("[data-scan-accept]")) return { kind: "stop", says: said("needs-a-tap") };
    const form = line?.querySelector("form:not([data-takes-back])");
    if (!form) return { kind: "stop", says: said("nothing-asked") };
    form.requestSubmit();
    return null;
  }

  /** A shelf whose name was typed: what was scanned after it, and waits for its answer, goes there too. */
  putAt(name) {
    const field = this.form.querySelector("[name=place]");
    if (field) field.value = name;
    for (const entry of this.entries) {
      if (/^s\./i.test(entry.text)) break;
      for (const one of entry.fields) if (one[0] === "place") one[1] = name;
      this.sender.keep(entry);
    }
  }

  /** The network or the server is away: say so in the line; the same scan goes again a little later each time. */
  waits(outcome) {
    const says = this.door ? said("not-checked") : outcome.says ? `${outcome.says} ${said("goes-again")}` : said("away");
    this.awayNow = says;
    for (const entry of this.entries) this.lines.mark(this.line.get(entry.key), "kept", said("waiting"), says);
    if (this.door) this.door.look();
    else this.showWaiting();
  }

  /** The bar says that the newest scan waits, in place of the last verdict: the kiln's own page has its STOP there. */
  showWaiting() {
    const newest = this.entries.at(-1);
    if (this.door || !newest) return;
    showLast("needs", this.lines.piece('data-scan-shape="needs"'), { word: said("waiting"), says: this.awayNow }, newest.text);
  }

  halted(sentence) {
    this.box.querySelector("p").textContent = sentence;
    this.box.hidden = false;
    for (const entry of this.entries) this.keep(entry);
    if (this.door) this.door.shut(sentence, "out");
    else this.stands();
    this.sound.tell("stop");
  }

  /** The bar says STOP in place of the last verdict, with the way back in. */
  stands() {
    showLast("stop", this.lines.piece('data-scan-shape="stop"'), { word: said("stop"), says: said("kept-here") }, "");
    const back = Object.assign(document.createElement("a"), { className: "alone", href: location.href, textContent: said("sign-in") });
    document.querySelector("[data-last] p")?.append(" ", back);
  }

  keep(entry) {
    const line = this.line.get(entry.key);
    this.lines.mark(line, "kept", said("kept"), said("not-sent"));
    const off = this.lines.piece("data-scan-drop");
    off.addEventListener("click", () => this.sender.drop(entry));
    line.append(off);
  }

  goOn() {
    this.box.hidden = true;
    for (const entry of this.entries) this.lines.mark(this.line.get(entry.key), "sending", said("sending"), "");
    this.sender.goOn();
  }

  show() {
    if (!this.sender.isSaving) this.count.textContent = said("cannot-keep");
    const waiting = this.entries.length;
    const saved = this.entries.filter((entry) => entry.isSaved).length; // only these outlive a tab that is closed now
    if (!waiting && !this.answered && !Number(this.count.dataset.waiting)) return;
    if (this.sender.isSaving) this.count.textContent = saved ? said("count-waiting", { answered: this.answered, waiting: saved }) : said("count", { answered: this.answered });
    Object.assign(this.count.dataset, { answered: this.answered, waiting, saved });
  }
}

/** A shelf's label sets the shelf at once, so that the pieces scanned before its answer came stand there too. */
function putAt(form, text) {
  const place = form.querySelector("[name=place]");
  const named = /^(?:\][a-z][0-9])?s\.(.+)$/i.exec(text); // A scanner may name the kind of bar first: ]C1.
  if (!place || !named) return;
  try {
    place.value = decodeURIComponent(named[1]).slice(0, 60);
  } catch {
    place.value = named[1].slice(0, 60); // A bar made elsewhere, with a lone percent sign.
  }
}

/** Another step for all that is scanned from now on: at once for the scans, and then for all else that the page shows. */
async function changeStep(form, command) {
  for (const [name, value] of Object.entries(command.fields)) form.querySelector(`[name=${name}]`).value = value;
  const place = form.querySelector("[name=place]")?.value || "";
  document.querySelector("[data-step-part=head] h1").textContent = command.title;
  document.querySelector("[data-step-part=head] .lead").textContent = command.note;
  const there = new URL(command.href, location.href);
  if (place && command.takes_shelf) there.searchParams.set("place", place);
  window.history.replaceState(null, "", there);
  try {
    const response = await fetch(there, { cache: "no-store", redirect: "manual", credentials: "same-origin" });
    if (!response.ok || location.href !== there.href) return; // Another step has been scanned since.
    const fresh = new DOMParser().parseFromString(await response.text(), "text/html");
    document.title = fresh.title;
    for (const part of document.querySelectorAll("[data-step-part]")) {
      const now = form.querySelector("[name=place]")?.value || place;
      part.replaceChildren(...fresh.querySelector(`[data-step-part="${part.dataset.stepPart}"]`).childNodes);
      const shelf = part.querySelector("[name=place]");
      if (shelf) shelf.value = now;
    }
  } catch {
    // No network: the step is changed, and the page shows the rest when it is loaded again.
  }
}

/** What the bars of the scan sheet do on a page that scans. */
function obeying(form, queue) {
  const tell = (kind, word, text, says) => {
    showLast(kind, queue.lines.piece(`data-scan-shape="${kind}"`), { word, says }, text);
    queue.lines.says.textContent = [text, word, says].filter(Boolean).join(". ");
    queue.sound.tell(kind);
  };
  const leave = (command) => {
    if (queue.isDoor && queue.entries.length) return { kind: "stop", says: said("not-yet") };
    location.assign(command.href);
    return { kind: "again" };
  };
  return new Obeying(tell, {
    undo: () => queue.undoLast(),
    yes: () => queue.sayYes(),
    kiln: leave,
    step: (command) => {
      if (queue.isDoor) return leave(command);
      changeStep(form, command);
      return { kind: "again", says: command.note };
    },
    shelf: (command) => {
      const place = form.querySelector("[name=place]");
      if (!place) return { kind: "stop", says: said("not-here") };
      place.value = command.value;
      return { kind: "again", says: said("put-at", { place: command.value }) };
    },
    take: (command) => {
      const out = form.querySelector("[name=out]");
      if (!out) return { kind: "stop", says: said("not-here") };
      out.checked = command.value === "out";
      return { kind: "again" };
    },
  });
}

/** How far a shelf is counted, and what of it is still to be scanned. */
function showCounted(answer) {
  document.querySelector("[data-counted]").textContent = answer.counted;
  const left = document.querySelector("[data-unscanned]");
  if (!left) return;
  const codes = Array.from(left.querySelectorAll(".code"));
  codes.find((one) => one.textContent === answer.code)?.closest("li").remove();
  document.querySelector("[data-unscanned-count]").textContent = left.children.length;
}

/** How many refused scans are on this person's list. */
function showTodo(count) {
  const place = document.querySelector("[data-scan-todo]");
  if (!place) return;
  place.hidden = !count;
  place.querySelector("b").textContent = count;
}

const TICK_HOLDS = 3600000; // milliseconds that one person's word for a load holds: later they look at it again

/** What is ticked once for all that is scanned into this kiln stays ticked through a reload, for the same person and for an
    hour; its untick stays as well. */
function keepTicks(form) {
  const ticks = Array.from(form.querySelectorAll("[name=dry], [name=is_thin]"));
  if (!ticks.length) return;
  const place = `footring-ticks ${location.pathname} ${form.dataset.who || ""}`;
  const kept = ticksKept(place);
  const keep = () => {
    try {
      localStorage.setItem(place, JSON.stringify(kept));
    } catch {
      // A browser that keeps nothing: they are ticked again after a reload.
    }
  };
  const show = (tick) => {
    const says = form.querySelector(`[data-ticked="${tick.name}"]`);
    says.hidden = !tick.checked;
    const at = new Date(kept[tick.name]).toLocaleTimeString(document.documentElement.lang, { hour: "numeric", minute: "2-digit" });
    says.textContent = said("ticked", { at });
  };
  const lapse = (tick) => {
    clearTimeout(tick.lapses);
    if (tick.checked) tick.lapses = setTimeout(() => set(tick, 0), kept[tick.name] + TICK_HOLDS - Date.now());
  };
  /** Ticked at that moment, or unticked at 0. */
  const set = (tick, at) => {
    kept[tick.name] = at;
    tick.checked = Date.now() - at < TICK_HOLDS;
    keep();
    show(tick);
    lapse(tick);
  };
  for (const tick of ticks) set(tick, kept[tick.name] ?? (tick.checked ? Date.now() : 0));
  form.addEventListener("change", ({ target }) => {
    if (ticks.includes(target)) set(target, target.checked ? Date.now() : 0);
  });
}

/** When each tick of this kiln was set on this device, by its name: 0 for one that was unticked. */
function ticksKept(place) {
  try {
    const kept = JSON.parse(localStorage.getItem(place) || "{}");
    return typeof kept === "object" && kept ? kept : {};
  } catch {
    return {};
  }
}

/** What was said once of a whole load stays said, also of the scans to come. */
function allIsDry(form) {
  const tick = form.querySelector("[name=dry]");
  if (!tick) return;
  tick.checked = true;
  tick.dispatchEvent(new Event("change", { bubbles: true }));
}

function startScanning(form) {
  keepTicks(form);
  const field = form.querySelector("[name=ref]");
  const sound = new Sound(document.querySelector("[data-scan-sound]"));
  const list = document.querySelector("[data-scan-lines]");
  const door = document.querySelector("[data-door]");
  const queue = new Queue(form, new Lines(list), sound, Boolean(door));
  if (door) new Door(door, queue, sound);
  form.noValidate = true;

  const bars = obeying(form, queue);
  const take = () => {
    for (const arrived of field.value.split(/[\r\n\t]+/).map((part) => part.trim()).filter(Boolean)) {
      const text = byKeys(arrived);
      const command = commandIn(text);
      if (command) {
        bars.obey(command);
        continue;
      }
      putAt(form, text);
      field.value = arrived;
      queue.add({ action: form.action, fields: fieldsOf(form), text });
    }
    field.value = "";
    field.focus();
  };

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    sound.wake();
    take();
  });
  field.addEventListener("paste", (event) => {
    const pasted = event.clipboardData.getData("text");
    if (!/[\r\n]/.test(pasted.trim())) return;
    event.preventDefault();
    for (const text of pasted.split(/[\r\n]+/)) {
      field.value = text;
      take();
    }
  });
  document.addEventListener("keydown", () => sound.wake());
  document.addEventListener("pointerdown", () => sound.wake());
  list.addEventListener("submit", (event) => {
    event.preventDefault();
    if (event.target.matches("[data-scan-dry]")) allIsDry(form);
    // The question about a load is answered for every scan that waits for it.
    const asked = event.target.matches("[data-scan-dry]") ? list.querySelectorAll("[data-scan-dry]") : [event.target];
    for (const one of Array.from(asked).reverse()) again(one);
    field.focus();
  });

  const again = (sent) => {
    const line = sent.closest(".scan-line");
    const entry = { action: sent.action, fields: fieldsOf(sent), text: line.querySelector(".code").textContent, undo: sent.matches("[data-scan-undo]") };
    queue.lines.mark(line, "sending", said("sending"), "");
    delete line.dataset.settled;
    queue.add(entry, line);
  };
}

const scanForm = document.querySelector("form[data-scan]");
if (scanForm) startScanning(scanForm);
