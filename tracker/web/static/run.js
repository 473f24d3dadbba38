/* Beside the outdoor kiln. Every tap is kept in this phone with its own time and its own key before anything else
   happens, is shown at once, and travels when there is a network: one after the other, the same key again after a
   failure, so that it arrives once and in order. What the other phones tapped comes back as the session's story.
   forms.js gives freshKey(), run_photos.js the photos. */
"use strict";

const PATIENCE = 15000; // milliseconds for one answer before the same tap is sent again
const PAUSES = [1000, 2000, 4000, 8000, 15000]; // milliseconds between tries while the network is away
const LOOKS = 5000; // milliseconds between two looks at what the other phones have said
const GLOVE = 1200; // milliseconds in which a second tap on the same piece is a thick glove

/** Whether this is the answer of a server that is busy, restarting or at fault: the same tap goes again. */
function isPassing(response) {
  return response.status === 429 || response.status >= 500;
}

/** What the studio's computer says is the matter with it; that it is busy where it says nothing more. */
async function trouble(response) {
  try {
    const answer = await response.json();
    if (answer.trouble && answer.trouble !== "busy") return `${answer.says} ${answer.mend}`;
  } catch {
    // Something before the server answered, in its own words.
  }
  return said("busy");
}

/** What is in the phone's own keeping: taps that have not been answered, and the last ones made here. */
class Kept {
  constructor(session, who) {
    this.place = `footring-taps ${session} ${who}`;
    const found = this.read();
    this.taps = found.taps || [];
    this.mine = found.mine || [];
    this.refused = found.refused || [];
    this.story = found.story || null;
  }

  read() {
    try {
      return JSON.parse(localStorage.getItem(this.place)) || {};
    } catch {
      return {}; // Nothing readable was kept, which is the same as nothing kept.
    }
  }

  /** True when it is safe in the phone. */
  save() {
    try {
      localStorage.setItem(this.place, JSON.stringify({ taps: this.taps, mine: this.mine.slice(-20), refused: this.refused, story: this.story }));
      return true;
    } catch {
      return false;
    }
  }
}

/** The page: what it shows follows from the story all phones tell and the taps that are still in this one. */
class Yard {
  constructor(place) {
    this.place = place;
    this.kept = new Kept(place.dataset.run, place.dataset.who);
    this.story = this.newest(JSON.parse(place.querySelector("[data-run-story]").textContent), this.kept.story);
    this.state = place.querySelector("[data-run-state]");
    this.tries = 0;
    this.busy = ""; // what the studio's computer says where it answers and can't take anything now
    const shape = { hour: "numeric", minute: "2-digit", timeZone: place.dataset.zone };
    this.clock = new Intl.DateTimeFormat(document.documentElement.lang || "en-US", shape);
    place.addEventListener("submit", (event) => this.tap(event));
    this.undo = place.querySelector("[data-run-undo]");
    this.undo.addEventListener("click", () => this.takeBack());
    place.querySelector("[data-run-seen]").addEventListener("click", () => this.read());
    window.addEventListener("online", () => this.hurry());
    document.addEventListener("visibilitychange", () => document.hidden || this.hurry());
    this.show();
    this.send();
    this.look();
  }

  /** A page that was kept may be older than the last story this phone has heard. */
  newest(here, kept) {
    const same = kept && Object.keys(here.rounds).every((firing) => kept.rounds[firing]);
    return same && kept.heard.length > here.heard.length ? kept : here;
  }

  // ---- tapping ----------------------------------------------------------------------------------------------------

