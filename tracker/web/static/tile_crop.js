/* A photo of a test tile, cropped to a square before it is sent. The square is drawn on a canvas; one drags the photo
   under it, or uses the sliders. What the browser can't open is sent as it is, and the server keeps its middle. */
"use strict";

const LARGEST = 1200;

for (const form of document.querySelectorAll("form[data-crop]")) {
  const input = form.querySelector("input[type=file]");
  const tools = form.querySelector("[data-crop-tools]");
  const canvas = tools.querySelector("canvas");
  const [zoom, across, down] = ["zoom", "across", "down"].map((name) => tools.querySelector(`[data-crop-${name}]`));
  let photo = null;

  /* Side, left and top of the square, in pixels of the photo. */
  const square = () => {
    const side = (Math.min(photo.naturalWidth, photo.naturalHeight) * 100) / zoom.value;
    return {
      side,
      left: ((photo.naturalWidth - side) * across.value) / 100,
      top: ((photo.naturalHeight - side) * down.value) / 100,
    };
  };

  const draw = (onto) => {
    const { side, left, top } = square();
    const pen = onto.getContext("2d");
    pen.imageSmoothingQuality = "high";
    // What is see-through lies on white, as on the server.
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, onto.width, onto.height);
    pen.drawImage(photo, left, top, side, side, 0, 0, onto.width, onto.height);
  };

  const opened = (file) => {
    const picture = new Image();
    const reader = new FileReader();
    reader.addEventListener("load", () => (picture.src = reader.result));
    picture.addEventListener("load", () => {
      photo = picture;
      [zoom.value, across.value, down.value] = [100, 50, 50];
      tools.hidden = false;
      draw(canvas);
    });
    reader.readAsDataURL(file);
  };

  input.addEventListener("change", () => {
    photo = null;
    tools.hidden = true;
    if (input.files.length) opened(input.files[0]);
  });
  for (const slider of [zoom, across, down]) slider.addEventListener("input", () => draw(canvas));

  const clamp = (share) => Math.min(100, Math.max(0, share));
  let held = null;
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    held = { x: event.clientX, y: event.clientY };
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!photo || !held || !canvas.hasPointerCapture(event.pointerId)) return;
    const { side } = square();
    const moved = (pixels, room) => (room ? (((pixels * side) / canvas.clientWidth) * 100) / room : 0);
    across.value = clamp(Number(across.value) - moved(event.clientX - held.x, photo.naturalWidth - side));
    down.value = clamp(Number(down.value) - moved(event.clientY - held.y, photo.naturalHeight - side));
    held = { x: event.clientX, y: event.clientY };
    draw(canvas);
  });

  form.addEventListener("submit", (event) => {
    if (!photo) return;
    event.preventDefault();
    const cut = document.createElement("canvas");
    cut.width = cut.height = Math.min(LARGEST, Math.round(square().side));
    draw(cut);
    cut.toBlob(
      (blob) => {
        if (blob) {
          const sent = new DataTransfer();
          sent.items.add(new File([blob], "tile.jpg", { type: blob.type }));
          input.files = sent.files;
        }
        photo = null;
        form.requestSubmit();
      },
      "image/jpeg",
      0.92,
    );
  });
}
