/* Photos beside the outdoor kiln. run.js gives isPassing(), trouble() and the pauses between tries. */
"use strict";

/** Photos taken beside the kiln: kept in this phone as they are, and sent when there is a network. */
class Photos {
  constructor(place) {
    this.place = place;
    place.addEventListener("change", (event) => this.take(event));
    window.addEventListener("online", () => this.send());
    setInterval(() => this.send(), PAUSES.at(-1));
    this.send();
  }

  /** The phone's own shelf; a browser that has none gives null, and then a photo is sent at once or not at all. */
  shelf() {
    this.opened ||= new Promise((give) => {
      const asked = indexedDB.open("footring-photos", 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore("photos", { keyPath: "key" });
      asked.onsuccess = () => give(asked.result);
      asked.onerror = () => give(null);
    });
    return this.opened;
  }

  async do(how, what) {
    const shelf = await this.shelf();
    if (!shelf) return [];
    return new Promise((give) => {
      const asked = shelf.transaction("photos", "readwrite").objectStore("photos")[how](what);
      asked.onsuccess = () => give(asked.result);
      asked.onerror = () => give([]);
    });
  }

  async take(event) {
    const form = event.target.closest("[data-run-photo]");
    const [file] = (form && event.target.files) || [];
    if (!file) return;
    await this.do("put", { key: freshKey(), who: this.place.dataset.who, session: this.place.dataset.run, action: form.action, file });
    event.target.value = "";
    this.say(form, "photo-kept", said("photo-kept"));
    this.send();
  }

  async send() {
    if (this.travelling) return;
    this.travelling = true;
    for (const one of await this.do("getAll")) {
      if (one.who !== this.place.dataset.who || one.session !== this.place.dataset.run) continue;
      if (!(await this.sendOne(one))) break;
    }
    this.travelling = false;
  }

  /** True when it needs no more trying: it arrived, or the studio has said why not. */
  async sendOne(one) {
    const body = new FormData();
    body.set("csrf_token", this.place.querySelector("[data-csrf] [name=csrf_token]").value);
    body.set("key", one.key);
    body.set("photo", one.file, one.file.name || "photo.jpg");
    const form = Array.from(this.place.querySelectorAll("[data-run-photo]")).find((other) => other.action === one.action);
    try {
      const response = await fetch(one.action, { method: "POST", body, headers: { Accept: "application/json" }, redirect: "manual", credentials: "same-origin" });
      if (isPassing(response)) {
        this.say(form, "photo-kept", said("photo-waits", { says: await trouble(response) }));
        return false;
      }
      if (response.status === 400 || response.status === 401 || response.type === "opaqueredirect") return false;
      const answer = await response.json();
      await this.do("delete", one.key);
      if (answer.ok) this.say(form, "photo-sent", said("photo-sent"));
      else this.say(form, "photo-refused", `${answer.says} ${answer.mend}`);
      return true;
    } catch {
      return false; // No whole answer came: the same key may safely go again.
    }
  }

  say(form, state, sentence) {
    if (!form) return;
    form.dataset.state = state;
    form.querySelector("[data-run-photo-says]").textContent = sentence;
  }
}