  tap(event) {
    const form = event.target.closest("form[data-tap]");
    if (!form) return;
    event.preventDefault();
    const line = form.closest("[data-piece]");
    if (line && line.dataset.just) return;
    const fields = new FormData(form);
    const entry = { key: freshKey(), did: form.dataset.tap, firing: fields.get("firing"), piece: fields.get("piece") || "", value: fields.getAll("value").join(","), inside: fields.getAll("inside"), at: Date.now() };
    if (entry.did === "start" && !entry.inside.length) {
      this.say(said("tick-inside"));
      return;
    }
    if (entry.did === "result" && !entry.value) {
      this.say(said("tick-flaws"));
      return;
    }
    this.keep(entry);
    if (line) {
      line.dataset.just = "yes";
      setTimeout(() => delete line.dataset.just, GLOVE);
      const more = form.closest("details.result");
      if (more) more.open = false;
    }
    if (navigator.vibrate) navigator.vibrate(40);
  }

  keep(entry) {
    this.kept.taps.push(entry);
    if (entry.did !== "take back") this.kept.mine.push({ key: entry.key, did: entry.did, firing: entry.firing, piece: entry.piece });
    if (!this.kept.save()) this.say(said("cannot-keep"));
    this.show();
    this.send();
  }

  takeBack() {
    const last = this.kept.mine.pop();
    if (!last) return;
    const waiting = this.kept.taps.findIndex((one) => one.key === last.key);
    if (waiting >= 0 && !(waiting === 0 && this.travelling)) {
      // It never left this phone, so it never was.
      this.kept.taps.splice(waiting, 1);
      this.kept.save();
      this.show();
      return;
    }
    this.keep({ key: freshKey(), did: "take back", firing: last.firing, piece: "", value: last.key, inside: [], at: Date.now() });
  }

  // ---- travelling -------------------------------------------------------------------------------------------------

  async send() {
    if (this.travelling || this.stopped || !this.kept.taps.length) return;
    this.travelling = true;
    const entry = this.kept.taps[0];
    const outcome = await this.ask(entry);
    this.travelling = false;
    if (outcome.answer) this.settle(entry, outcome.answer);
    else if (outcome.stop) this.halt(outcome.stop);
    else this.wait(outcome.busy);
    this.show();
    if (outcome.answer) this.send();
  }

  /** Send one tap once. Gives back {answer}, {stop: sentence}, {busy: sentence} or {} when the network is away for now. */
  async ask(entry) {
    const body = new URLSearchParams({ did: entry.did, firing: entry.firing, piece: entry.piece, value: entry.value, at: entry.at, sent_at: Date.now(), key: entry.key });
    for (const ref of entry.inside) body.append("inside", ref);
    body.set("csrf_token", this.place.querySelector("[data-csrf] [name=csrf_token]").value);
    const patience = new AbortController();
    const clock = setTimeout(() => patience.abort(), PATIENCE);
    try {
      const response = await fetch(this.place.dataset.taps, { method: "POST", body, headers: { Accept: "application/json" }, redirect: "manual", credentials: "same-origin", signal: patience.signal });
      if (isPassing(response)) return { busy: await trouble(response) };
      if (response.type === "opaqueredirect" || response.status === 401) return { stop: said("signed-out") };
      if (response.status === 400) return { stop: said("too-old") };
      const answer = JSON.parse(await response.text());
      if (answer && typeof answer.ok === "boolean") return { answer };
      return {};
    } catch {
      return {}; // No whole answer came: the same key may safely go again.
    } finally {
      clearTimeout(clock);
    }
  }

  settle(entry, answer) {
    this.tries = 0;
    this.busy = "";
    this.kept.taps = this.kept.taps.filter((one) => one.key !== entry.key);
    this.story.heard.push(entry.key);
    if (answer.ok) this.apply(this.story, entry);
    else this.kept.refused.push(said("refused", { name: entry.piece || this.round(entry.firing), did: said(entry.did), says: answer.says, mend: answer.mend }).trim());
    // What is said beside it must be known: that two phones differ, or that a piece isn't on record.
    this.kept.refused.push(...(answer.more || []).filter((says) => !this.story.differs.includes(says)));
    this.kept.story = this.story;
    this.kept.save();
    if (!this.kept.taps.length) this.look();
  }

  /** What a round is called. */
  round(firing) {
    const number = this.place.querySelector(`[data-firing="${firing}"]`)?.dataset.number || "";
    return said("round", { number });
  }

