/* No scan is lost: what has no answer yet is kept in this browser's IndexedDB and sent, in order and one at a time, by
   whatever page of the tool is open. Each entry has its own request key, so a second sending changes nothing.
   An entry is {key, who, page, action, fields, text, undo, isBound}: `who` is the person who scanned it and the only one
   for whom it goes; `isSaved` says that it is on the disk; `isBound` says that only the page it came from may send it;
   `undoNext` that it is to be taken back as soon as it is answered. frame.js loads this where something waits. */
"use strict";

const FLAG = "footring-unsent"; // in localStorage while anything waits, so that other pages know without asking
const PATIENCE = 20000; // milliseconds for one answer before the same scan is sent again
const PAUSES = [500, 1000, 2000, 4000, 8000]; // milliseconds between tries while the network is away
const LONGEST_PAUSE = 30000; // milliseconds that a server may ask us to wait
const PASSING = [429, 502, 503, 504]; // answers of a server that is busy or restarting: try the same scan again

/** The entries on this device, of everybody who scanned on it. `opened` is null where the browser keeps nothing. */
class Unsent {
  constructor() {
    this.last = 0;
    this.opened = new Promise((resolve) => {
      try {
        const asked = indexedDB.open("footring", 1);
        asked.onupgradeneeded = () => asked.result.createObjectStore("scans", { keyPath: "key" });
        asked.onsuccess = () => resolve(asked.result);
        asked.onerror = () => resolve(null);
      } catch {
        resolve(null);
      }
    });
  }

  /** Do `work` with the entries in one transaction; gives what it asked for once that is on the disk, or null. */
  async within(mode, work) {
    const db = await this.opened;
    if (!db) return null;
    return new Promise((resolve) => {
      try {
        const change = db.transaction("scans", mode, { durability: "strict" });
        const asked = work(change.objectStore("scans"));
        change.oncomplete = () => resolve({ result: asked.result });
        change.onabort = () => resolve(null);
      } catch {
        resolve(null);
      }
    });
  }

  /** Every entry, oldest first. */
  async all() {
    const found = await this.within("readonly", (scans) => scans.getAll());
    return found ? found.result.sort((one, other) => one.order - other.order) : [];
  }

  async put(entry) {
    this.last = entry.order = entry.order || Math.max(Date.now(), this.last + 1);
    flag(true);
    return Boolean(await this.within("readwrite", (scans) => scans.put(entry)));
  }

  async has(key) {
    const found = await this.within("readonly", (scans) => scans.count(key));
    return !found || found.result > 0;
  }

  async remove(key) {
    await this.within("readwrite", (scans) => scans.delete(key));
    const left = await this.within("readonly", (scans) => scans.count());
    if (left && !left.result) flag(false);
  }
}

function flag(waits) {
  try {
    if (waits) localStorage.setItem(FLAG, "yes");
    else localStorage.removeItem(FLAG);
  } catch {
    // A browser that keeps nothing: the page says so where the scans are.
  }
}

/** The one place that sends. `page` is told what happens to the entries that belong on this page, if it has any. */
class Sender {
  constructor(who, page = null, patience = PATIENCE) {
    this.who = who;
    this.page = page;
    this.patience = patience;
    this.store = new Unsent();
    this.notice = new Notice(this);
    this.entries = [];
    this.others = 0; // what other people scanned here and nobody sent yet
    this.isSaving = true;
    this.travelling = true; // until what was kept is read: what is scanned meanwhile comes after it
    this.stopped = false;
    this.tries = 0;
    window.addEventListener("online", () => this.hurry());
  }

  async begin() {
    const kept = await this.store.all();
    const mine = kept.filter((entry) => entry.who === this.who);
    this.others = kept.length - mine.length;
    if (!kept.length) flag(false);
    const added = this.entries.map((entry) => entry.key);
    const earlier = mine.filter((entry) => !added.includes(entry.key));
    for (const entry of earlier) {
      entry.isRestored = entry.isSaved = true;
      if (this.isOfPage(entry)) this.page.restored(entry);
    }
    this.entries = [...earlier, ...this.entries];
    this.travelling = false;
    this.show();
    this.send();
  }

  isOfPage(entry) {
    return Boolean(this.page) && entry.page === location.pathname;
  }

  /** Take an entry on; `ready` is called once it has its key and before anything is sent. */
  add(entry, ready) {
    Object.assign(entry, { key: freshKey(), who: this.who, page: entry.page || location.pathname });
    this.entries.push(entry);
    ready();
    this.keep(entry);
    this.show();
    this.send();
  }

  async keep(entry) {
    this.isSaving = entry.isSaved = await this.store.put(entry);
    this.show();
  }

  get next() {
    return this.entries.find((entry) => !entry.isBound || entry.page === location.pathname);
  }

  async send() {
    const entry = this.next;
    if (this.travelling || this.stopped || !entry || !this.who) return;
    this.travelling = true;
    const isThere = !entry.isRestored || (await this.store.has(entry.key));
    const outcome = isThere ? await this.ask(entry) : { sentElsewhere: true };
    this.travelling = false;
    if (outcome.sentElsewhere) this.drop(entry);
    else if (outcome.answer) this.settle(entry, outcome.answer);
    else if (outcome.stop) this.halt(outcome.stop);
    else this.wait(outcome);
    this.show();
    this.send();
  }

