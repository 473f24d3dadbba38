/* What a scan sounds and feels like: four tones that are told apart across a room, each with its own vibration.
   They are made by the machine itself. forms.js gives said(). */
"use strict";

const TONES = {
  good: [[1320, 0, 0.11]], // one high note
  already: [[880, 0, 0.09], [880, 0.14, 0.09]], // two even notes
  look: [[587, 0, 0.14], [880, 0.17, 0.22]], // rising, like a question
  stop: [[220, 0, 0.2], [196, 0.27, 0.34]], // two low notes, falling
}; // pitch in hertz, start and length in seconds
const VIBRATIONS = { good: [60], already: [60, 80, 60], look: [160, 80, 160], stop: [350, 100, 350] }; // milliseconds on, off, on
const HEARD_AS = { again: "already", undone: "good", needs: "look", ask: "look", care: "look" };

/** The last answer in large letters, where the page has a place for it. */
function showLast(kind, shape, answer, text) {
  const place = document.querySelector("[data-last]");
  if (!place) return;
  place.className = `last-answer ${kind}`;
  place.querySelector(".word").replaceChildren(shape, Object.assign(document.createElement("span"), { textContent: answer.word || "" }));
  place.querySelector(".code").textContent = answer.code || text;
  place.querySelector("p").textContent = [answer.says, answer.mend].filter(Boolean).join(" ");
  place.hidden = false;
}

class Sound {
  constructor(button) {
    this.button = button;
    this.on = localStorage.getItem("footring-sound") !== "off";
    if (!button) return;
    button.hidden = false;
    button.addEventListener("click", () => this.turn());
    document.addEventListener("keydown", () => this.wake());
    document.addEventListener("pointerdown", () => this.wake());
    this.show();
  }

  turn() {
    this.on = !this.on;
    localStorage.setItem("footring-sound", this.on ? "on" : "off");
    this.show();
    if (this.on) this.tell("good");
  }

  show() {
    this.button.setAttribute("aria-pressed", String(this.on));
    this.button.textContent = said(this.on ? "sound-on" : "sound-off");
  }

  /** Browsers allow sound only after a key or a press: called from every one of them. */
  wake() {
    const Maker = window.AudioContext || window.webkitAudioContext;
    if (!this.on || !Maker) return;
    if (!this.maker) this.maker = new Maker();
    if (this.maker.state === "suspended") this.maker.resume();
  }

  /** Sound and shake for an answer's kind: good, care, again, undone, needs, ask or stop, or a tone by its own name. */
  tell(kind) {
    const name = HEARD_AS[kind] || kind;
    document.documentElement.dataset.heard = name;
    // Browsers shake nothing, and complain, before the page was touched.
    if (navigator.vibrate && navigator.userActivation?.hasBeenActive) navigator.vibrate(VIBRATIONS[name]);
    if (this.on && this.maker) for (const [pitch, start, length] of TONES[name]) this.tone(pitch, start, length);
  }

  tone(pitch, start, length) {
    const from = this.maker.currentTime + start;
    const wave = this.maker.createOscillator();
    const loudness = this.maker.createGain();
    wave.frequency.value = pitch;
    loudness.gain.setValueAtTime(0.0001, from);
    loudness.gain.exponentialRampToValueAtTime(0.25, from + 0.01);
    loudness.gain.exponentialRampToValueAtTime(0.0001, from + length);
    wave.connect(loudness).connect(this.maker.destination);
    wave.start(from);
    wave.stop(from + length);
  }
}