  wait(busy = "") {
    this.busy = busy;
    const pause = PAUSES[Math.min(this.tries, PAUSES.length - 1)];
    this.tries += 1;
    clearTimeout(this.again);
    this.again = setTimeout(() => this.send(), pause);
  }

  hurry() {
    clearTimeout(this.again);
    this.tries = 0;
    this.send();
    this.look();
  }

  halt(sentence) {
    this.stopped = sentence;
    this.show();
  }

  /** What all phones have said, while nothing of this one is on its way. */
  async look() {
    clearTimeout(this.next);
    this.next = setTimeout(() => this.look(), LOOKS);
    if (this.kept.taps.length || document.hidden || this.stopped) return;
    try {
      const response = await fetch(this.place.dataset.story, { headers: { Accept: "application/json" }, cache: "no-store", redirect: "manual", credentials: "same-origin" });
      if (isPassing(response)) {
        this.busy = await trouble(response);
        this.show();
        return;
      }
      if (!response.ok) return;
      const story = await response.json();
      if (this.kept.taps.length) return; // Tapped meanwhile: that story is older than what is shown.
      this.away = false;
      this.busy = "";
      const known = Object.keys(this.story.rounds).join();
      this.story = this.kept.story = story;
      this.kept.save();
      this.show();
      if (Object.keys(story.rounds).join() !== known) this.say(said("rounds-changed"));
    } catch {
      this.away = true;
      this.busy = "";
      this.show();
    }
  }

  // ---- showing ----------------------------------------------------------------------------------------------------

  /** Let a story be told on by one tap, as the server will tell it. */
  apply(story, entry) {
    const round = story.rounds[entry.firing];
    if (!round) return;
    const earlier = (old) => (old ? Math.min(old, entry.at) : entry.at);
    if (entry.did === "start") {
      round.started = earlier(round.started);
      round.inside = entry.inside;
    } else if (entry.did === "at heat") round.at_heat = earlier(round.at_heat);
    else if (entry.did === "take back") this.unapply(round, entry.value);
    else {
      const piece = (round.pieces[entry.piece] ||= { stands: "" });
      if (entry.did === "result") piece.outcome ||= entry.value;
      else piece[entry.did] = earlier(piece[entry.did]);
      piece.stands = ["result", "out", "closed", "pulled"].find((did) => (did === "result" ? piece.outcome : piece[did])) || "";
    }
  }

  /** A tap that was taken back may come from before this page: only what this phone still knows is put back at once. */
  unapply(round, key) {
    const gone = this.kept.taps.find((one) => one.key === key);
    if (!gone || gone.did === "result") return;
    if (gone.did === "start") round.started = null;
    else if (gone.did === "at heat") round.at_heat = null;
    else if (round.pieces[gone.piece]) {
      const piece = round.pieces[gone.piece];
      piece[gone.did] = null;
      piece.stands = ["out", "closed", "pulled"].find((did) => piece[did]) || "";
    }
  }

  show() {
    const story = structuredClone(this.story);
    for (const entry of this.kept.taps) this.apply(story, entry);
    for (const section of this.place.querySelectorAll("[data-firing]")) this.showRound(section, story.rounds[section.dataset.firing]);
    const burning = Array.from(this.place.querySelectorAll("[data-firing]")).filter((one) => one.dataset.stage !== "done");
    for (const section of this.place.querySelectorAll("[data-firing]")) section.classList.toggle("present", section === burning[0]);
    if (burning[0] && burning[0] !== this.present) burning[0].querySelector("details").open = true;
    this.present = burning[0];
    this.showState();
    const list = this.place.querySelector("[data-run-differs]");
    list.replaceChildren(...story.differs.map((says) => Object.assign(document.createElement("li"), { textContent: says })));
    const box = this.place.querySelector("[data-run-refused]");
    box.hidden = !this.kept.refused.length;
    box.querySelector("[data-run-says]").replaceChildren(...this.kept.refused.map((says) => Object.assign(document.createElement("li"), { textContent: says })));
    const last = this.kept.mine.at(-1);
    // A round that was pulled from goes on as it is.
    const pulled = last && Object.values(story.rounds[last.firing]?.pieces || {}).some((one) => one.pulled);
    this.undo.hidden = !last || last.did === "result" || (last.did === "start" && pulled);
  }