  /** Send one entry once. Gives back {answer}, {stop: sentence}, or {} when the network or the server is away for now, with
      what the server says and after how many seconds it may be asked again where it does. */
  async ask(entry) {
    const body = entry.file ? new FormData() : new URLSearchParams(entry.fields);
    if (entry.file) body.set("photo", entry.file);
    body.set("csrf_token", document.querySelector("[name=csrf_token]")?.value || "");
    body.set("key", entry.key);
    const patience = new AbortController();
    const clock = setTimeout(() => patience.abort(), this.patience);
    try {
      const response = await fetch(entry.action, { method: "POST", body, headers: { Accept: "application/json" }, redirect: "manual", credentials: "same-origin", signal: patience.signal });
      if (PASSING.includes(response.status)) return await this.passing(response);
      if (response.type === "opaqueredirect" || response.status === 401) return { stop: said("signed-out") };
      return this.read(response, await response.text());
    } catch {
      return {}; // fetch rejects only when no whole answer came: the same key may safely go again.
    } finally {
      clearTimeout(clock);
    }
  }

  async passing(response) {
    const pause = Math.min(1000 * (Number(response.headers.get("Retry-After")) || 0), LONGEST_PAUSE);
    try {
      return { says: (await response.json()).says, pause };
    } catch {
      return { says: said("busy"), pause }; // Something before the server answered, in its own words.
    }
  }

  /** An answer that says what became of the scan; a page that is too old (400) or a fault (500) says nothing about it. */
  read(response, text) {
    try {
      const answer = JSON.parse(text);
      const isVerdict = answer && typeof answer.ok === "boolean";
      if (isVerdict && response.status !== 400 && response.status < 500) return { answer };
      if (isVerdict) return { stop: `${answer.says} ${answer.mend} ${said("all-kept")}` };
    } catch {
      // Not an answer to a scan: said below in words.
    }
    return { stop: said("no-answer", { status: response.status }) };
  }

  settle(entry, answer) {
    this.tries = 0;
    this.forget(entry);
    if (this.isOfPage(entry)) this.page.settled(entry, answer);
    else this.notice.settled(answer);
    if (entry.undoNext && answer.undo_url && !this.isOfPage(entry)) {
      this.add({ action: answer.undo_url, fields: [], text: entry.text, undo: true, page: entry.page }, () => {});
    }
  }

  forget(entry) {
    this.entries = this.entries.filter((one) => one.key !== entry.key);
    this.store.remove(entry.key);
  }

  /** Send this entry no more: somebody removed it, or another tab has sent it. */
  drop(entry) {
    this.forget(entry);
    if (this.isOfPage(entry)) this.page.gone(entry);
    this.show();
  }

  wait(outcome) {
    const pause = Math.max(outcome.pause || 0, PAUSES[Math.min(this.tries, PAUSES.length - 1)]);
    this.tries += 1;
    this.page?.waits(outcome);
    this.travelling = true;
    this.pause = setTimeout(() => this.hurry(), pause);
  }

  hurry() {
    if (!this.pause) return;
    clearTimeout(this.pause);
    this.pause = null;
    this.travelling = false;
    this.send();
  }

  halt(sentence) {
    this.stopped = true;
    if (this.page) this.page.halted(sentence);
    else this.notice.halted(sentence);
  }

  goOn() {
    this.stopped = false;
    this.send();
  }

  show() {
    this.page?.show();
    this.notice.show();
  }
}

/** What the head of every page says about scans that were made elsewhere: how many wait, and what came of them. */
class Notice {
  constructor(sender) {
    this.sender = sender;
    this.box = document.querySelector("[data-unsent]");
    this.sent = 0;
    this.refused = 0;
    this.codes = []; // of those that were refused
    this.stop = "";
    this.text = ""; // what it says now
  }

  settled(answer) {
    if (answer.ok) this.sent += 1;
    else {
      this.refused += 1;
      if (answer.code) this.codes.push(answer.code);
    }
  }

  halted(sentence) {
    this.stop = sentence;
  }

  show() {
    const { sender } = this;
    const elsewhere = sender.entries.filter((entry) => !sender.isOfPage(entry));
    const bound = elsewhere.filter((entry) => entry.isBound && entry.page !== location.pathname);
    const forms = (name) => JSON.parse(this.box.dataset[name]);
    const parts = [
      [elsewhere.length - bound.length, "waiting", null],
      [bound.length, "bound", bound[0]?.page],
      [sender.others, "others", null],
      [this.sent, "sent", null],
      [this.refused, "refused", this.box.dataset.list],
    ].filter(([count]) => count > 0);
    const lines = parts.map(([count, name, href]) => {
      const line = document.createElement("p");
      const inside = href ? Object.assign(document.createElement("a"), { href }) : line;
      const codes = name === "refused" ? this.codes : [];
      inside.textContent = [counted(forms(name), count), ...codes].join(" · ");
      if (href) line.append(inside);
      return line;
    });
    if (this.stop) lines.push(Object.assign(document.createElement("p"), { textContent: this.stop }));
    const text = lines.map((line) => line.textContent).join(" ");
    if (text === this.text) return;
    this.text = text;
    if (!this.shown) {
      this.shown = this.box.content.firstElementChild.cloneNode(true);
      document.querySelector(".notices").append(this.shown);
    }
    this.shown.hidden = !lines.length;
    this.shown.lastElementChild.replaceChildren(...lines);
  }
}

// A page that scans begins by itself, with its own lines; every other page only sends.
const unsentBox = document.querySelector("[data-unsent]");
if (!document.querySelector("[data-scan], [data-unload]")) new Sender(unsentBox.dataset.who).begin();
