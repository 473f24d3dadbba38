/* A photo before it is sent: it is shown, and what the studio would refuse for its weight is said at once, without
   sending a byte. Without this script the form works all the same, and the server says so. */
"use strict";

for (const form of document.querySelectorAll("form[data-photo]")) {
  const input = form.querySelector("input[type=file]");
  const shown = form.querySelector("[data-photo-shown]");
  const error = form.querySelector("[data-photo-error]");
  const isTooHeavy = () => input.files.length > 0 && input.files[0].size > Number(form.dataset.photo);

  input.addEventListener("change", () => {
    shown.hidden = true;
    error.hidden = !isTooHeavy();
    error.textContent = isTooHeavy() ? form.dataset.photoSays : "";
    if (isTooHeavy() || !input.files.length) return;
    const reader = new FileReader();
    reader.addEventListener("load", () => {
      const picture = Object.assign(document.createElement("img"), { className: "shot big", alt: form.dataset.photoAlt, src: reader.result });
      // What the browser cannot show may still be a photo: the server has the last word.
      picture.addEventListener("load", () => (shown.hidden = false));
      shown.replaceChildren(picture);
    });
    reader.readAsDataURL(input.files[0]);
  });

  form.addEventListener("submit", (event) => {
    if (isTooHeavy()) event.preventDefault();
  });
}