  showRound(section, round) {
    if (!round) return;
    section.dataset.stage = round.done ? "done" : round.started ? "burning" : "coming";
    section.dataset.heat = round.at_heat ? "yes" : "";
    for (const name of ["started", "at_heat"]) section.querySelector(`.run-times [data-time=${name}]`).textContent = this.time(round[name]);
    for (const line of section.querySelectorAll("[data-piece]")) {
      const piece = round.pieces[line.dataset.piece] || { stands: "" };
      if (round.inside) line.hidden = !round.inside.includes(line.dataset.piece) && !piece.stands;
      line.dataset.stands = piece.stands;
      for (const name of ["pulled", "closed", "out"]) {
        const place = line.querySelector(`[data-time=${name}]`);
        if (place) place.textContent = this.time(piece[name]);
      }
      const came = line.querySelector("[data-outcome]");
      const words = piece.outcome ? piece.outcome.split(",") : [];
      came.textContent = words.map((word) => this.worded(line, word)).join(", ");
    }
  }

  /** A word of what came of a piece, as its button or its box says it. */
  worded(line, word) {
    const button = line.querySelector(`[type=hidden][name=value][value="${word}"]`);
    const box = line.querySelector(`[type=checkbox][name=value][value="${word}"]`);
    if (button) return button.closest("form").querySelector("button").firstChild.textContent;
    return box ? box.closest("label").textContent.trim() : word;
  }

  /** A page that was kept the day before has its start buttons once its day is here; what the server showed stays. */
  showDay() {
    const other = this.place.querySelector("[data-another-day]");
    if (!other || Date.now() < this.place.dataset.from || Date.now() > this.place.dataset.until) return;
    other.hidden = true;
    for (const button of this.place.querySelectorAll("[data-start]")) button.hidden = false;
  }

  showState() {
    this.showDay();
    const waiting = this.kept.taps.length;
    if (this.stopped) this.state.textContent = waiting ? `${this.stopped} ${said("unsent", { waiting })}` : this.stopped;
    else if (waiting && this.tries) this.state.textContent = said(this.busy ? "unsent-busy" : "unsent-away", { waiting, says: this.busy });
    else if (waiting) this.state.textContent = said("sending");
    else if (this.busy) this.state.textContent = said("busy-keep", { says: this.busy });
    else this.state.textContent = said(this.away ? "away" : "all-sent");
    this.state.dataset.unsent = waiting;
    this.state.dataset.trouble = this.busy ? "busy" : this.away || this.tries ? "away" : "";
    this.place.classList.toggle("away", Boolean(this.away || this.busy || this.tries || this.stopped));
  }

  time(moment) {
    return moment ? this.clock.format(new Date(moment)) : "";
  }

  say(sentence) {
    if (!this.kept.refused.includes(sentence)) this.kept.refused.push(sentence);
    this.kept.save();
    this.show();
  }

  read() {
    this.kept.refused = [];
    this.kept.save();
    this.show();
  }
}

async function keepThePage(worker) {
  if (!("serviceWorker" in navigator)) return;
  try {
    await navigator.serviceWorker.register(worker, { scope: "/outdoor/" });
    const ready = await navigator.serviceWorker.ready;
    const parts = performance.getEntriesByType("resource").map((one) => one.name).filter((name) => new URL(name).pathname.startsWith("/static/"));
    ready.active.postMessage({ keep: [location.pathname, ...parts] });
  } catch {
    // Without it the page works as long as it stays open; taps are kept either way.
  }
}

const yard = document.querySelector("[data-run]");
if (yard) {
  yard.classList.add("alive");
  new Yard(yard);
  new Photos(yard);
  keepThePage(yard.dataset.worker);
}
