/* The camera as a scanner, on any phone: frames go to the reader in reader/, which is loaded when somebody first opens the
   camera. What it reads is put into a field of its form and sent, as a scanner would. forms.js gives said(). */
"use strict";

const PAUSE = 60; // milliseconds between two frames, so that the page stays quick
const AGAIN = 2500; // milliseconds for which a code has to be out of sight before it counts once more
const LONGEST_SIDE = 1280; // pixels of a frame; more takes longer and reads no better

/** The reader, fetched once. */
const reading = {
  ready: null,
  load(script, wasm) {
    this.ready ??= new Promise((done, fail) => {
      const tag = Object.assign(document.createElement("script"), { src: script });
      tag.addEventListener("load", done);
      tag.addEventListener("error", fail);
      document.head.append(tag);
    }).then(() => window.ZXingWASM.prepareZXingModule({ overrides: { locateFile: () => wasm }, fireImmediately: true }));
    this.ready.catch(() => {
      this.ready = null;
    });
    return this.ready;
  },
  /** The text of the first barcode in a picture; empty where there is none. */
  async text(picture) {
    const [found] = await window.ZXingWASM.readBarcodes(picture, { formats: ["Code128", "QRCode"], tryHarder: true, maxNumberOfSymbols: 1 });
    return found && found.isValid ? found.text : "";
  },
};

/** Grab the picture that a video shows now, no larger than the reader needs. */
function frameOf(video, canvas) {
  const scale = Math.min(1, LONGEST_SIDE / Math.max(video.videoWidth, video.videoHeight));
  canvas.width = Math.round(video.videoWidth * scale);
  canvas.height = Math.round(video.videoHeight * scale);
  const pen = canvas.getContext("2d", { willReadFrequently: true });
  pen.drawImage(video, 0, 0, canvas.width, canvas.height);
  return pen.getImageData(0, 0, canvas.width, canvas.height);
}

/** What a text names: a tag's bars and its QR code, which is an address, are of the same piece. */
function thingIn(text) {
  const address = /\/(?:p|slip)\/([^/?#]+)\/?$/i.exec(text);
  return (address ? address[1] : text).toUpperCase().replace(/^W/, "");
}

/** One open camera over the page: its picture, the last answer, a light where the device has one, and a way out. */
class Camera {
  constructor(button, stream) {
    this.button = button;
    this.form = button.form || button.closest("form");
    this.field = this.form.elements[button.dataset.camera];
    this.once = "once" in button.dataset;
    this.stream = stream;
    this.canvas = document.createElement("canvas");
    this.seen = new Map(); // each thing that was read, and when it was last in sight
    this.build();
  }

  build() {
    this.view = Object.assign(document.createElement("dialog"), { className: "camera" });
    this.view.setAttribute("aria-label", this.button.textContent);
    this.view.addEventListener("close", () => this.end());
    this.video = Object.assign(document.createElement("video"), { muted: true, playsInline: true, srcObject: this.stream });
    this.says = Object.assign(document.createElement("p"), { textContent: said("camera-aim") });
    const close = Object.assign(document.createElement("button"), { type: "button", className: "btn", textContent: said("camera-close") });
    close.addEventListener("click", () => this.view.close());
    const row = Object.assign(document.createElement("div"), { className: "camera-row" });
    row.append(close);
    const light = this.light();
    if (light) row.append(light);
    this.view.append(this.video, this.says, row);
    document.body.append(this.view);
    this.view.showModal();
    this.follow();
  }

  /** A button for the lamp; null where the device has none that a page may switch. */
  light() {
    const [track] = this.stream.getVideoTracks();
    const can = track.getCapabilities ? track.getCapabilities() : {};
    if (!can.torch) return null;
    const button = Object.assign(document.createElement("button"), { type: "button", className: "btn", textContent: said("camera-light") });
    button.setAttribute("aria-pressed", "false");
    button.addEventListener("click", async () => {
      const on = button.getAttribute("aria-pressed") !== "true";
      await track.applyConstraints({ advanced: [{ torch: on }] }).catch(() => {});
      button.setAttribute("aria-pressed", String(on));
    });
    return button;
  }

  /** Show the newest answer of the page under the picture too. */
  follow() {
    const lines = document.querySelector("[data-scan-lines]");
    if (!lines || this.once) return;
    this.watch = new MutationObserver(() => {
      const line = lines.firstElementChild;
      if (!line) return;
      this.says.className = line.className.replace("scan-line", "").trim();
      this.says.textContent = [".code", ".word", "p"].map((part) => line.querySelector(part)?.textContent.trim()).filter(Boolean).join(" · ");
    });
    this.watch.observe(lines, { childList: true, subtree: true, characterData: true });
  }

  async run() {
    await this.video.play();
    while (this.view.open) {
      if (this.video.videoWidth) this.take(await reading.text(frameOf(this.video, this.canvas)));
      await new Promise((next) => setTimeout(next, PAUSE));
    }
  }

  /** Send what was read, unless it has been in sight all along. */
  take(text) {
    if (!text || !this.view.open) return;
    const last = this.seen.get(thingIn(text)) ?? -Infinity;
    this.seen.set(thingIn(text), performance.now());
    if (performance.now() - last < AGAIN) return;
    if (navigator.vibrate) navigator.vibrate(60);
    if (this.once) this.view.close();
    this.field.value = text;
    this.form.requestSubmit();
  }

  end() {
    for (const track of this.stream.getTracks()) track.stop();
    if (this.watch) this.watch.disconnect();
    this.view.remove();
    this.button.focus();
  }
}

/** Why there is no picture, as the name of a sentence. */
function reasonOf(error) {
  if (error.name === "NotAllowedError" || error.name === "SecurityError") return "camera-refused";
  if (error.name === "NotFoundError" || error.name === "OverconstrainedError") return "camera-none";
  return "camera-busy";
}

/** Open the camera for a button, or say why it can't be opened. */
async function openCamera(button) {
  const off = button.parentElement.querySelector("[data-camera-off]");
  const tell = (name) => {
    off.hidden = false;
    off.textContent = said(name);
  };
  off.hidden = true;
  if (!window.isSecureContext) return tell("camera-insecure");
  if (!navigator.mediaDevices) return tell("camera-none");
  let stream;
  try {
    const wanted = { facingMode: "environment", width: { ideal: 1280 }, height: { ideal: 720 } };
    stream = await navigator.mediaDevices.getUserMedia({ video: wanted });
  } catch (error) {
    return tell(reasonOf(error));
  }
  const camera = new Camera(button, stream);
  try {
    await reading.load(button.dataset.reader, button.dataset.wasm);
  } catch {
    camera.view.close();
    return tell("camera-reader");
  }
  return camera.run();
}

for (const button of document.querySelectorAll("[data-camera]")) {
  button.hidden = false;
  button.addEventListener("click", () => openCamera(button));
}
