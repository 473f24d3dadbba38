/* A kiln's door while it is loaded: whether its pieces can be checked, and what changed elsewhere. scan.js scans there. */
"use strict";

const PULSE = 3000; // milliseconds between two looks at whether the kiln's door can still be asked

/** A kiln's door: says at once when nothing can be checked, and then lets no earlier GO stand in large letters. */
class Door {
  constructor(place, queue, sound) {
    this.place = place;
    this.queue = queue;
    this.sound = sound;
    this.box = place.querySelector("[data-door-away]");
    this.says = this.box.querySelector("[data-door-says]");
    this.seen = place.dataset.doorSeen;
    this.asked = 0;
    this.goOn = this.box.querySelector("[data-door-on]");
    this.signIn = this.box.querySelector("[data-door-in]");
    this.noNetwork = this.says.textContent;
    queue.door = this;
    this.asksFirst();
    window.addEventListener("offline", () => this.shut(this.noNetwork));
    window.addEventListener("online", () => this.look());
    this.look();
  }

  /** Start waits while this device holds scans of this firing that have no answer, whoever made them. */
  asksFirst() {
    const box = document.querySelector("[data-unchecked]");
    let start = null; // the form that was held back
    let isSure = false;
    document.addEventListener("submit", async (event) => {
      if (isSure || !event.target.closest("[data-starts]")) return;
      event.preventDefault();
      start = event.target;
      const kept = await this.queue.sender.store.all();
      const codes = new Set([...kept, ...this.queue.entries].filter((one) => one.page === location.pathname && !one.undo).map((one) => one.text));
      if (codes.size) {
        box.querySelector("[data-unchecked-says]").textContent = said("unchecked", { codes: [...codes].join(", ") });
        box.hidden = false;
        box.focus();
        this.sound.tell("stop");
        return;
      }
      isSure = true;
      start.requestSubmit();
    }, { capture: true }); // before forms.js takes it for sent
    box.querySelector("[data-unchecked-wait]").addEventListener("click", () => {
      box.hidden = true;
    });
    box.querySelector("[data-unchecked-start]").addEventListener("click", () => {
      isSure = true;
      start.requestSubmit();
    });
  }

  async look() {
    clearTimeout(this.next);
    const mine = ++this.asked; // An answer that was asked for before the last scan is out of date.
    const patience = new AbortController();
    const clock = setTimeout(() => patience.abort(), PULSE);
    try {
      const response = await fetch(this.place.dataset.door, { headers: { Accept: "application/json" }, cache: "no-store", redirect: "manual", credentials: "same-origin", signal: patience.signal });
      const state = response.ok ? await response.json() : null;
      if (mine !== this.asked) return;
      const isOut = response.type === "opaqueredirect" || response.status === 401;
      const isStopped = this.isAway && this.queue.sender.stopped; // Its scans don't go, so STOP stays.
      if (state && state.open && !isStopped) await this.open(state);
      else if (isOut) this.shut(said("signed-out"), "out");
      else if (!state?.open) this.shut(state ? state.says : response.status >= 500 ? said("door-busy") : this.noNetwork, state ? "over" : "");
    } catch {
      if (mine !== this.asked) return;
      this.shut(this.noNetwork); // No whole answer came, so no piece can be checked either.
    } finally {
      clearTimeout(clock);
    }
    if (mine === this.asked) this.next = setTimeout(() => this.look(), PULSE);
  }

  async open(state) {
    const count = document.querySelector("[data-door-inside]");
    if (count) count.textContent = state.inside;
    if (this.isAway) {
      this.isAway = false;
      for (const button of document.querySelectorAll("main .actions button, [data-door-part] button")) button.disabled = false;
      this.box.hidden = true;
      this.place.classList.remove("away");
      this.queue.sender.hurry();
    }
    if (state.seen !== this.seen) await this.renew(state);
  }

  /** Show the kiln as it is now; what a change elsewhere made unfit since the last look is an alarm like a STOP. */
  async renew(state) {
    const known = this.seen.split(" ");
    const response = await fetch(location.href, { cache: "no-store", redirect: "manual", credentials: "same-origin" });
    if (!response.ok) return; // The next look tries again.
    const fresh = new DOMParser().parseFromString(await response.text(), "text/html");
    const place = fresh.querySelector("[data-door]");
    if (!place) return;
    for (const fold of document.querySelectorAll("[data-door-part] details[id]")) {
      fresh.getElementById(fold.id)?.toggleAttribute("open", fold.open); // As the reader left it.
    }
    for (const part of document.querySelectorAll("[data-door-part]")) {
      part.replaceChildren(...fresh.querySelector(`[data-door-part="${part.dataset.doorPart}"]`).childNodes);
    }
    this.seen = place.dataset.doorSeen;
    if (!state.out.some((ref) => !known.includes(`-${ref}`))) return;
    this.sound.tell("stop");
    document.getElementById("leaving")?.scrollIntoView({ block: "start" });
  }

  /** Every scan has its answer: nothing holds the start back. */
  answered() {
    if (!this.queue.entries.length) document.querySelector("[data-unchecked]").hidden = true;
  }

  /** `why` "over": it is no longer being loaded, so nothing on the page can be done anymore, and the firing has gone on;
      "out": whoever loads it has to sign in again. */
  shut(sentence, why = "") {
    const isOver = why === "over";
    this.says.textContent = sentence;
    this.goOn.hidden = !isOver;
    this.signIn.hidden = why !== "out";
    for (const button of document.querySelectorAll("main .actions button, [data-door-part] button")) button.disabled = isOver;
    if (this.isAway) return;
    this.isAway = true;
    this.box.hidden = false;
    this.place.classList.add("away");
    this.sound.tell("stop");
  }
}
